"""What a full-size template shows of a part: its edge, its holes with their centres, and its pencil lines.

Text is as high as it is read on the bench, whatever the size of the part. Members seen through a deck are
their centrelines: the lines its screws go in.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright.display import IN_MM, DisplaySettings
from boardwright_timber.model import Hole, MarkKind, Part

from ..drawings import placing
from ..drawings.drawing import Drawing, Role
from ..drawings.pen import Pen
from ..drawings.views.part import bevel_words, kind_name
from ..drawings.views.profile import draw_profile, hole_role

TEXT_MM = 4.0
#: How far the cross of a hole's centre stands out of the hole.
CENTRE_MM = 2.0
_ROLES = {
    MarkKind.DEVICE: Role.DEVICE,
    MarkKind.TRACK: Role.TRACK,
    MarkKind.TURNOUT: Role.TURNOUT,
    MarkKind.MEMBER: Role.MEMBER,
}


def wanted(parts: Iterable[Part], which: str) -> tuple[Part, ...]:
    """The parts that get a template; ``which`` as in ``[templates] print``."""
    if which == "nothing":
        return ()
    return tuple(
        p
        for p in parts
        if which == "all parts" or not p.placement.stands or any(h.joint for h in p.holes) or p.circles
    )


def template(part: Part, show: DisplaySettings = IN_MM) -> Drawing:
    """The part with its drawn face up, its datum corner at (0, 0)."""
    pen = Pen(TEXT_MM, show)
    draw_profile(pen, part, placing.at(0.0, 0.0), marks=False)
    for mark in part.marks:
        pen.run(_ROLES[mark.kind], mark.points, closed=mark.closed)
    for hole in part.holes:
        _centre(pen, hole)
    for hole in part.holes:
        pen.label_beside(
            f"{show.figure(hole.diameter_mm)} {kind_name(hole, show)}",
            (hole.x_mm, hole.y_mm),
            clear_mm=hole.diameter_mm / 2 + CENTRE_MM,
            height_mm=0.6 * TEXT_MM,
        )
    for mark in part.marks:
        if mark.text and len(mark.points) == 2:
            pen.label_along(mark.text, *mark.points, height_mm=0.6 * TEXT_MM)
        elif mark.text:
            pen.label_beside(mark.text, placing.middle(mark.points), height_mm=0.8 * TEXT_MM)
    pen.label_inside(part.id, part.ring, wells=part.openings, height_mm=2 * TEXT_MM)
    return pen.drawing(f"{part.id}, {part.role}")


def words(part: Part, show: DisplaySettings = IN_MM) -> str:
    """Which face is up, and what a flat template cannot show."""
    face = "outer face, top edge up" if part.placement.stands else "upper face"
    bevel = bevel_words(part, show)
    said = f"Seen: {face}. {part.material}, {show.length(part.thickness_mm)}."
    return said + (f" Bevel: {bevel}; the line is the longer face." if bevel else "")


def _centre(pen: Pen, hole: Hole) -> None:
    role, reach = hole_role(hole), hole.diameter_mm / 2 + CENTRE_MM
    pen.line(role, (hole.x_mm - reach, hole.y_mm), (hole.x_mm + reach, hole.y_mm))
    pen.line(role, (hole.x_mm, hole.y_mm - reach), (hole.x_mm, hole.y_mm + reach))
