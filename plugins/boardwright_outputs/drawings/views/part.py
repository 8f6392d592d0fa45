"""One part: profile, holes, pencil lines, overall dimensions, and where every hole goes.

Holes are numbered from the datum corner (lower left) and listed beside the part: x and y from the datum
corner to the hole's centre, diameter, depth, face and how to drill it. The list stands below a long part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import zip_longest
from textwrap import wrap
from typing import NamedTuple

from boardwright.display import IN_MM, DisplaySettings
from boardwright_timber.model import BoardParts, Face, Hole, Part

from .. import placing
from ..dimension import Way, overall
from ..drawing import Box, Drawing, Role, text_width
from ..pen import Pen
from .profile import LEAST_TILT_DEG, draw_profile
from .shape import dimension_shape, label_shape

#: Columns of the list of holes: head and longest entry decide their width.
_HEADS = ("hole", "x", "y", "diameter", "depth", "kind")
#: Words of a hole longer than one of these go on in the next line.
_LETTERS = (28, 44, 72)
#: As do longer sentences about a part.
_WORDS = 64


def text_size(longest_mm: float) -> float:
    """Text height for a drawing this long: readable when it is fitted to a page, 4 mm at least."""
    return min(max(round(longest_mm / 60, 1), 4.0), 60.0)


def part_drawing(part: Part, show: DisplaySettings = IN_MM) -> Drawing:
    """A part alone, its datum corner at (0, 0), its drawn face up."""
    pen = Pen(text_size(max(part.length_mm, part.width_mm)), show)
    draw_profile(pen, part, placing.at(0.0, 0.0))
    _datum(pen)
    h = pen.text_mm
    # dimensions before labels, so that labels keep off them
    low, left = dimension_shape(pen, part)
    overall(pen, Way.LYING, 0.0, part.length_mm, low, low - 2.0 * h)
    overall(pen, Way.UPRIGHT, 0.0, part.width_mm, left, left + 2.5 * h)
    holes = in_order(part.holes)
    for i, hole in enumerate(holes, 1):
        pen.label_beside(str(i), (hole.x_mm, hole.y_mm), clear_mm=hole.diameter_mm / 2, height_mm=0.65 * h)
    pen.label_inside(part.id, part.ring, wells=part.openings, height_mm=1.2 * h)
    label_shape(pen, part)
    for mark in part.marks:
        if mark.text and len(mark.points) == 2:
            pen.label_along(mark.text, *mark.points, height_mm=0.65 * h)
        elif mark.text:
            pen.label_beside(mark.text, placing.middle(mark.points), height_mm=0.65 * h)
    top = pen.extent.top + 1.5 * h
    for line in reversed([piece for said in _words(part, show) for piece in wrap(said, _WORDS)]):
        pen.write(line, (0.0, top))
        top += 1.6 * h
    _hole_list(pen, holes, part)
    return pen.drawing(f"Part {part.id}, {part.role}")


def part_drawings(parts: BoardParts, show: DisplaySettings = IN_MM) -> dict[str, Drawing]:
    return {part.id: part_drawing(part, show) for part in parts.cut}


def in_order(holes: Sequence[Hole]) -> tuple[Hole, ...]:
    """Left to right, then upwards: the order the list numbers them in."""
    return tuple(sorted(holes, key=lambda h: (h.x_mm, h.y_mm, h.kind, h.diameter_mm)))


def bevel_words(part: Part, show: DisplaySettings = IN_MM) -> str:
    """Which ends are not square, and whether the top is, in words; empty when all are."""
    ends = []
    for name, angle in (("left", part.left_bevel_deg), ("right", part.right_bevel_deg)):
        if abs(angle) >= 0.05:
            longer = "drawn" if angle > 0 else "other"
            ends.append(f"{name} end {show.number(abs(angle), 1)}° off square, {longer} face the longer")
    if part.top_tilt_deg:
        higher = "drawn" if part.top_tilt_deg > 0 else "other"
        tilt = show.number(abs(part.top_tilt_deg), 1)
        ends.append(f"top {tilt}° off square, {higher} face the higher")
    return "; ".join(ends)


def depth_words(hole: Hole, show: DisplaySettings = IN_MM) -> str:
    """How deep, from which face if not the drawn one, and how far off square."""
    words = "through" if hole.depth_mm is None else show.figure(hole.depth_mm)
    if hole.face is Face.INNER:
        words += " from back"
    if abs(hole.tilt_deg) >= LEAST_TILT_DEG:
        side = "right" if hole.tilt_deg > 0 else "left"
        words += f", tilted {show.number(abs(hole.tilt_deg), 1)}°, comes out further {side}"
    return words


def kind_name(hole: Hole, show: DisplaySettings = IN_MM) -> str:
    """What it is for, or how long a slot is and which way it lies."""
    if not hole.is_slot:
        return hole.kind.value
    return f"slot {show.figure(hole.slot_mm)} long at {show.number(hole.slot_deg, 1)}°"


def kind_words(hole: Hole, show: DisplaySettings = IN_MM) -> str:
    words = kind_name(hole, show)
    if hole.joint:
        words += f", joint {hole.joint}"
    return f"{words}, {show.prose(hole.note)}" if hole.note else words


def _words(part: Part, show: DisplaySettings) -> list[str]:
    lines = [
        f"{part.id}, {part.role}" + (f": {part.label}" if part.label != part.id else ""),
        f"{part.material}, {show.length(part.thickness_mm)} thick. {show.sizes}.",
    ]
    if part.placement.stands:
        lines.append("Drawn face: outer face, top edge up. Datum: lower left corner.")
    else:
        lines.append("Drawn face: upper face. Datum: lower left corner.")
    bevel = bevel_words(part, show)
    if bevel:
        lines.append(f"Bevel: {bevel}. Sizes are long point to long point.")
    return lines


def _datum(pen: Pen) -> None:
    """A small corner mark just outside the datum corner."""
    h = pen.text_mm
    pen.run(Role.DIMENSION, ((-0.3 * h, 0.8 * h), (-0.3 * h, -0.3 * h), (0.8 * h, -0.3 * h)))


def _hole_list(pen: Pen, holes: Sequence[Hole], part: Part) -> None:
    """Under the part, in as many columns as there is room for, or on its right, long words going on in
    further lines or not: whichever comes out largest on paper."""
    if not holes:
        return
    h, box = 0.8 * pen.text_mm, pen.extent
    laid = []
    for letters in _LETTERS:
        rows = [row for i, hole in enumerate(holes, 1) for row in _rows(i, hole, pen.show, letters)]
        laid += [_list_laid(box, rows, h, side) for side in ("below", "right")]
    best = min(laid, key=lambda way: way.size)
    if best.below:
        left, top = min(0.0, box.left), box.bottom
    else:
        left, top = max(box.right, part.length_mm) + 3 * pen.text_mm, box.top
    for start in range(0, len(best.rows), best.in_one):
        y = top - 1.7 * h
        for row in (_HEADS, *best.rows[start : start + best.in_one]):
            x = left
            for cell, width in zip(row, best.widths, strict=True):
                pen.write(cell, (x, y), height_mm=h)
                x += width
            y -= 1.7 * h
        left += sum(best.widths) + 2 * h


class _Laid(NamedTuple):
    """A way to lay out the list; ``size`` is how large a page it needs with the drawing."""

    size: float
    below: bool
    rows: list[tuple[str, ...]]
    widths: list[float]
    in_one: int


def _list_laid(box: Box, rows: list[tuple[str, ...]], h: float, side: str) -> _Laid:
    widths = [max(text_width(r[c], h) for r in (_HEADS, *rows)) + 1.5 * h for c in range(len(_HEADS))]
    one, line = sum(widths) + 2 * h, 1.7 * h
    if side == "below":
        lists = max(1, int(1.1 * box.width / one))
        in_one = math.ceil(len(rows) / lists)
        size = _size(max(box.width, lists * one), box.height + line * (in_one + 1))
    else:
        in_one = max(12, int(box.height / line) - 2)
        size = _size(box.width + math.ceil(len(rows) / in_one) * one, max(box.height, line * in_one))
    return _Laid(size, side == "below", rows, widths, in_one)


def _size(wide: float, high: float) -> float:
    """How large a page on its side must be to hold it."""
    return max(wide / 1.7, high)


def _rows(number: int, hole: Hole, show: DisplaySettings, letters: int) -> list[tuple[str, ...]]:
    """One hole's line of the list; words longer than so many letters go on in lines below."""
    depth = wrap(depth_words(hole, show), letters)
    kind = wrap(kind_words(hole, show), letters)
    first = (str(number), show.figure(hole.x_mm), show.figure(hole.y_mm), show.figure(hole.diameter_mm))
    return [
        (*(first if n == 0 else ("",) * len(first)), d, k)
        for n, (d, k) in enumerate(zip_longest(depth, kind, fillvalue=""))
    ]
