"""A board on its legs or posts, seen from the front: what to saw, how long, and where the floor is.

What this does not know: rails across (they are seen end on), trestles, brackets, battens.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from boardwright_timber.model import BoardStand, Leg, SeenLine

from ..dimension import Way, overall
from ..drawing import Align, Role, Text, box_of
from ..pen import Pen


def standing(pen: Pen, front: Sequence[SeenLine], stand: BoardStand) -> None:
    """The board's front view (x along it, heights from its deck's underside) with the legs below."""
    h = pen.text_mm
    for line in front:
        pen.line(Role.OUTLINE if line.deck else Role.MEMBER, line.start, line.end)
    floor = min(leg.top_mm - leg.length_mm - leg.foot_mm for leg in stand.legs)
    alike = sorted(stand.legs, key=_place)
    together = [list(group) for _, group in groupby(alike, key=_place)]
    for group in together:
        _leg(pen, group[0])
    box = box_of([p for line in front for p in (line.start, line.end)])
    pen.line(Role.OUTLINE, (box.left - 2 * h, floor), (box.right + 2 * h, floor))
    for group in together:
        _name(pen, group)
    # beyond names that stand outside the board, so that none lies across a dimension
    left = min(box.left - 3 * h, pen.extent.left - h)
    right = max(box.right + 3 * h, pen.extent.right + 2 * h)
    overall(pen, Way.UPRIGHT, floor, alike[0].top_mm, -box.left, -left)
    overall(pen, Way.UPRIGHT, floor, box.top, -box.right, -right)
    on = " and ".join(sorted({leg.on for leg in stand.legs if leg.on}))
    pen.write(f"on {on}" if on else "floor", (box.right + h, floor - 1.5 * h), height_mm=0.8 * h)
    says = f"On its posts, which stand on {on}" if on else "On its legs"
    rails = "" if on else "; rails across are in the list"
    pen.write(f"{says}, seen from the front{rails}", (box.left, box.top + 3 * h))


def _place(leg: Leg) -> tuple[float, float]:
    return round(leg.middle[0], 1), leg.length_mm


def _leg(pen: Pen, leg: Leg) -> None:
    """A leg and its foot."""
    half, x = leg.side_mm / 2, leg.middle[0]
    low = leg.top_mm - leg.length_mm
    left, right = x - half, x + half
    pen.ring(Role.MEMBER, ((left, low), (right, low), (right, leg.top_mm), (left, leg.top_mm)))
    if leg.foot_mm:
        foot = low - leg.foot_mm
        pen.line(Role.MEMBER, (x, low), (x, foot))
        pen.line(Role.MEMBER, (left, foot), (right, foot))


def _name(pen: Pen, legs: Sequence[Leg]) -> None:
    """Names and length of legs one behind the other, beside them, where there is room."""
    leg, h = legs[0], 0.8 * pen.text_mm
    x = leg.middle[0]
    names = ", ".join(one.id.rpartition("-")[2] for one in legs)
    text = f"{names}: {pen.show.length(leg.length_mm)}"
    away = leg.side_mm / 2 + pen.text_mm / 2
    places = (
        Text(
            role=Role.TEXT,
            x_mm=x + side * away,
            y_mm=leg.top_mm - leg.length_mm * share,
            height_mm=h,
            text=text,
            align=align,
        )
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
        for side, align in ((1, Align.LEFT), (-1, Align.RIGHT))
    )
    along = (  # read from the right, between legs that stand close
        Text(
            role=Role.TEXT,
            x_mm=x + (away + h if side > 0 else -away),
            y_mm=leg.top_mm - leg.length_mm * share,
            height_mm=h,
            text=text,
            align=Align.CENTRE,
            angle_deg=90.0,
        )
        for share in (0.5, 0.3, 0.7)
        for side in (1, -1)
    )
    if not pen.label_at(places) and not pen.label_at(along):
        middle = (x, leg.top_mm - leg.length_mm / 2)
        pen.label_beside(text, middle, clear_mm=away, height_mm=h, leader=True)
