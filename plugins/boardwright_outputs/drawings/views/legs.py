"""A board on its legs, seen from the front: what to saw, how long, and where the floor is.

What this does not know: rails across (they are seen end on), trestles, brackets, battens.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from boardwright_timber.model import BoardStand, Leg, SeenLine

from ..dimension import Way, overall
from ..drawing import Align, Role, box_of
from ..pen import Pen


def standing(pen: Pen, front: Sequence[SeenLine], stand: BoardStand) -> None:
    """The board's front view (x along it, heights from its deck's underside) with the legs below."""
    h = pen.text_mm
    for line in front:
        pen.line(Role.OUTLINE if line.deck else Role.MEMBER, line.start, line.end)
    floor = min(leg.top_mm - leg.length_mm - leg.foot_mm for leg in stand.legs)
    alike = sorted(stand.legs, key=_place)
    for _, group in groupby(alike, key=_place):
        _leg(pen, list(group))
    box = box_of([p for line in front for p in (line.start, line.end)])
    pen.line(Role.OUTLINE, (box.left - 2 * h, floor), (box.right + 2 * h, floor))
    first = alike[0]
    overall(pen, Way.UPRIGHT, floor, first.top_mm, -box.left, -box.left + 3 * h)
    overall(pen, Way.UPRIGHT, floor, box.top, -box.right, -box.right - 3 * h)
    pen.write("floor", (box.right + h, floor - 1.5 * h), height_mm=0.8 * h)
    pen.write("On its legs, seen from the front; rails across are in the list", (box.left, box.top + 3 * h))


def _place(leg: Leg) -> tuple[float, float]:
    return round(leg.x_mm, 1), leg.length_mm


def _leg(pen: Pen, legs: Sequence[Leg]) -> None:
    """Legs one behind the other, as one; their names and length beside them."""
    leg, half = legs[0], legs[0].side_mm / 2
    low = leg.top_mm - leg.length_mm
    left, right = leg.x_mm - half, leg.x_mm + half
    pen.ring(Role.MEMBER, ((left, low), (right, low), (right, leg.top_mm), (left, leg.top_mm)))
    if leg.foot_mm:
        foot = low - leg.foot_mm
        pen.line(Role.MEMBER, (leg.x_mm, low), (leg.x_mm, foot))
        pen.line(Role.MEMBER, (left, foot), (right, foot))
    names = ", ".join(one.id.rpartition("-")[2] for one in legs)
    at = (right + pen.text_mm / 2, (low + leg.top_mm) / 2)
    pen.write(f"{names}: {pen.show.length(leg.length_mm)}", at, height_mm=0.8 * pen.text_mm, align=Align.LEFT)
