"""Which pages a template needs: a grid of windows that overlap, without those that show none of the part.

Glossary
    window   what one page shows: an upright rectangle of the drawing, all of one size
    cross    a point that neighbouring pages both show, to lay them on each other
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from boardwright.plan.model import Point, Ring

from ..drawings.drawing import Box, box_of
from ..drawings.room import crosses, inside


class Tile(msgspec.Struct, frozen=True):
    """``name``: column letter and row number, A1 lower left."""

    name: str
    window: Box


class Tiling(msgspec.Struct, frozen=True):
    """``crosses`` in the drawing's millimetres."""

    tiles: tuple[Tile, ...]
    crosses: tuple[Point, ...]


def tiled(rings: Sequence[Ring], frame: Box, window_mm: tuple[float, float], overlap_mm: float) -> Tiling:
    """Cover ``frame`` with windows, in reading order (rows from the top), leaving out those clear of all
    ``rings``: outside every contour and off its line by more than the overlap."""
    columns = _places(frame.left, frame.right, window_mm[0], overlap_mm)
    rows = _places(frame.bottom, frame.top, window_mm[1], overlap_mm)
    tiles = [
        Tile(f"{_letters(i)}{j + 1}", window)
        for j, y in reversed(list(enumerate(rows)))
        for i, x in enumerate(columns)
        if _shows(rings, window := Box(x, y, x + window_mm[0], y + window_mm[1]), overlap_mm)
    ]
    seams_x = [x + overlap_mm / 2 for x in columns[1:]]
    seams_y = [y + overlap_mm / 2 for y in rows[1:]]
    middles_x = [x + window_mm[0] / 2 for x in columns]
    middles_y = [y + window_mm[1] / 2 for y in rows]
    points = [(x, y) for x in seams_x for y in (*seams_y, *middles_y)]
    points += [(x, y) for y in seams_y for x in middles_x]
    return Tiling(tuple(tiles), tuple(sorted(points)))


def _places(low: float, high: float, window: float, overlap: float) -> list[float]:
    """Lower ends of windows that cover low … high, the spare room shared out on both sides."""
    step = window - overlap
    count = max(1, math.ceil((high - low - overlap - 1e-6) / step))
    start = (low + high) / 2 - (count * step + overlap) / 2
    return [start + k * step for k in range(count)]


def _shows(rings: Sequence[Ring], window: Box, air_mm: float) -> bool:
    wide = window.grown(air_mm)
    for ring in rings:
        if not box_of(ring).meets(wide):
            continue
        if any(crosses((a, b), wide) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)):
            return True
        if inside(window.centre, ring):
            return True
    return False


def _letters(n: int) -> str:
    """A, B … Z, AA, AB …"""
    text = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        text = chr(ord("A") + rest) + text
    return text
