"""Where the layout is parted: boards with the room they leave under the limits, joints with their distances.

Nothing else is drawn but track and turnouts, so that the figures stand clear. A layout of several levels gets
one view a level, as in the general arrangement.

What this does not know: why; the page tells it below the picture.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import Board, BoardPlan, Joint, Splitting

from ..drawing import Box, Drawing, box_of, no_wider, text_width
from ..pen import Pen
from ..placing import Place, back, moved
from .general import level_views, text_mm, track_on
from .plan_items import draw_edges, draw_track

READ = (
    "At each joint: how far to the nearest turnout (T) and device (D),",
    "and how far off square a track crosses it. The build book tells why, joint by joint. {}.",
)
ROOM = ("Room each board leaves under the limits:",)
#: Millimetres followed by inches, as in sentences.
_BOTH = re.compile(r"[\d.,]+ mm \(([^()]*)\)")
SMALL = 0.7  # of the drawing's text: what stands beside a name


def parted(
    plan: TrackPlan,
    splitting: Splitting,
    plans: Mapping[str, BoardPlan],
    show: DisplaySettings = IN_MM,
) -> Drawing:
    box = box_of([p for outline in plan.outlines for p in outline.ring])
    pen = Pen(text_mm(box), show)
    views = level_views(plan, box, pen.text_mm)
    for level, (view, _) in views.items():
        boards = [b for b in splitting.boards if b.level_mm == level]
        for board in boards:
            draw_edges(pen, board, view)
        draw_track(pen, *track_on(plan, boards, plans, alone=len(views) == 1), view)
    for level, (view, top) in views.items():
        if len(views) > 1:
            pen.write(f"Level {show.length(level)}", view((box.left, top + 3 * pen.text_mm)))
        pen.known = back(view)
        boards = [b for b in splitting.boards if b.level_mm == level]
        ids = {b.id for b in boards}
        for joint in splitting.joints:
            if joint.boards[0] in ids:
                _joint(pen, joint, view)
        for board in boards:
            _board(pen, board, view)
    _foot(pen, splitting, box)
    return pen.drawing(f"Boards and joints: {plan.name}")


def _joint(pen: Pen, joint: Joint, view: Place) -> None:
    """The joint's name and its distances in one, so that none is taken for another's."""
    start, end = moved((joint.start, joint.end), view)
    says = ": ".join(filter(None, (joint.id, distances(joint, pen.show))))
    h = pen.text_mm
    pen.label_along(says, start, end, clear_mm=0.3 * h, height_mm=SMALL * h, beyond=True)


def distances(joint: Joint, show: DisplaySettings) -> str:
    """To the nearest turnout (T) and device (D), and how far off square the worst track crosses."""
    said = [
        f"{what} {show.figure(round(mm))}"
        for what, mm in (("T", joint.nearest_turnout_mm), ("D", joint.nearest_device_mm))
        if mm is not None
    ]
    if joint.crossings:
        said.append(f"{max(abs(c.off_square_deg) for c in joint.crossings):.0f}°")
    return ", ".join(said)


def _board(pen: Pen, board: Board, view: Place) -> None:
    ring, wells = moved(board.ring, view), [moved(w, view) for w in board.wells]
    pen.label_inside(board.id, ring, wells=wells, height_mm=1.5 * pen.text_mm)


def _foot(pen: Pen, splitting: Splitting, box: Box) -> None:
    """How to read it, and the room each board leaves, in as many columns as there is room for, no wider:
    on paper it would become too small to read."""
    h, room = pen.text_mm, pen.extent.right - box.left
    rooms = [f"{b.id}: {_short(b.margins, pen.show)}" for b in splitting.boards if b.margins]
    lines = [piece for line in rooms for piece in no_wider(line, room, h)]
    y = pen.extent.bottom - 2 * h
    for says in (*(READ if splitting.joints else ()), *(ROOM if lines else ())):
        for piece in no_wider(says.format(pen.show.sizes), room, h):
            pen.write(piece, (box.left, y), height_mm=h)
            y -= 1.7 * h
    wide = max((text_width(line, h) for line in lines), default=0.0) + 2 * h
    columns = max(1, int(box.width / wide))
    rows = math.ceil(len(lines) / columns)
    for n, line in enumerate(lines):
        column, row = divmod(n, rows)
        pen.write(line, (box.left + column * wide, y - row * 1.7 * h), height_mm=h)


def _short(says: str, show: DisplaySettings) -> str:
    """The room in one kind of unit, where the drawing is in inches: a label must be short."""
    text = show.prose(says)
    return _BOTH.sub(r"\1", text) if show.units == "in" else text
