"""The wood of a board as one sees it: both elevations with their sizes, and the board taken apart with the
names of its parts.

What this does not know: what is hidden, where a part shows; that comes with the lines.
"""

from __future__ import annotations

from collections.abc import Sequence

from boardwright_timber.model import BoardViews, SeenLine

from .. import placing
from ..dimension import Way, overall, running
from ..drawing import Align, Box, Role, Text, box_of
from ..names import short
from ..pen import Pen
from ..placing import Place

#: Height of the names of parts, as shares of the drawing's text: smaller where there is less room.
NAMES = (0.8, 0.65, 0.5)
TRUE_MM = 1e-4  # neither quite level nor quite upright
LEVEL_MM = 0.5  # lines that rise by less lie level


def elevations(pen: Pen, views: BoardViews) -> None:
    """Front and right end as they look from there, with length and heights."""
    top = 0.0
    for lines, says in (
        (views.front, "Seen from the front (lower edge of the view from above)"),
        (views.right_end, "Seen from the right end"),
    ):
        if lines:
            box, place = _drawn(pen, lines, says, top)
            top = _sizes(pen, lines, box, place) - 3 * pen.text_mm


def taken_apart(pen: Pen, board: str, views: BoardViews) -> None:
    """Every part drawn away from the others, by its name without the board's."""
    if not views.apart:
        return
    _, place = _drawn(
        pen, views.apart, "Taken apart, seen from the front right and above; do not measure here", 0.0
    )
    sizes = [share * pen.text_mm for share in NAMES]
    for name in views.names:
        text, spots = short(name.part, board), [place(at) for at in name.spots]
        on_it = (
            Text(role=Role.TEXT, x_mm=x, y_mm=y - h / 2, height_mm=h, text=text, align=Align.CENTRE)
            for h in sizes
            for x, y in spots
        )
        if not pen.label_at(on_it):
            pen.label_beside(text, spots[0], height_mm=sizes[-1], leader=True)


def _drawn(pen: Pen, lines: Sequence[SeenLine], says: str, top: float) -> tuple[Box, Place]:
    """Draw lines below a heading, both below ``top``; answer what they cover and how they were moved."""
    h = pen.text_mm
    box = box_of([p for line in lines for p in (line.start, line.end)])
    dx, dy = -box.left, top - 2 * h - box.top
    pen.write(says, (0.0, top - h))
    place = placing.at(dx, dy)
    for line in lines:
        pen.line(Role.OUTLINE if line.deck else Role.MEMBER, place(line.start), place(line.end))
    return box.moved(dx, dy), place


def _sizes(pen: Pen, lines: Sequence[SeenLine], box: Box, place: Place) -> float:
    """Length below, and on the right each height at which a level edge is seen, from the lowest up; where a
    deck climbs, of edges that are quite level, and of the highest place."""
    h = pen.text_mm
    edges = [(place(line.start), place(line.end)) for line in lines]
    climbs = any(min(abs(a[0] - b[0]), abs(a[1] - b[1])) > TRUE_MM for a, b in edges)
    heights = [a[1] for a, b in edges if abs(a[1] - b[1]) < (TRUE_MM if climbs else LEVEL_MM)]
    heights += [box.top] if climbs else []
    running(pen, Way.UPRIGHT, box.bottom, heights, -box.right, -box.right - h)
    overall(pen, Way.LYING, box.left, box.right, box.bottom, box.bottom - 2 * h)
    return pen.extent.bottom
