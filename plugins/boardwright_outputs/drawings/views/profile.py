"""A part's profile as it is cut and drilled: shared by the part's own drawing, its cut sheet and end
elevations."""

from __future__ import annotations

from boardwright_timber.model import Face, Hole, Part

from ..drawing import Role
from ..pen import Pen
from ..placing import Place, moved


def hole_role(hole: Hole) -> Role:
    """What a hole means when the part lies with its drawn face up."""
    if hole.depth_mm is None:
        return Role.HOLE
    return Role.POCKET if hole.face is Face.OUTER else Role.BACK_HOLE


def draw_profile(pen: Pen, part: Part, place: Place, *, marks: bool = True) -> None:
    """Cut contours closed, holes as circles, pencil lines if wanted. No text."""
    for ring in (part.ring, *part.openings):
        pen.ring(Role.THROUGH_CUT, moved(ring, place))
    for hole in part.holes:
        pen.circle(hole_role(hole), moved([(hole.x_mm, hole.y_mm)], place)[0], hole.diameter_mm / 2)
    if marks:
        for mark in part.marks:
            pen.run(Role.MARK, moved(mark.points, place), closed=mark.closed)
