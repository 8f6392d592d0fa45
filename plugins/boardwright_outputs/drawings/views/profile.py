"""A part's profile as it is cut and drilled: shared by the part's own drawing, its cut sheet and end
elevations."""

from __future__ import annotations

import math

from boardwright.plan.model import Point
from boardwright_timber.model import Face, Hole, Part

from ..drawing import Role
from ..pen import Pen
from ..placing import Place, moved

#: A drill nearer to square than this is square: no stand or hand tells the difference.
LEAST_TILT_DEG = 0.05
#: Straight pieces a half circle of a slot is drawn in where a file has no arcs.
SLOT_STEPS = 12


def hole_role(hole: Hole) -> Role:
    """What a hole means to a machine when the part lies with its drawn face up.

    A hole off square is for the hand: from the drawn face its start is only marked.
    """
    tilted = abs(hole.tilt_deg) >= LEAST_TILT_DEG
    if hole.face is Face.INNER and (tilted or hole.depth_mm is not None):
        return Role.BACK_HOLE
    if tilted:
        return Role.MARK
    return Role.HOLE if hole.depth_mm is None else Role.POCKET


def draw_profile(
    pen: Pen, part: Part, place: Place, *, marks: bool = True, milled: frozenset[Point] = frozenset()
) -> None:
    """Cut contours closed, holes as circles, pencil lines if wanted. No text. ``milled``: where holes on the
    paper are made on a helix."""
    rounds = tuple((*moved([(c.x_mm, c.y_mm)], place)[0], c.radius_mm, c.chord_mm) for c in part.circles)
    for ring in (part.ring, *part.openings):
        pen.ring(Role.THROUGH_CUT, moved(ring, place), rounds)
    for hole in part.holes:
        if hole.is_slot:
            draw_slot(pen, hole, place)
            continue
        middle = moved([(hole.x_mm, hole.y_mm)], place)[0]
        pen.circle(Role.HELIX if middle in milled else hole_role(hole), middle, hole.diameter_mm / 2)
        if hole.opened_mm:
            pen.circle(Role.MARK, middle, hole.opened_mm / 2)
    if marks:
        for mark in part.marks:
            pen.run(Role.MARK, moved(mark.points, place), closed=mark.closed)


def draw_slot(pen: Pen, hole: Hole, place: Place) -> None:
    """A slot is cut, not drilled: two straight sides between two half circles."""
    r = hole.diameter_mm / 2
    start = math.radians(hole.slot_deg)
    ends = hole.ends
    ring = [
        (x + r * math.cos(start + turn), y + r * math.sin(start + turn))
        for (x, y), first in ((ends[1], -math.pi / 2), (ends[0], math.pi / 2))
        for turn in (first + math.pi * n / SLOT_STEPS for n in range(SLOT_STEPS + 1))
    ]
    chord = 2 * r * math.sin(math.pi / SLOT_STEPS / 2) + 1e-6
    rounds = tuple((*moved([end], place)[0], r, chord) for end in ends)
    pen.ring(Role.THROUGH_CUT, moved(ring, place), rounds)
