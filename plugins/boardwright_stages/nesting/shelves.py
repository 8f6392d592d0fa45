"""Strips first: rip full-length strips, cross-cut them, and trim what is narrower than its strip.

A plain heuristic with the kerf exact: blanks by falling width, each into the strip it leaves least of, else a
new strip, else a new sheet. Equal widths (all sides and joists of one depth) make it plain one-dimensional
packing. It competes with the solver and stands in for it where a list is too long to search.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from .piece import Area, Blank, Piece, SheetTree


class _Strip(msgspec.Struct):
    width: int
    sheet: int
    number: int
    room: int  # along the strip, when a blank is to follow
    blanks: list[tuple[int, int, int]]  # blank, length, width


class _Sheet(msgspec.Struct):
    area: Area
    strips: list[_Strip]
    used: int = 0  # across the sheet, with a kerf after every strip


def shelves(blanks: Sequence[Blank], areas: Sequence[Area], kerf: int) -> list[SheetTree]:
    """Every blank placed; ``areas`` in the order they are to be used up. Each blank must fit one of them."""
    lying = [_lying(b, areas) for b in blanks]
    order = sorted(range(len(blanks)), key=lambda i: (-lying[i][1], -lying[i][0], i))
    shortest = min((length for length, _ in lying), default=0)
    sheets: list[_Sheet] = []
    open_strips: list[_Strip] = []
    for i in order:
        waiting = len(blanks[i].parts)
        while waiting:
            strip = _best_strip(lying[i], open_strips) or _new_strip(lying[i], sheets, areas, kerf)
            if not strip.blanks:
                open_strips.append(strip)
            waiting -= _place(i, waiting, lying[i], strip, kerf)
            if strip.room < shortest:
                open_strips = [s for s in open_strips if s is not strip]
    return [SheetTree(s.area.kind, _tree(s, kerf)) for s in sheets]


def _lying(blank: Blank, areas: Sequence[Area]) -> tuple[int, int]:
    """The way it lies: long side along the sheet where it may and can."""
    ways = sorted(blank.ways, reverse=True)
    return next(w for w in ways if any(w[0] <= a.length and w[1] <= a.width for a in areas))


def _best_strip(size: tuple[int, int], open_strips: Sequence[_Strip]) -> _Strip | None:
    length, width = size
    return min(
        (s for s in open_strips if width <= s.width and length <= s.room),
        key=lambda s: (s.width - width, s.room - length, s.sheet, s.number),
        default=None,
    )


def _new_strip(size: tuple[int, int], sheets: list[_Sheet], areas: Sequence[Area], kerf: int) -> _Strip:
    length, width = size
    sheet = next(
        (s for s in sheets if length <= s.area.length and s.used + width <= s.area.width), None
    ) or _new_sheet(size, sheets, areas)
    strip = _Strip(
        width, next(n for n, s in enumerate(sheets) if s is sheet), len(sheet.strips), sheet.area.length, []
    )
    sheet.strips.append(strip)
    sheet.used += width + kerf
    return strip


def _place(i: int, waiting: int, size: tuple[int, int], strip: _Strip, kerf: int) -> int:
    """As many copies as the strip takes: with one more in it, it is still the best for the next."""
    length, width = size
    number = min(waiting, (strip.room + kerf) // (length + kerf))
    strip.blanks += [(i, length, width)] * number
    strip.room -= number * (length + kerf)
    return number


def _new_sheet(size: tuple[int, int], sheets: list[_Sheet], areas: Sequence[Area]) -> _Sheet:
    for area in areas:
        taken = sum(s.area is area for s in sheets)
        if (
            size[0] <= area.length
            and size[1] <= area.width
            and (area.quantity is None or taken < area.quantity)
        ):
            sheets.append(_Sheet(area, []))
            return sheets[-1]
    raise LookupError(f"no sheet left for a blank of {size[0]} × {size[1]} units")


def _tree(sheet: _Sheet, kerf: int) -> Piece:
    length, width = sheet.area.length, sheet.area.width
    strips = []
    bottom = 0
    for strip in sheet.strips:
        top = bottom + strip.width
        strips.append(Piece(0, bottom, length, top, _lengths(strip, bottom, kerf)))
        bottom = top + kerf
    return Piece(0, 0, length, width, tuple(strips))


def _lengths(strip: _Strip, bottom: int, kerf: int) -> tuple[Piece, ...]:
    pieces = []
    left = 0
    for i, length, width in strip.blanks:
        right = left + length
        blank = Piece(left, bottom, right, bottom + width, (), i)
        top = bottom + strip.width
        pieces.append(blank if width == strip.width else Piece(left, bottom, right, top, (blank,)))
        left = right + kerf
    return tuple(pieces)
