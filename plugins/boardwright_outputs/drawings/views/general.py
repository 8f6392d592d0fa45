"""General arrangement: the whole layout in plan coordinates, its boards, joints, track, devices and members.

A layout of several levels gets one view a level, the lowest first, one above another on the paper: boards of
different levels may lie over each other. Level views are shifted by whole millimetres; the first is not
shifted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.heights import climbs
from boardwright.plan.model import Device, Track, TrackPlan, Turnout
from boardwright_timber.model import Board, BoardFixings, BoardPlan, Frame, Joint, Joists, Splitting

from .. import placing
from ..dimension import Way, overall, running
from ..drawing import Box, Drawing, Role, Text, box_of, item_box
from ..pen import Pen
from ..placing import Place, moved
from .plan_items import draw_devices, draw_edges, draw_members, draw_track, label_climb, label_devices

#: Columns of the list of boards, in heights of its text; how many of them.
COLUMN, IN_ROW = 26.0, 4
LISTED = "Boards, length × width:"
READ = (
    "Joints are dimensioned from the left and lower ends of {}.",
    "Small oblongs across them: the rails are fixed there, keep them clear.",
)
CLIMBS = (
    "Along tracks that climb: the height above the drawing's zero, and between two heights the gradient.",
)
#: Room between two levels, and what their dimensions take of it besides, in heights of the text.
BETWEEN, DIMENSIONS = 14.0, 10.0
SQUARE_MM = 0.01  # joints that lie square to within this are dimensioned
#: Lengths a scale bar may have.
_ROUND_MM = (5000.0, 2000.0, 1000.0, 500.0, 200.0, 100.0)


def general_arrangement(
    plan: TrackPlan,
    splitting: Splitting,
    plans: Mapping[str, BoardPlan],
    frames: Mapping[str, Frame],
    joists: Mapping[str, Joists],
    warning: str = "",
    fixings: Mapping[str, BoardFixings] = MappingProxyType({}),
    show: DisplaySettings = IN_MM,
) -> Drawing:
    """The whole layout. ``warning`` is written in its title block."""
    box = box_of([p for outline in plan.outlines for p in outline.ring])
    pen = Pen(text_mm(box), show)
    h = pen.text_mm
    views = level_views(plan, box, h, BETWEEN + DIMENSIONS)
    for level, (view, _) in views.items():
        _draw_level(pen, plan, splitting, plans, frames, joists, level, view, alone=len(views) == 1)
        for board in splitting.boards:
            if board.level_mm == level and board.id in fixings:
                for strip in fixings[board.id].rails:
                    pen.ring(Role.MARK, moved(strip.ring, view))
    for level, (view, _) in views.items():
        _sizes(pen, _level_box(plan, level), _on_level(splitting, level), view)
    _title_block(pen, plan, splitting, box, warning, levels=len(views))
    for level, (view, top) in views.items():
        boards = [b for b in splitting.boards if b.level_mm == level]
        if len(views) > 1:
            pen.write(f"Level {show.length(level)}", view((box.left, top + 3 * h)))
        pen.known = placing.back(view)
        _label_level(pen, boards, splitting.joints, plan, plans, view, alone=len(views) == 1)
    return pen.drawing(f"General arrangement: {plan.name}")


def level_views(
    plan: TrackPlan, box: Box, text_mm: float, between: float = BETWEEN
) -> dict[float, tuple[Place, float]]:
    """Each level's place on the paper, the lowest first and not shifted, and how far up its edges reach in
    the plan. ``box``: round all levels; ``between``: room between two of them, in heights of the text."""
    found: dict[float, tuple[Place, float]] = {}
    free = box.bottom
    for level in sorted({outline.level_mm for outline in plan.outlines}):
        own = _level_box(plan, level)
        shift = round(free - own.bottom) + 1.0 if found else 0.0
        found[level] = placing.at(0.0, shift), own.top
        free = max(box.top, own.top + shift) + between * text_mm
    return found


def _level_box(plan: TrackPlan, level: float) -> Box:
    return box_of([p for o in plan.outlines if o.level_mm == level for p in o.ring])


def _on_level(splitting: Splitting, level: float) -> list[Joint]:
    ids = {b.id for b in splitting.boards if b.level_mm == level}
    return [j for j in splitting.joints if j.boards[0] in ids]


def _sizes(pen: Pen, box: Box, joints: Sequence[Joint], view: Place) -> None:
    """A level over all, and where its joints square to its two ends lie, from its left and lower ends."""
    h = pen.text_mm
    (left, bottom), (right, top) = view((box.left, box.bottom)), view((box.right, box.top))
    lines = [moved((j.start, j.end), view) for j in joints]
    across = [a[0] for a, b in lines if abs(a[0] - b[0]) < SQUARE_MM]
    along = [a[1] for a, b in lines if abs(a[1] - b[1]) < SQUARE_MM]
    below, beside = bottom - h, -left + h
    if across:
        below = running(pen, Way.LYING, left, [*across, right], bottom, below)
    if along:
        beside = running(pen, Way.UPRIGHT, bottom, [*along, top], -left, beside)
    overall(pen, Way.LYING, left, right, below, below - 2 * h)
    overall(pen, Way.UPRIGHT, bottom, top, beside, beside + 2 * h)


def text_mm(box: Box) -> float:
    """Height of the text of a drawing of the whole layout, mm of the layout."""
    return min(max(round(max(box.width, box.height) / 90, 1), 8.0), 60.0)


def _draw_level(
    pen: Pen,
    plan: TrackPlan,
    splitting: Splitting,
    plans: Mapping[str, BoardPlan],
    frames: Mapping[str, Frame],
    joists: Mapping[str, Joists],
    level: float,
    view: Place,
    *,
    alone: bool,
) -> None:
    boards = [b for b in splitting.boards if b.level_mm == level]
    for outline in plan.outlines:
        if outline.level_mm == level:
            for ring in (outline.ring, *outline.wells):
                pen.ring(Role.OUTLINE, moved(ring, view))
    for board in boards:
        draw_edges(pen, board, view)
        if board.id not in frames:
            continue
        place = placing.after(board.to_plan, view)
        draw_members(pen, frames[board.id].members, place)
        draw_members(pen, joists[board.id].members, place)
        for bent in frames[board.id].bent:
            pen.ring(Role.MEMBER, moved(bent.outline, place))
    draw_track(pen, *track_on(plan, boards, plans, alone=alone), view)
    draw_devices(pen, _devices(plan, boards, plans, alone=alone), view)


def _label_level(
    pen: Pen,
    boards: Sequence[Board],
    joints: Sequence[Joint],
    plan: TrackPlan,
    plans: Mapping[str, BoardPlan],
    view: Place,
    *,
    alone: bool,
) -> None:
    ids = {b.id for b in boards}
    for board in boards:
        wells = [moved(w, view) for w in board.wells]
        pen.label_inside(board.id, moved(board.ring, view), wells=wells, height_mm=1.8 * pen.text_mm)
    for joint in joints:
        if joint.boards[0] in ids:
            pen.label_beside(joint.id, placing.middle(moved((joint.start, joint.end), view)))
    label_devices(pen, _devices(plan, boards, plans, alone=alone), view, 0.7 * pen.text_mm)
    if climbs(plan.tracks):
        crossings = [c for j in joints if j.boards[0] in ids for c in j.crossings]
        drawn, _ = track_on(plan, boards, plans, alone=alone)
        for track in plan.tracks:
            shown = [piece for piece in drawn if piece.id == track.id]
            if shown and track.heights_mm:
                at = [(c.x_mm, c.y_mm) for c in crossings if c.track == track.id]
                label_climb(pen, track, at, view, shown)


def track_on(
    plan: TrackPlan, boards: Sequence[Board], plans: Mapping[str, BoardPlan], *, alone: bool
) -> tuple[Sequence[Track], Sequence[Turnout]]:
    """The plan's own track when there is one level, else what the level's boards hold."""
    if alone:
        return plan.tracks, plan.turnouts
    built = [plans[b.id] for b in boards if b.id in plans]
    return [t for p in built for t in p.tracks], list({t.id: t for p in built for t in p.turnouts}.values())


def _devices(
    plan: TrackPlan, boards: Sequence[Board], plans: Mapping[str, BoardPlan], *, alone: bool
) -> Sequence[Device]:
    if alone:
        return plan.devices
    built = [plans[b.id] for b in boards if b.id in plans]
    return [d for p in built for d in p.devices if d.id in p.own_devices]


def left_out(splitting: Splitting, built: Mapping[str, object]) -> str:
    """A line for a title block when boards are missing from what was built; empty when none is."""
    missing = [b.id for b in splitting.boards if b.id not in built]
    return f"INCOMPLETE: {', '.join(missing)} could not be built" if missing else ""


def _title_block(
    pen: Pen, plan: TrackPlan, splitting: Splitting, box: Box, warning: str, *, levels: int
) -> None:
    whole = "the layout" if levels == 1 else "each level"
    h = pen.text_mm
    y = pen.extent.bottom - 3 * h
    _scale_bar(pen, box.left, y)
    for line, height in (
        (_short(plan.name), 1.6 * h),
        ("General arrangement", h),
        (f"Boards: {len(splitting.boards)}. Joints: {len(splitting.joints)}", h),
        (f"Model scale 1:{plan.scale_ratio:g}. {pen.show.sizes}.", h),
        (f"Drawn from {_short(plan.drawing_file)}", h),
        *([(_short(warning, 90), 1.6 * h)] if warning else []),
    ):
        y -= 1.7 * height + 0.4 * h
        pen.write(line, (box.left, y), height_mm=height)
    for words in (*(READ if splitting.joints else ()), *(CLIMBS if climbs(plan.tracks) else ())):
        y -= 1.8 * h
        pen.write(words.format(whole), (box.left, y), height_mm=0.8 * h)
    _board_list(pen, splitting.boards, box.left, y - 2.4 * h)


def _board_list(pen: Pen, boards: Sequence[Board], left: float, top: float) -> None:
    """Every board's length and width, in rows."""
    h = 0.8 * pen.text_mm
    pen.write(LISTED, (left, top), height_mm=h)
    for n, board in enumerate(boards):
        row, column = divmod(n, IN_ROW)
        place = (left + column * COLUMN * h, top - (row + 1) * 1.8 * h)
        pen.write(_listed(board, pen.show), place, height_mm=h)


