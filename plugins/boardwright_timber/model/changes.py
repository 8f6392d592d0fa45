"""What a change of plan means for wood that is cut: parts, boards and money of two packs side by side."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

import msgspec


class Fate(StrEnum):
    """What becomes of a part."""

    SAME = "as it was"
    RENUMBERED = "same part, other number"
    DRILL = "usable, other holes"
    REMAKE = "make"
    LEFT_OVER = "no longer needed"


class PartFate(msgspec.Struct, frozen=True, kw_only=True):
    """One piece of wood. ``before``/``after``: its number in each pack (empty: it is not in that one).

    ``holes``: how many are drilled into it yet. ``unused``: how many it has that are not wanted.
    ``area_m2``: of its blank.
    """

    fate: Fate
    before: str = ""
    after: str = ""
    board: str = ""
    holes: int = 0
    unused: int = 0
    area_m2: float = 0.0


class BoardFate(msgspec.Struct, frozen=True, kw_only=True):
    """Parts of one board by what becomes of them; ``is_new``/``is_gone``: it is in one pack only."""

    board: str
    same: int = 0
    renumbered: int = 0
    drill: int = 0
    remake: int = 0
    left_over: int = 0
    is_new: bool = False
    is_gone: bool = False

    @property
    def untouched(self) -> bool:
        return not (self.drill or self.remake or self.left_over or self.is_new or self.is_gone)


class LegFate(msgspec.Struct, frozen=True, kw_only=True):
    """Legs of one board in each pack: lengths to be sawn, the shortest first. Told only where they differ."""

    board: str
    before_mm: tuple[float, ...] = ()
    after_mm: tuple[float, ...] = ()


class Changes(msgspec.Struct, frozen=True, kw_only=True):
    """Two packs compared: the parts of one copy of the layout. Money and sheets are of all copies; None: one
    of the packs has no whole total. ``wood_lost``: what the blanks of parts no longer needed are worth, of
    all the copies there were, spare ones with them; None: a price of theirs is not known."""

    parts: tuple[PartFate, ...]
    boards: tuple[BoardFate, ...]
    legs: tuple[LegFate, ...] = ()
    joints_new: tuple[str, ...] = ()
    joints_gone: tuple[str, ...] = ()
    joints_moved: tuple[str, ...] = ()
    currency: str = ""
    cost_before: Decimal | None = None
    cost_after: Decimal | None = None
    sheets_before: int = 0
    sheets_after: int = 0
    made_before: int = 0
    made_after: int = 0
    wood_lost: Decimal | None = None
    copies_before: int = 1
    copies_after: int = 1
    lines: tuple[str, ...] = ()

    def of(self, fate: Fate) -> tuple[PartFate, ...]:
        return tuple(p for p in self.parts if p.fate is fate)
