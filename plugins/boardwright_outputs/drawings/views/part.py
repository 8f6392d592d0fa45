"""One part: profile, holes, pencil lines, overall dimensions, and where every hole goes.

Holes are numbered from the datum corner (lower left) and listed beside the part: x and y from the datum
corner to the hole's centre, diameter, depth, face and how to drill it. The list stands below a long part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import zip_longest
from textwrap import wrap

from boardwright.display import IN_MM, DisplaySettings
from boardwright_timber.model import BoardParts, Face, Hole, Part

from .. import placing
from ..dimension import Way, overall
from ..drawing import Drawing, Role, text_width
from ..pen import Pen
from .profile import LEAST_TILT_DEG, draw_profile

#: Columns of the list of holes: head and longest entry decide their width.
_HEADS = ("hole", "x", "y", "diameter", "depth", "kind")
#: Words of a hole longer than this go on in the next line.
_LETTERS = 28


def text_size(longest_mm: float) -> float:
    """Text height for a drawing this long: readable when it is fitted to a page, 4 mm at least."""
    return min(max(round(longest_mm / 70, 1), 4.0), 60.0)


def part_drawing(part: Part, show: DisplaySettings = IN_MM) -> Drawing:
    """A part alone, its datum corner at (0, 0), its drawn face up."""
    pen = Pen(text_size(max(part.length_mm, part.width_mm)), show)
    draw_profile(pen, part, placing.at(0.0, 0.0))
    _datum(pen)
    h = pen.text_mm
    # dimensions before labels, so that labels keep off them
    overall(pen, Way.LYING, 0.0, part.length_mm, 0.0, -3.0 * h)
    overall(pen, Way.UPRIGHT, 0.0, part.width_mm, 0.0, 2.5 * h)
    holes = in_order(part.holes)
    for i, hole in enumerate(holes, 1):
        pen.label_beside(str(i), (hole.x_mm, hole.y_mm), clear_mm=hole.diameter_mm / 2, height_mm=0.6 * h)
    pen.label_inside(part.id, part.ring, wells=part.openings, height_mm=1.2 * h)
    for mark in part.marks:
        if mark.text and len(mark.points) == 2:
            pen.label_along(mark.text, *mark.points, height_mm=0.6 * h)
        elif mark.text:
            pen.label_beside(mark.text, placing.middle(mark.points), height_mm=0.6 * h)
    top = pen.extent.top + 1.5 * h
    for line in reversed(_words(part, show)):
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
    """Which ends are not square, in words; empty when both are."""
    ends = []
    for name, angle in (("left", part.left_bevel_deg), ("right", part.right_bevel_deg)):
        if abs(angle) >= 0.05:
            longer = "drawn" if angle > 0 else "other"
            ends.append(f"{name} end {show.number(abs(angle), 1)}° off square, {longer} face the longer")
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
    """Under a long part in as many columns as there is room for, else on the right of it."""
    if not holes:
        return
    h = 0.7 * pen.text_mm
    rows = [row for i, hole in enumerate(holes, 1) for row in _rows(i, hole, pen.show)]
    widths = [max(text_width(r[c], h) for r in (_HEADS, *rows)) + 1.5 * h for c in range(len(_HEADS))]
    box, one = pen.extent, sum(widths) + 2 * h
    below = part.length_mm > 3 * part.width_mm
    if below:
        left, top = 0.0, box.bottom
        in_one = math.ceil(len(rows) / max(1, int(1.1 * box.width / one)))
    else:
        left, top = max(box.right, part.length_mm) + 3 * pen.text_mm, box.top
        in_one = max(12, int(box.height / (1.7 * h)) - 2)
    for start in range(0, len(rows), in_one):
        y = top - 1.7 * h
        for row in (_HEADS, *rows[start : start + in_one]):
            x = left
            for cell, width in zip(row, widths, strict=True):
                pen.write(cell, (x, y), height_mm=h)
                x += width
            y -= 1.7 * h
        left += one


def _rows(number: int, hole: Hole, show: DisplaySettings) -> list[tuple[str, ...]]:
    """One hole's line of the list; long words go on in lines below."""
    depth = wrap(depth_words(hole, show), _LETTERS)
    kind = wrap(kind_words(hole, show), _LETTERS)
    first = (str(number), show.figure(hole.x_mm), show.figure(hole.y_mm), show.figure(hole.diameter_mm))
    return [
        (*(first if n == 0 else ("",) * len(first)), d, k)
        for n, (d, k) in enumerate(zip_longest(depth, kind, fillvalue=""))
    ]