def _listed(board: Board, show: DisplaySettings) -> str:
    return f"{board.id}  {show.figure(board.length_mm)} × {show.figure(board.width_mm)}"


def without_list(drawing: Drawing, boards: Sequence[Board], show: DisplaySettings) -> Drawing:
    """The general arrangement for a page that lists its boards itself, in letters one can read."""
    listed = {LISTED, *(_listed(board, show) for board in boards)}
    kept = tuple(i for i in drawing.items if not (isinstance(i, Text) and i.text in listed))
    lower = min(item_box(i).bottom for i in drawing.items) - drawing.frame.bottom
    bottom = min(item_box(i).bottom for i in kept) - lower
    return Drawing(
        title=drawing.title,
        frame=Box(drawing.frame.left, bottom, drawing.frame.right, drawing.frame.top),
        items=kept,
    )


def _scale_bar(pen: Pen, left: float, y: float) -> None:
    """A bar of ten parts, a round length of about a third of the layout."""
    h = pen.text_mm
    whole = next((n for n in _ROUND_MM if n <= 30 * h), _ROUND_MM[-1])
    pen.line(Role.DIMENSION, (left, y), (left + whole, y))
    for i in range(11):
        tick = 0.9 * h if i % 5 == 0 else 0.5 * h
        pen.line(Role.DIMENSION, (left + whole * i / 10, y), (left + whole * i / 10, y + tick))
    pen.write(f"0 to {pen.show.length(whole)}", (left + whole + h, y))


def _short(name: str, longest: int = 60) -> str:
    return name if len(name) <= longest else name[: longest - 1] + "…"
