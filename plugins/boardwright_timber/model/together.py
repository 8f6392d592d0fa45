"""Bought together: one purchase and one cutting plan for several projects."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from .cutting import CuttingPlan
from .hardware import BoardHardware
from .money import Cost
from .part import BoardParts


class SharedProject(msgspec.Struct, frozen=True, kw_only=True):
    """One project's part in it. ``mark`` begins the names of its boards and parts: P02-B01.

    ``alone`` is what its own pack costs, ``share`` what it bears of the whole.
    """

    mark: str
    label: str
    name: str
    copies: int
    boards: int
    parts: int
    sheets: int
    alone: Decimal
    share: Decimal


class Together(msgspec.Struct, frozen=True, kw_only=True):
    """All parts of all projects out of shared stock. ``parts`` and ``hardware`` by board, boards by their
    marked names; of a project built in copies each part is there once and cut as often. ``alone`` and
    ``sheets_alone`` are the sums of the single packs, to compare with. ``says``: the result in sentences."""

    projects: tuple[SharedProject, ...]
    parts: dict[str, BoardParts]
    hardware: dict[str, BoardHardware]
    cutting: CuttingPlan
    cost: Cost
    alone: Decimal
    sheets_alone: int
    says: tuple[str, ...] = ()

    @property
    def saved(self) -> Decimal:
        return self.alone - self.cost.total
