"""Where the wire holes go.

In a joist: a row on its mid-depth line, mirrored about the longest joist's middle; shorter joists take the
places of that row that they can have, so that a rod passes along the board. Through a joint: at the same plan
points in both boards, near the middle of the joint, mid depth.

Published: holes at least three diameters apart (UK guidance for floor joists, read). From a bolt or dowel
hole we ask 1.25 × the sum of the diameters (our judgement, no source): 40 mm from a 10 mm dowel.
UK guidance also keeps holes to the stretch from 0.25 to 0.40 of the span; that is not followed: a row along
the whole joist is common practice, no source, because layout joists are short and lightly loaded.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from boardwright.plan.model import Point
from boardwright_timber.model import Board, Fixing, Joint, Member, WireHole

from ..joints.mating import Half, band_of, clear_for, depth_of, mate_at, mates, mating_stretch, point_on
from ..joints.pattern import choose, fixed
from ..joints.settings import Bore
from ..joints.spans import without
from .measuring import Wanted
from .settings import WiringSettings

ACROSS = 0.5  # a joist whose direction has more of this crosses the board
HAND_ROOM_MM = 10.0  # wood or air wanted between the rim of a wire hole and anything behind it
BEHIND_MM = 20.0  # how far behind the ends a wire needs room to turn


def joist_holes(
    board: Board,
    joist: Member,
    settings: WiringSettings,
    diameter_mm: float | None = None,
    lines: tuple[float, ...] = (),
) -> tuple[WireHole, ...]:
    """The row of holes of one joist; one in the middle if the margins leave no more; none if too short.

    ``lines`` are the places of the longest joist's holes, across the board: those that this joist can have
    are taken, so that a rod passes along the board. Where it can have none it gets a row of its own.
    """
    d = settings.hole_diameter_mm if diameter_mm is None else diameter_mm
    low, high = face_to_face(joist)
    step = max(settings.hole_spacing_mm, 3 * d)
    margin = settings.end_margin_mm + d / 2
    usable = high - low - 2 * margin
    if usable < 0 and high - low < 3 * d:
        return ()
    across = joist.direction[1]
    if lines and abs(across) > ACROSS:
        places = sorted((v - joist.datum[1]) / across for v in lines)
        kept = [p for p in places if low + margin - 1e-6 <= p <= high - margin + 1e-6]
        if kept:
            return tuple(_through(board, joist, p, d) for p in kept)
    count = 1 if usable < 0 else math.floor(usable / step + 1e-9) + 1
    middle = (low + high) / 2
    return tuple(_through(board, joist, middle + (i - (count - 1) / 2) * step, d) for i in range(count))


def lines_along(
    board: Board, joists: Sequence[Member], settings: WiringSettings, d: float
) -> tuple[float, ...]:
    """Where rods pass along a board: the places across it of the holes of its longest joist."""
    crossing = [j for j in joists if abs(j.direction[1]) > ACROSS]
    if not crossing:
        return ()
    longest = max(crossing, key=lambda j: round(j.length_mm * abs(j.direction[1]), 3))
    return tuple(
        round(outer_point(longest, h.along_mm)[1], 6) for h in joist_holes(board, longest, settings, d)
    )


def face_to_face(member: Member) -> tuple[float, float]:
    """The stretch of a member, measured from its datum, where both of its faces are there."""
    starts = (member.along(member.outer_start), member.along(member.inner_start))
    ends = (member.along(member.outer_end), member.along(member.inner_end))
    return (max(starts), min(ends))


def joint_points(
    joint: Joint,
    first: Half,
    second: Half,
    fixings: tuple[Fixing, ...],
    settings: WiringSettings,
    holes: Wanted | None = None,
) -> tuple[tuple[float, float], ...]:
    """(t, z) of every wire hole through a joint: the same answer for both of its boards. z is measured from
    the deck of the joint's first board."""
    ours, theirs = (mates(joint, half, BEHIND_MM) for half in (first, second))
    stretch = mating_stretch(ours, theirs)
    if stretch is None:
        return ()
    wanted = holes or Wanted(settings.holes_per_joint, settings.hole_diameter_mm)
    d = wanted.diameter_mm
    bore = Bore(diameter_mm=d, room_mm=d + 2 * HAND_ROOM_MM, end_margin_mm=1.5 * d, edge_margin_mm=d)
    k = settings.fixing_gap_diameters
    taken = [(f.along_mm, k * (d + f.hole_diameter_mm)) for f in fixings if f.joint == joint.id]
    allowed = without(clear_for(ours, theirs, bore), ((t - gap, t + gap) for t, gap in taken))
    middle = (stretch[0] + stretch[1]) / 2
    top, bottom = band_of(joint, ours, theirs)
    if top - bottom < 2 * d:
        return ()  # boards of two levels that have too little wood at one height
    below = (top - bottom) / 2
    if settings.joint_holes_at_mm:
        pattern, _ = fixed(allowed, middle, settings.joint_holes_at_mm)
        below = settings.joint_holes_below_mm or below
    else:
        pattern = choose(allowed, middle, wanted.count, 3 * d, "innermost")
    z = round(top - below, 6)
    return tuple((t, z) for t in pattern.at_mm)


def end_depth(joint: Joint, half: Half) -> float:
    """Depth of the shallowest member of a board on a joint; infinite when none is there."""
    return depth_of(mates(joint, half, BEHIND_MM))


def joint_hole(
    joint: Joint, half: Half, t_mm: float, z_mm: float, diameter_mm: float
) -> tuple[WireHole, Member]:
    """This board's half of a wire hole through a joint."""
    member = mate_at(mates(joint, half, BEHIND_MM), t_mm).member
    x, y = point_on(joint, t_mm)
    hole = WireHole(
        member=member.id,
        along_mm=round(member.along(half.board.to_local((x, y))), 6),
        z_mm=round(z_mm + joint.drop_to(half.board.id), 6),
        x_mm=x,
        y_mm=y,
        diameter_mm=diameter_mm,
        joint=joint.id,
    )
    return hole, member


def outer_point(member: Member, along_mm: float) -> Point:
    """Local point on a member's outer face."""
    (x, y), (dx, dy) = member.datum, member.direction
    return (x + along_mm * dx, y + along_mm * dy)


def _through(board: Board, joist: Member, along_mm: float, diameter_mm: float) -> WireHole:
    x, y = board.to_plan(outer_point(joist, along_mm))
    return WireHole(
        member=joist.id,
        along_mm=round(along_mm, 6),
        z_mm=round(joist.top_mm - joist.depth_mm / 2, 6),
        x_mm=round(x, 6),
        y_mm=round(y, 6),
        diameter_mm=diameter_mm,
    )
