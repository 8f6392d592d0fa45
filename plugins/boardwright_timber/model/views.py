"""Wood as it looks from a distance: lines on paper."""

from __future__ import annotations

import msgspec

from boardwright.plan.model import Point


class SeenLine(msgspec.Struct, frozen=True):
    """A visible edge on paper, mm. ``deck``: of the deck, else of the frame."""

    deck: bool
    start: Point
    end: Point


class SeenName(msgspec.Struct, frozen=True):
    """A part and spots on paper, mm, where one sees it, the best first."""

    part: str
    spots: tuple[Point, ...]


class BoardViews(msgspec.Struct, frozen=True, kw_only=True):
    """A board from the front (its lower edge in plan), from its right end, and taken apart, isometric from
    the front right, with the names of its parts (but of blocks between skins, which are many and alike). Full
    size, but the board apart: do not measure there."""

    board: str
    front: tuple[SeenLine, ...] = ()
    right_end: tuple[SeenLine, ...] = ()
    apart: tuple[SeenLine, ...] = ()
    names: tuple[SeenName, ...] = ()
