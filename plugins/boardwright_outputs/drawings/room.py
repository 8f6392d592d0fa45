"""Room: finds places where text lies neither across a line nor on other text.

Glossary
    hard line   text must never lie across it: cuts, hole edges, sheet edges, dimension lines
    soft line   better left clear, but text may lie across it when there is no other place: track, members

Lines and boxes are kept in a grid of square cells, so a question costs the same on a large layout.
What this does not know: fonts. Text boxes are estimates (see ``drawing.CHARACTER_WIDTH``).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from boardwright.plan.model import Point, Ring

from .drawing import Box

type Segment = tuple[Point, Point]
type Circle = tuple[Point, float]
"""Centre and radius."""
type Kept = tuple[float, float, float, float, Segment | None, Circle | None]
"""A segment or circle behind its left, bottom, right and top, by which most questions are answered."""


def crosses(segment: Segment, box: Box) -> bool:
    """Does the segment pass through the inside of the box? (Clipping in turn against its four sides.)"""
    (x0, y0), (x1, y1) = segment
    if max(x0, x1) <= box.left or min(x0, x1) >= box.right:
        return False
    if max(y0, y1) <= box.bottom or min(y0, y1) >= box.top:
        return False
    dx, dy = x1 - x0, y1 - y0
    start, end = 0.0, 1.0
    for p, q in ((-dx, x0 - box.left), (dx, box.right - x0), (-dy, y0 - box.bottom), (dy, box.top - y0)):
        if p == 0:
            if q <= 0:
                return False
            continue
        t = q / p
        if p < 0:
            start = max(start, t)
        else:
            end = min(end, t)
        if start >= end:
            return False
    return True


def inside(p: Point, ring: Ring) -> bool:
    """Is the point inside the ring? (Even–odd rule.)"""
    found = False
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (y0 > p[1]) != (y1 > p[1]) and p[0] < x0 + (p[1] - y0) / (y1 - y0) * (x1 - x0):
            found = not found
    return found


def rounds(circle: Circle, box: Box) -> bool:
    """Does the circle pass through the inside of the box?"""
    (x, y), radius = circle
    near = math.hypot(max(box.left - x, 0.0, x - box.right), max(box.bottom - y, 0.0, y - box.top))
    far = math.hypot(max(x - box.left, box.right - x), max(y - box.bottom, box.top - y))
    return near < radius < far


class Room:
    def __init__(self, cell_mm: float) -> None:
        self.cell_mm = cell_mm
        self._hard: defaultdict[tuple[int, int], list[Kept]] = defaultdict(list)
        self._soft: defaultdict[tuple[int, int], list[Kept]] = defaultdict(list)
        self._text: defaultdict[tuple[int, int], list[Box]] = defaultdict(list)

    def add_line(self, a: Point, b: Point, hard: bool) -> None:
        index = self._hard if hard else self._soft
        kept = (min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]), (a, b), None)
        for cell in self._cells_on(a, b):
            index[cell].append(kept)

    def add_circle(self, centre: Point, radius: float, hard: bool) -> None:
        index = self._hard if hard else self._soft
        box = Box(centre[0] - radius, centre[1] - radius, centre[0] + radius, centre[1] + radius)
        kept = (box.left, box.bottom, box.right, box.top, None, (centre, radius))
        for cell in self._cells_in(box):
            index[cell].append(kept)

    def add_text(self, box: Box) -> None:
        for cell in self._cells_in(box):
            self._text[cell].append(box)

    def free(self, box: Box, *, soft_too: bool) -> bool:
        """Is the box clear of text and hard lines, and if asked of soft ones?"""
        lines = (self._hard, self._soft) if soft_too else (self._hard,)
        cells = self._cells_in(box)
        for cell in cells:
            for other in self._text.get(cell, ()):
                if box.meets(other):
                    return False
        left, bottom, right, top = box.left, box.bottom, box.right, box.top
        for index in lines:
            for cell in cells:
                for x0, y0, x1, y1, segment, circle in index.get(cell, ()):
                    if x1 <= left or x0 >= right or y1 <= bottom or y0 >= top:
                        continue
                    if (segment and crosses(segment, box)) or (circle and rounds(circle, box)):
                        return False
        return True

    def text_on(self, a: Point, b: Point) -> Box | None:
        """A text through which the line runs; None: it is clear of all."""
        for cell in self._cells_on(a, b):
            for box in self._text.get(cell, ()):
                if crosses((a, b), box):
                    return box
        return None

    def clear_of_text(self, p: Point) -> bool:
        cell = (math.floor(p[0] / self.cell_mm), math.floor(p[1] / self.cell_mm))
        return not any(
            box.left < p[0] < box.right and box.bottom < p[1] < box.top for box in self._text.get(cell, ())
        )

    def _cells_in(self, box: Box) -> list[tuple[int, int]]:
        c = self.cell_mm
        columns = range(math.floor(box.left / c), math.floor(box.right / c) + 1)
        rows = range(math.floor(box.bottom / c), math.floor(box.top / c) + 1)
        return [(i, j) for i in columns for j in rows]

    def _cells_on(self, a: Point, b: Point) -> Iterator[tuple[int, int]]:
        """Cells a segment runs through, column by column (a few more than strictly needed)."""
        c = self.cell_mm
        (x0, y0), (x1, y1) = (a, b) if a[0] <= b[0] else (b, a)
        first, last = math.floor(x0 / c), math.floor(x1 / c)
        slope = (y1 - y0) / (x1 - x0) if x1 > x0 else 0.0
        for i in range(first, last + 1):
            start = y0 if i == first else y0 + slope * (i * c - x0)
            end = y1 if i == last else y0 + slope * ((i + 1) * c - x0)
            low, high = (start, end) if start < end else (end, start)
            for j in range(math.floor(low / c), math.floor(high / c) + 1):
                yield i, j
