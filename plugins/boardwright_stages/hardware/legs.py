"""The legs of a board: one for every place where the strength stage puts one, and rails across between pairs.

Claim: a leg is as long as its place is above the floor less its foot, and longer by what it runs up beside
the member it carries, to a whole millimetre; the foot's thread takes up the rest. It is bolted through that
member, at its inner face: its place is the member's own, moved along it where a joist, a corner, another
leg, a device, a joint's bolt or dowel or a wire hole is in the way; what it meets all the same it names. A
rail across reaches over both its legs. A post stands on the frame of the board below, without foot or rail,
cut to a whole millimetre downwards. A board on trestles, brackets or battens has neither, nor has one that
lies on its neighbours.

What this does not know: splayed legs, folding gear, sloping floors.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from boardwright import stage
from boardwright.plan.model import Point
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import (
    Board,
    BoardPosts,
    BoardStand,
    BoardStrength,
    Frame,
    Joists,
    Leg,
    LegRail,
)

from ..strength.keep_off import NOTHING, KeepOff, Thing
from ..strength.levels import AS_ALL, BoardSupports
from ..strength.settings import SupportSettings

SHORTEST_LEG_MM = 50.0
NO_POSTS = BoardPosts()


@stage(each=True)
def stand(
    board: Board,
    frame: Frame,
    joists: Joists,
    strength: BoardStrength,
    settings: SupportSettings,
    level: BoardSupports = AS_ALL,
    posts: BoardPosts = NO_POSTS,
    keep: KeepOff = NOTHING,
) -> BoardStand:
    """Legs and rails, or posts, of one board; none where they would stand out of the frame by less than
    SHORTEST_LEG_MM."""
    own = level.over(settings)
    legs = posts_of(board, frame, strength, posts, own) or legs_of(
        board, frame, joists, strength, own, keep.things
    )
    if not legs or min(leg.length_mm - leg.lap_mm for leg in legs) < SHORTEST_LEG_MM:
        return BoardStand(board=board.id)
    if posts.under:
        return BoardStand(board=board.id, legs=legs)
    thick = {m.id: m.thickness_mm for m in (*frame.members, *joists.members)}
    inside = {(leg.x_mm, leg.y_mm): thick[leg.member] / 2 if leg.lap_mm else 0.0 for leg in legs}
    rails = tuple(
        LegRail(
            id=f"{board.id}-LR{n}",
            start=a,
            end=b,
            length_mm=float(round(math.dist(a, b) - inside[a] - inside[b])),
        )
        for n, (a, b) in enumerate(_pairs([(leg.x_mm, leg.y_mm) for leg in legs]), 1)
        if math.dist(a, b) > own.leg_mm  # legs that stand in one another are told elsewhere, and need no rail
    )
    return BoardStand(board=board.id, legs=legs, rails=rails)


def legs_of(
    board: Board,
    frame: Frame,
    joists: Joists,
    strength: BoardStrength,
    settings: SupportSettings,
    things: Sequence[Thing] = (),
) -> tuple[Leg, ...]:
    """Legs however short, clear of one another and of ``things`` where there is room."""
    from ..strength.leg_room import beside, has_room, leg_square, met, station_at
    from ..strength.net import centreline

    if board.lift_out or settings.battens.get(board.id):
        return ()
    if settings.kind != "legs" and board.id not in settings.points:
        return ()
    members = (*frame.members, *joists.members)
    number = {m.id: i for i, m in enumerate(members)}
    above, side = settings.floor_below_mm + board.level_mm, settings.leg_mm
    found: list[Leg] = []
    taken = list(things)
    for n, p in enumerate((p for p in strength.points if not p.on), 1):
        at, (x, y), lap = station_at(members, number[p.member], p), (p.x_mm, p.y_mm), settings.leg_lap_mm
        if lap and board.id not in settings.points and not has_room(at, members, side, lap, taken):
            moved = beside(at, members, side, lap, taken)
            if moved != at:
                at, (x, y) = moved, snap_point(centreline(members[moved.member]).at(moved.station))
        own = members[at.member]
        lap = min(lap, own.depth_mm)
        top = round(own.bottom_mm + lap, 6)
        leg = Leg(
            id=f"{board.id}-L{n}",
            member=own.id,
            x_mm=x,
            y_mm=y,
            top_mm=top,
            length_mm=float(round(above + top - settings.foot_mm)),
            side_mm=side,
            foot_mm=settings.foot_mm,
            lap_mm=lap,
        )
        if lap:
            ring = leg_square(at, members, side)
            mx, my = (sum(corners) / 4 for corners in zip(*ring, strict=True))
            off = snap_point((mx - x, my - y))
            leg = replace(leg, meets=met(at, members, side, lap, taken), off_mm=off)
            taken.append(Thing(name=f"leg {leg.id}", ring=ring, bottom_mm=-math.inf))
        found.append(leg)
    return tuple(found)


def posts_of(
    board: Board, frame: Frame, strength: BoardStrength, posts: BoardPosts, settings: SupportSettings
) -> tuple[Leg, ...]:
    """Posts from the frame below up to this one: whole millimetres, cut a little short rather than long."""
    if not strength.points:
        return ()
    low = {m.id: m.bottom_mm for m in frame.members}
    return tuple(
        Leg(
            id=p.id,
            member=p.member,
            x_mm=p.x_mm,
            y_mm=p.y_mm,
            top_mm=low[p.member],
            length_mm=float(math.floor(round(board.level_mm + low[p.member] - p.stands_mm, 3))),
            side_mm=settings.leg_mm,
            foot_mm=0.0,
            on=p.on,
        )
        for p in posts.under
    )


def _pairs(points: list[Point]) -> list[tuple[Point, Point]]:
    """Legs that stand in one line along or across the board, two by two in the order they were chosen."""
    left, found = list(points), []
    while len(left) > 1:
        a, b = left[:2]
        if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1.0:
            found.append((a, b))
            left = left[2:]
        else:
            left = left[1:]
    return found
