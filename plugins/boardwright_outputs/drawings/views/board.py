"""One board, view by view: from above, from below, the ends that mate with other boards, both elevations
and the board taken apart.

From above the deck is drawn as if it were glass. From below the board is turned over left to right, so that
what a builder sees on the bench is where the drawing has it. Joists are dimensioned from the datum end (the
board's own x = 0) to the face nearest to it, and by the steps between these faces.

Each view is a drawing of its own, for a page of its own; ``side_by_side`` lays them beside each other, the
view from above in the board's own axes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import Point
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardPosts,
    BoardStand,
    BoardStrength,
    BoardViews,
    BoardWiring,
    Frame,
    Joists,
    Member,
)

from .. import placing
from ..dimension import Way, chain, overall, running
from ..drawing import Align, Drawing, Role, Text, together
from ..hatching import hatched
from ..pen import Pen
from ..placing import Place, moved
from .board_labels import label_board, named_on
from .bores import fixing_bore, wire_bore
from .edging import draw_edging
from .elevation import draw_elevation, mating_members
from .legs import standing
from .part import text_size
from .plan_items import draw_devices, draw_edges, draw_members, draw_track
from .wood import elevations, taken_apart

SUPPORT_MM = 44.0
NO_POSTS, NO_EDGING = BoardPosts(), BoardEdging()
#: Between views on one drawing, in heights of text.
_APART = 4.0

SEAM_MM = 0.01


def board_views(
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    wiring: BoardWiring,
    parts: BoardParts,
    strength: BoardStrength | None = None,
    views: BoardViews | None = None,
    show: DisplaySettings = IN_MM,
    stand: BoardStand | None = None,
    posts: BoardPosts = NO_POSTS,
    edging: BoardEdging = NO_EDGING,
) -> tuple[Drawing, ...]:
    """From above, from below, then what there is of mating ends and views of the whole."""
    size = text_size(1.35 * max(board.length_mm, board.width_mm))
    found = []
    for below in (False, True):
        pen = Pen(size, show)
        _plan(pen, board, plan, frame, joists, fixings, wiring, strength, below=below)
        draw_edging(pen, board, plan, edging, below=below)
        if not below:
            _posts(pen, posts)
        found.append(pen.drawing(f"Board {board.id} from {'below' if below else 'above'}"))
    ends = Pen(size, show)
    _elevations(ends, frame, joists, parts)
    whole, pieces = Pen(size, show), Pen(size, show)
    if views:
        elevations(whole, views)
        taken_apart(pieces, board.id, views)
    legs = Pen(size, show)
    if views and stand and stand.legs:
        standing(legs, views.front, stand)
    for pen, says in (
        (ends, "ends that meet other boards"),
        (whole, "elevations"),
        (pieces, "taken apart"),
        (legs, "on its posts" if stand and any(leg.on for leg in stand.legs) else "on its legs"),
    ):
        if not pen.empty:
            found.append(pen.drawing(f"Board {board.id}: {says}"))
    return tuple(found)


def side_by_side(board: str, views: Sequence[Drawing]) -> Drawing:
    """All views of a board on one drawing: above and below in a row, the others in a row under them."""
    above, below, *others = views
    apart = _APART * max(i.height_mm for i in above.items if isinstance(i, Text))
    laid = [above, below.shifted(above.frame.right + apart - below.frame.left, 0.0)]
    x, top = above.frame.left, min(v.frame.bottom for v in laid) - apart
    for view in others:
        laid.append(view.shifted(x - view.frame.left, top - view.frame.top))
        x = laid[-1].frame.right + apart
    return together(f"Board {board}", laid)


def _plan(
    pen: Pen,
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    wiring: BoardWiring,
    strength: BoardStrength | None,
    *,
    below: bool,
) -> None:
    view: Place = placing.mirrored(board.length_mm / 2) if below else placing.at(0.0, 0.0)
    plan_view = placing.after(board.to_local, view)
    pen.known = view  # which undoes itself
    members = (*frame.members, *joists.members)
    for well in board.wells:
        for line in hatched(moved(well, plan_view), 2.5 * pen.text_mm):
            pen.run(Role.HATCH, moved(line, placing.at(0.0, 0.0)))
    draw_edges(pen, board, plan_view)
    for panel in frame.deck:  # a deck only where tracks are
        for ring in (panel.ring, *panel.wells):
            pen.ring(Role.OUTLINE, moved(ring, view))
    draw_members(pen, members, view)
    for bent in frame.bent:
        pen.ring(Role.MEMBER, moved(bent.outline, view))
    _deck_seams(pen, joists, view)
    named = named_on(board, plan)
    _plated_seams(pen, joists, named, view)
    _strip_seams(pen, frame, joists, view)
    draw_devices(pen, plan.devices, plan_view, keepouts=True)
    for fixing in fixings.fixings:
        pen.ring(Role.FIXING, moved(fixing_bore(board, fixing), plan_view))
    for strip in fixings.rails:
        pen.ring(Role.MARK, moved(strip.ring, plan_view))
    by_id = {m.id: m for m in members}
    for hole in wiring.holes:
        pen.ring(Role.FIXING, moved(wire_bore(by_id[hole.member], hole), view))
    stands = strength.points if strength else ()
    for point in stands:
        _crossed_square(pen, view((point.x_mm, point.y_mm)))
    if below:
        for diagonal in frame.diagonals:
            pen.run(Role.MARK, moved((diagonal.start, diagonal.end), view))
    else:
        draw_track(pen, plan.tracks, plan.turnouts, plan_view)
    _dimensions(pen, board, joists.joists, view)
    shortened = any(named(id_) != id_ for id_ in [*(m.id for m in members), *(b.id for b in frame.bent)])
    _captions(pen, board, joists.joists, shortened=shortened, below=below)
    label_board(pen, board, plan, members, frame.bent, named, view)
    if fixings.rails:
        says = "Strips across the edge at a joint: the rails are fixed there, keep them clear"
        pen.write(says, (0.0, pen.extent.bottom - 3 * pen.text_mm))
    if below:
        _square_up(pen, frame, view)
        if strength and stands:
            pen.write(
                f"Crossed squares: {strength.support} at the frame",
                (0.0, pen.extent.bottom - 3 * pen.text_mm),
            )


def _dimensions(pen: Pen, board: Board, joists: Sequence[Member], view: Place) -> None:
    h = pen.text_mm
    left, right = 0.0, board.length_mm
    datum, far = view((0.0, 0.0))[0], view((board.length_mm, 0.0))[0]
    across = [m for m in joists if not _lies_along(m)]
    along = [m for m in joists if _lies_along(m)]
    under = 0.0
    if across:
        faces = [view((_near_face(m, 0), 0.0))[0] for m in across]
        under = running(pen, Way.LYING, datum, [*faces, far], 0.0, -2 * h) - h
        under = chain(pen, Way.LYING, [datum, *faces, far], under, under - 2 * h)
    overall(pen, Way.LYING, left, right, under, under - 2 * h)
    if along:
        faces = [_near_face(m, 1) for m in along]
        running(pen, Way.UPRIGHT, 0.0, [*faces, board.width_mm], -left, -left + 2 * h)
    overall(pen, Way.UPRIGHT, 0.0, board.width_mm, -right, -right - 5 * h)


def _lies_along(member: Member) -> bool:
    return abs(member.direction[1]) < abs(member.direction[0])


def _measured(joists: Sequence[Member]) -> str:
    """Where the running figures of joists start and which face they reach."""
    starts = {"the lower edge" if _lies_along(m) else "the datum end" for m in joists}
    return f"Joists: from {' or '.join(sorted(starts))} of the board to their face nearest to it"


def _near_face(member: Member, axis: int) -> float:
    """Where the member's face nearest the datum meets its lower (or left) end, along an axis of the board."""
    ends = sorted(member.outline, key=lambda p: p[1 - axis])[:2]
    return min(p[axis] for p in ends)


