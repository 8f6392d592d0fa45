"""The shape of ``nest.json``: decode one with ``msgspec.json.decode(data, type=NestFile)``.

Claim: everything a cutting plan says, in millimetres and sheet axes (datum at the lower left corner, length
along x). ``lower_bound`` is the fewest sheets any cutting can do with; ``proven`` says that so few are used.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from boardwright.findings import Finding
from boardwright_timber.model import Cut, CutPiece, Offcut, Unplaced


class NestGroup(msgspec.Struct, frozen=True, kw_only=True):
    """One material and thickness."""

    material: str
    thickness_mm: float
    sheets_used: int
    lower_bound: int
    proven: bool
    says: str


class NestPlacement(msgspec.Struct, frozen=True, kw_only=True):
    """``id`` is the row of the list, ``part`` the single piece. Size as it lies; ``turned`` by 90°."""

    id: str
    part: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    turned: bool


class NestSheet(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet. ``alike`` names an earlier sheet with the same cuts."""

    id: str
    stock: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    used_fraction: float
    alike: str
    placements: tuple[NestPlacement, ...]
    offcuts: tuple[Offcut, ...]
    cut_tree: CutPiece | None
    cuts: tuple[Cut, ...]


class NestFile(msgspec.Struct, frozen=True, kw_only=True):
    """A whole plan. ``price`` leaves out sheets without a price; ``price_complete`` is then false."""

    schema: Literal["boardwright-nest/1"] = "boardwright-nest/1"
    pieces: str
    sheets_used: int
    lower_bound: int
    proven: bool
    kerf_mm: float
    trim_mm: float
    stages: int
    price: float
    price_complete: bool
    groups: tuple[NestGroup, ...]
    sheets: tuple[NestSheet, ...]
    unplaced: tuple[Unplaced, ...]
    findings: tuple[Finding, ...]
