"""End elevations: a mating end seen from outside its board, with the holes that must meet the next
board's."""

from __future__ import annotations

from boardwright_timber.model import Frame, Joists, Member, MemberRole, Part

from .. import placing
from ..dimension import Way, running
from ..pen import Pen
from .part import bevel_words
from .profile import draw_profile


def mating_members(frame: Frame, joists: Joists) -> tuple[Member, ...]:
    return tuple(m for m in (*frame.members, *joists.members) if m.role is MemberRole.END)


def draw_elevation(pen: Pen, part: Part, left: float, top: float) -> float:
    """Draw the part below ``top``; answer where the next thing may start."""
    h = pen.text_mm
    pen.write(f"{part.id} seen from outside the board", (left, top - h))
    bevel = bevel_words(part, pen.show)
    base = top - 2 * h - (1.6 * h if bevel else 0.0) - part.width_mm
    if bevel:
        pen.write(f"Bevel: {bevel}", (left, top - 2.6 * h))
    draw_profile(pen, part, placing.at(left, base), marks=False)
    joining = [hole for hole in part.holes if hole.joint] or list(part.holes)
    places = [left + hole.x_mm for hole in joining] + [left + part.length_mm]
    low = running(pen, Way.LYING, left, places, base, base - h)
    running(
        pen,
        Way.UPRIGHT,
        base,
        [base + hole.y_mm for hole in joining] + [base + part.width_mm],
        -left,
        -left + h,
    )
    return low - 3 * h
