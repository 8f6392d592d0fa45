"""The order in which a board's members are placed.

Claims
    reach   no screw of a butt joint is driven where a member placed before stands in the driver's way,
            but for those that no order can free: they are told
    rest    a joist on a flange, a flange on its web, a riser on its joist come after what they rest on
    habit   else the usual order: strips of several lengths with their fishplates, girders, flanges, frame,
            wells, joists, noggins, risers. A frame starts at its longest strip, and each strip after it meets
            one that stands, where any is left that does

A driver with its screw wants about 150 mm behind the head; where there is less, only a right-angled driver
gets in (common practice, no source).

What this does not know: hands, clamps, glue setting; the deck, which comes last.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import sides, signed_area
from boardwright_timber.model import Joists, Member, MemberRole, StepKind

from ..parts.butts import Butt

DRIVER_MM = 150.0
DRIVER_WIDE_MM = 10.0
TOUCH_MM = 0.05
#: The usual order of work.
HABIT = (
    StepKind.LENGTHS,
    StepKind.GIRDERS,
    StepKind.FLANGES,
    StepKind.FRAME,
    StepKind.WELLS,
    StepKind.JOISTS,
    StepKind.NOGGINS,
    StepKind.RISERS,
)
STAND_FIRST = (StepKind.LENGTHS, StepKind.GIRDERS)
ON_A_FACE = (MemberRole.RISER, MemberRole.FISHPLATE)
CHAINED = (StepKind.FRAME, StepKind.WELLS)
_KINDS = {
    MemberRole.SIDE: StepKind.FRAME,
    MemberRole.END: StepKind.FRAME,
    MemberRole.WELL_SIDE: StepKind.WELLS,
    MemberRole.JOIST: StepKind.JOISTS,
    MemberRole.GIRDER: StepKind.GIRDERS,
    MemberRole.FLANGE: StepKind.FLANGES,
    MemberRole.RISER: StepKind.RISERS,
    MemberRole.NOGGIN: StepKind.NOGGINS,
    MemberRole.FISHPLATE: StepKind.LENGTHS,
}
type Kinds = Mapping[str, StepKind]


def kinds_of(members: Sequence[Member], joists: Joists) -> Kinds:
    """The kind of step in which each member is placed: what has a fishplate is made first."""
    first = {j.member for j in joists.joined if j.plate}
    return {m.id: StepKind.LENGTHS if m.id in first else _KINDS[m.role] for m in members}


def placing_order(members: Sequence[Member], found: Sequence[Butt], kinds: Kinds) -> list[Member]:
    """Members in the order they are placed."""
    must = _must_come_first(members, found)
    wish = _came_first_by_habit(found, kinds)
    chained = [*_as_chains(members, kinds), *(m for m in members if kinds[m.id] not in CHAINED)]
    rank = {m.id: (HABIT.index(kinds[m.id]), n) for n, m in enumerate(chained)}
    left, order = sorted(members, key=lambda m: rank[m.id]), []
    placed: set[str] = set()
    while left:
        free = [m for m in left if must[m.id] <= placed] or left
        held = [m for m in free if wish.get(m.id, set()) <= placed] or free
        order.append(held[0])
        placed.add(held[0].id)
        left.remove(held[0])
    return order


def _as_chains(members: Sequence[Member], kinds: Kinds) -> list[Member]:
    """Frame and wells, each strip meeting one before it where any is left that does."""
    order: list[Member] = []
    for kind in CHAINED:
        left = [m for m in members if kinds[m.id] is kind]
        mine: list[Member] = []
        while left:
            met = [m for m in left if any(_touch(m.outline, other.outline) for other in mine)] or left
            mine.append(met[0] if mine else max(left, key=lambda m: m.length_mm))
            left.remove(mine[-1])
        order += mine
    return order


def _must_come_first(members: Sequence[Member], found: Sequence[Butt]) -> dict[str, set[str]]:
    """By member: who must be placed before it."""
    must: dict[str, set[str]] = {m.id: set() for m in members}
    for butt in found:
        for other in in_the_way(butt, members):
            must[other.id] |= {butt.through.id, butt.butting.id}
    for upper in members:
        for lower in members:
            if upper is not lower and rests_on(upper, lower):
                must[upper.id].add(lower.id)
    return must


def _came_first_by_habit(found: Sequence[Butt], kinds: Kinds) -> dict[str, set[str]]:
    """A strip comes after what its ends stand against, but girders and strips of several lengths, which come
    first, and within a frame, which is made as a ring."""
    wish: dict[str, set[str]] = {}
    for butt in found:
        if kinds[butt.butting.id] not in (*STAND_FIRST, kinds[butt.through.id]):
            wish.setdefault(butt.butting.id, set()).add(butt.through.id)
    return wish


def rests_on(upper: Member, lower: Member) -> bool:
    """A flange on a web, a joist on a flange or girder, a riser or a fishplate on a face."""
    if upper.role in ON_A_FACE:
        return (
            lower.role not in ON_A_FACE and upper.meets_height(lower) and _touch(upper.outline, lower.outline)
        )
    below = abs(lower.top_mm - upper.bottom_mm) < TOUCH_MM
    carries = lower.role in (MemberRole.GIRDER, MemberRole.FLANGE)
    return below and carries and _touch(upper.outline, lower.outline)


def in_the_way(butt: Butt, members: Sequence[Member]) -> list[Member]:
    """Members that stand where the driver must go to drive the screws of a butt joint."""
    way = driver_way(butt)
    low = butt.top_mm - butt.depth_mm
    return [
        m
        for m in members
        if m is not butt.through
        and m is not butt.butting
        and min(m.top_mm, butt.top_mm) - max(m.bottom_mm, low) > TOUCH_MM
        and _touch(m.outline, way, -TOUCH_MM)
    ]


def driver_way(butt: Butt) -> Ring:
    """Plan shape of the room behind the heads of a butt joint's screws, in line with the butting strip."""
    through = butt.through
    dx, dy = through.direction
    face = 0.0 if butt.head_outer else through.thickness_mm
    x0, y0 = through.datum
    at: Point = (x0 + dx * butt.through_mm - dy * face, y0 + dy * butt.through_mm + dx * face)
    bx, by = butt.butting.direction
    back = 1.0 if butt.at_end else -1.0  # away from the butting strip
    ux, uy = bx * back, by * back
    lead = DRIVER_WIDE_MM / 2 * abs(math.tan(math.radians(butt.skew_deg))) + TOUCH_MM
    start: Point = (at[0] + ux * lead, at[1] + uy * lead)
    end: Point = (at[0] + ux * DRIVER_MM, at[1] + uy * DRIVER_MM)
    wx, wy = -uy * DRIVER_WIDE_MM / 2, ux * DRIVER_WIDE_MM / 2
    return (
        (start[0] - wx, start[1] - wy),
        (end[0] - wx, end[1] - wy),
        (end[0] + wx, end[1] + wy),
        (start[0] + wx, start[1] + wy),
    )


def _touch(a: Ring, b: Ring, grown_mm: float = TOUCH_MM) -> bool:
    """Whether two convex rings come within ``grown_mm`` of each other (negative: overlap by so much)."""
    for first, second in ((a, b), (b, a)):
        turned = 1.0 if signed_area(first) > 0 else -1.0
        for p, q in sides(first):
            length = math.dist(p, q)
            if length < TOUCH_MM:
                continue
            nx, ny = turned * (q[1] - p[1]) / length, -turned * (q[0] - p[0]) / length
            if all((x - p[0]) * nx + (y - p[1]) * ny > grown_mm for x, y in second):
                return False
    return True


def blocked(order: Sequence[Member], found: Sequence[Butt]) -> list[Butt]:
    """Butt joints with a member in the driver's way when the later of their two strips is placed."""
    at = {m.id: n for n, m in enumerate(order)}
    return [
        butt
        for butt in found
        if any(at[m.id] < max(at[butt.through.id], at[butt.butting.id]) for m in in_the_way(butt, order))
    ]
