"""Where posts of an upper board find a place on the frame of the board below.

Claim: a post is square, its sides along its board's. Its middle lies under a member of its board, as near as
may be to where a leg would stand; below it the whole thickness of a side, end or joist of the highest board
there, as long as the post is wide, and right over its middle where that crosses. Nothing else touches it: no
track nearer than ``post_clear_mm``, no turnout, no device's footprint, no deck that follows tracks. It stands
on a whole deck, or on the wood of an open frame.

Sources: posts on the lower frame, common practice, no source. Beside a track 2,610 mm of the prototype: NEM
102 has about 25 mm of half width in H0 (memory), and 5 for overhang in bends (judgement).

None stands on or under a side of skins, on a deck of foam, on a lift-out, or over a joint.

What this does not know: scenery, buildings, what stands on the lower deck.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright import Notes
from boardwright.plan.model import Point
from boardwright_timber.geometry import line_through, meet
from boardwright_timber.model import Board, BoardParts, BoardPlan, Frame, Joists, Member, MemberRole, Post

from .loaded import bending, deck_of
from .net import Line, Place, centreline
from .settings import SupportSettings
from .standing import standing

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

CLEAR_MM, H0_MM = 2610.0, 30.0  # of the prototype; where the scale is not known
STEP_MM = 5.0
TOUCH_MM2 = 1.0
BEARS = (MemberRole.SIDE, MemberRole.END, MemberRole.JOIST)


class Below(NamedTuple):
    """A lower board: its shape, what a post must not touch, its members with their lines, its deck's top."""

    board: Board
    shape: Polygon
    taken: BaseGeometry
    members: tuple[tuple[Member, Line], ...]
    deck_mm: float


def below(
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    parts: BoardParts,
    clear_mm: float | None,
) -> Below:
    """What posts need to know of a lower board, in plan coordinates but for its members' lines."""
    import shapely

    deck, _ = deck_of(parts)
    if clear_mm is None:
        clear_mm = CLEAR_MM / plan.scale_ratio if plan.scale_ratio else H0_MM
    taken: list[BaseGeometry] = [
        shapely.LineString(t.points).buffer(clear_mm) for t in plan.tracks if len(t.points) > 1
    ]
    taken += [shapely.Polygon(t.ring) for t in plan.turnouts]
    taken += [shapely.Polygon(d.footprint()) for d in plan.devices]
    taken += [shapely.Polygon([board.to_plan(p) for p in panel.ring]) for panel in frame.deck]
    members = tuple(
        (m, centreline(m))
        for m in bending(frame, joists)
        if m.role in BEARS
        and not board.lift_out
        and m.sandwich is None
        and (m.carries_deck or frame.deck)
        and deck.material != "foam"
    )
    deck_mm = 0.0 if frame.deck else deck.thickness_mm
    return Below(board, shapely.Polygon(board.ring, board.wells), shapely.union_all(taken), members, deck_mm)


def posts_under(
    board: Board, frame: Frame, joists: Joists, lower: Sequence[Below], supports: SupportSettings
) -> tuple[tuple[Post, ...], list[Point]]:
    """Posts of a board, and the places (its own axes) for which none was found.

    ``lower``: boards below, the highest first.
    """
    members = bending(frame, joists)
    _, wanted = standing(board, frame, members, supports, Notes())
    found: list[Post] = []
    lost: list[Point] = []
    for place in wanted:
        member, line = members[place.member], centreline(members[place.member])
        name = f"{board.id}-P{len(found) + 1}"
        near = (p for p in _along(line, place) if all(_apart(p, q) >= supports.leg_mm for q in found))
        post = next((q for p in near if (q := _on(board, member, p, lower, supports.leg_mm, name))), None)
        if member.sandwich is None and post:
            middle = _over_the_middle(board, member, line, post, lower, supports.leg_mm)
            free = all(_apart((middle.x_mm, middle.y_mm), q) >= supports.leg_mm for q in found)
            found.append(middle if free else post)
        else:
            lost.append(line.at(place.station))
    return tuple(found), lost


def _along(line: Line, place: Place) -> Iterator[Point]:
    """Points of a member's line, those near the place first."""
    steps = math.ceil(line.length / STEP_MM)
    for n in range(steps + 1):
        for station in dict.fromkeys((place.station - n * STEP_MM, place.station + n * STEP_MM)):
            if 0 <= station <= line.length:
                yield line.at(station)


def _over_the_middle(
    board: Board, member: Member, line: Line, post: Post, lower: Sequence[Below], side_mm: float
) -> Post:
    """The post moved right over the middle of the wood below, where it crosses what it carries and may."""
    under = next(b for b in lower if b.board.id == post.on)
    below_it = next(on for m, on in under.members if m.id == post.on_member)
    a, b = (board.to_local(under.board.to_plan(p)) for p in below_it)
    at = meet(line_through(*line), line_through(a, b))
    if at is None or _apart(at, post) > side_mm:
        return post
    moved = _on(board, member, at, lower, side_mm, post.id)
    return moved if moved and moved.on_member == post.on_member else post


def _apart(p: Point, post: Post) -> float:
    return math.dist(p, (post.x_mm, post.y_mm))


def _on(
    board: Board, member: Member, p: Point, lower: Sequence[Below], side_mm: float, name: str
) -> Post | None:
    """A post under ``member`` at ``p`` of the board's own axes; None: it cannot stand there."""
    import shapely

    half = side_mm / 2
    square = shapely.Polygon(
        [
            board.to_plan((p[0] + u, p[1] + v))
            for u, v in ((-half, -half), (half, -half), (half, half), (-half, half))
        ]
    )
    touched = [b for b in lower if b.shape.intersection(square).area > TOUCH_MM2]
    if not touched or touched[0].taken.intersection(square).area > TOUCH_MM2:
        return None
    first = touched[0]
    if any(b.board.level_mm == first.board.level_mm for b in touched[1:]):
        return None
    at = first.board.to_local(board.to_plan(p))
    near = []
    for n, (m, line) in enumerate(first.members):
        station, off = line.nearest(at)
        if off <= abs(side_mm - m.thickness_mm) / 2 and half <= station <= line.length - half:
            near.append((round(off, 6), n))
    if not near:
        return None
    on, _ = first.members[min(near)[1]]
    return Post(
        id=name,
        member=member.id,
        x_mm=round(p[0], 3),
        y_mm=round(p[1], 3),
        on=first.board.id,
        on_member=on.id,
        on_x_mm=round(at[0], 3),
        on_y_mm=round(at[1], 3),
        stands_mm=round(first.board.level_mm + on.top_mm + first.deck_mm, 3),
        bears_mm2=round(side_mm * min(side_mm, on.thickness_mm), 3),
    )
