"""A part's profile as it is cut and drilled: shared by the part's own drawing, its cut sheet and end
elevations."""

from __future__ import annotations

from boardwright_timber.model import Face, Hole, Part

from ..drawing import Role
from ..pen import Pen
from ..placing import Place, moved

#: A drill nearer to square than this is square: no stand or hand tells the difference.
LEAST_TILT_DEG = 0.05


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


def draw_profile(pen: Pen, part: Part, place: Place, *, marks: bool = True) -> None:
    """Cut contours closed, holes as circles, pencil lines if wanted. No text."""
    rounds = tuple((*moved([(c.x_mm, c.y_mm)], place)[0], c.radius_mm, c.chord_mm) for c in part.circles)
    for ring in (part.ring, *part.openings):
        pen.ring(Role.THROUGH_CUT, moved(ring, place), rounds)
    for hole in part.holes:
        pen.circle(hole_role(hole), moved([(hole.x_mm, hole.y_mm)], place)[0], hole.diameter_mm / 2)
    if marks:
        for mark in part.marks:
            pen.run(Role.MARK, moved(mark.points, place), closed=mark.closed)
