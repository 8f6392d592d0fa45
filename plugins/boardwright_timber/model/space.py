"""The height a board takes, what lies below it, and how it moves over a year."""

from __future__ import annotations

import msgspec


class BoardSpace(msgspec.Struct, frozen=True, kw_only=True):
    """Heights in mm, from the top of the deck down. ``rise_mm``: free below a raised deck, above the joists.

    ``below`` is the board of a lower level that has least room under this one, with ``free_mm`` from the top
    of its deck to the lowest wood or device here; empty: none lies below.
    """

    board: str
    style: str
    deck_mm: float
    rise_mm: float
    frame_mm: float
    devices_mm: float
    takes_mm: float
    below: str = ""
    free_mm: float | None = None


class LayoutSpace(msgspec.Struct, frozen=True, kw_only=True):
    """Every board, in name order."""

    boards: tuple[BoardSpace, ...] = ()


class BoardMovement(msgspec.Struct, frozen=True, kw_only=True):
    """How much one board's deck swells between dry and damp, and how much its rails outgrow it (mm)."""

    board: str
    material: str
    along_mm: float
    across_mm: float
    rails_mm: float
    rule: str
    source: str


class LayoutMovement(msgspec.Struct, frozen=True, kw_only=True):
    """Every board, in name order."""

    boards: tuple[BoardMovement, ...] = ()