def _elevations(pen: Pen, frame: Frame, joists: Joists, parts: BoardParts) -> None:
    by_id = parts.by_member
    top = 0.0
    for member in mating_members(frame, joists):
        if member.id in by_id:
            top = draw_elevation(pen, by_id[member.id], 0.0, top)


def _crossed_square(pen: Pen, at: Point) -> None:
    """Where a leg, a bracket or a trestle bears."""
    x, y = at
    half = SUPPORT_MM / 2
    a, b, c, d = ((x + sx * half, y + sy * half) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    pen.ring(Role.MARK, (a, b, c, d))
    pen.line(Role.MARK, a, c)
    pen.line(Role.MARK, b, d)


def _posts(pen: Pen, posts: BoardPosts) -> None:
    """Where posts of boards above stand on this one."""
    every = [post for borne in posts.bears for post in borne.posts]
    for post in every:
        at = (post.on_x_mm, post.on_y_mm)
        _crossed_square(pen, at)
        pen.label_beside(post.id, at, clear_mm=SUPPORT_MM / 2, height_mm=0.8 * pen.text_mm, leader=True)
    if every:
        boards = " and ".join(sorted({borne.board for borne in posts.bears}))
        says = f"Crossed squares with a name: posts of {boards} stand here, over the frame"
        pen.write(says, (0.0, pen.extent.bottom - 3 * pen.text_mm))


def _square_up(pen: Pen, frame: Frame, view: Place) -> None:
    """What each diagonal must measure, written along it."""
    for diagonal in frame.diagonals:
        a, b = moved((diagonal.start, diagonal.end), view)
        pen.label_along(f"square: {pen.show.figure(diagonal.length_mm)}", a, b, height_mm=0.6 * pen.text_mm)


def _captions(pen: Pen, board: Board, joists: Sequence[Member], *, shortened: bool, below: bool) -> None:
    h = pen.text_mm
    seen = "From below, turned over left to right" if below else "From above, as if the deck were glass"
    lines = [
        pen.show.prose(seen + turned_words(board)),
        *([f"{board.id}- is left off the names of parts where that is clear"] if shortened else []),
        *([_measured(joists)] if joists else []),
        f"Board {board.id}, level {pen.show.length(board.level_mm)}. {pen.show.sizes}.",
    ]
    for n, line in enumerate(lines):
        pen.write(line, (0.0, board.width_mm + (5 + 2 * n) * h))
    edge, align = (board.length_mm + h, Align.LEFT) if below else (-h, Align.RIGHT)
    pen.write("datum end", (edge, -4 * h), height_mm=0.7 * h, align=align)


def turned_words(board: Board) -> str:
    """How a board lies in its drawings against the drawn plan; nothing where it lies alike."""
    turn = round((board.angle_deg + 180.0) % 360.0 - 180.0, 1)
    if abs(turn) < 0.1:
        return ""
    way = "clockwise" if turn > 0 else "anticlockwise"
    return f". Against the plan this board is turned {abs(turn):g}° {way}"


def _deck_seams(pen: Pen, joists: Joists, view: Place) -> None:
    """Where two pieces of a deck meet: the middle of the joist below, and in words."""
    for joist in joists.joists:
        start = placing.middle((joist.outer_start, joist.inner_start))
        end = placing.middle((joist.outer_end, joist.inner_end))
        if any(abs(start[0] - seam) < SEAM_MM for seam in joists.seams):
            pen.run(Role.MARK, moved((start, end), view))
            a, b = moved((start, end), view)
            pen.label_along("deck seam", a, b, clear_mm=joist.thickness_mm / 2, height_mm=0.6 * pen.text_mm)


def _plated_seams(pen: Pen, joists: Joists, named: Callable[[str], str], view: Place) -> None:
    """Plates below seams of the deck with their names, the seam across each."""
    seams = [*(s.x_mm for s in joists.splices for _ in s.plates)]
    seams += [s.y_mm for s in joists.long_seams for _ in s.plates]
    for plate, at in zip(joists.plates, seams, strict=True):
        ring = moved(plate.panel.ring, view)
        pen.ring(Role.MARK, ring)
        ends = [p[0 if plate.along else 1] for p in plate.panel.ring]
        line = [(x, at) if plate.along else (at, x) for x in (min(ends), max(ends))]
        pen.run(Role.MARK, moved(line, view))
        pen.label_inside(named(plate.id), ring, height_mm=0.6 * pen.text_mm)


def _strip_seams(pen: Pen, frame: Frame, joists: Joists, view: Place) -> None:
    """Where a strip of several lengths, or a skin, is butted: a line across it."""
    by_id = {m.id: m for m in frame.members}
    for seam in joists.joined:
        member = by_id[seam.member]
        pen.run(Role.MEMBER, moved(_across(member, seam.at_mm, 0.0, member.thickness_mm), view))
    for butt in joists.skins:
        member = by_id[butt.member]
        near = 0.0 if butt.outer else member.thickness_mm - member.sheet_mm
        pen.run(Role.MEMBER, moved(_across(member, butt.at_mm, near, near + member.sheet_mm), view))


def _across(member: Member, at_mm: float, near: float, far: float) -> tuple[Point, Point]:
    """A line square to a member from one depth behind its outer face to another."""
    (dx, dy), (ox, oy) = member.direction, member.datum
    x, y = ox + at_mm * dx, oy + at_mm * dy
    return (x - near * dy, y + near * dx), (x - far * dy, y + far * dx)
