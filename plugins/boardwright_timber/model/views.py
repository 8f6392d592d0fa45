"""Wood as it looks from a distance: lines on paper."""

from __future__ import annotations

import msgspec

from boardwright.plan.model import Point


class SeenLine(msgspec.Struct, frozen=True):
    """A visible edge on paper, mm. ``deck``: of the deck, else of the frame."""

    deck: bool
    start: Point
    end: Point


class BoardViews(msgspec.Struct, frozen=True, kw_only=True):
    """A board from the front (its lower edge in plan), from its right end, and isometric from the front right
    with its deck lifted by ``lift_mm``. Full size, but the isometric view: do not measure there."""

    board: str
    front: tuple[SeenLine, ...] = ()
    right_end: tuple[SeenLine, ...] = ()
    isometric: tuple[SeenLine, ...] = ()
    lift_mm: float = 0.0
