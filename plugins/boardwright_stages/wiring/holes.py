"""Where the wire holes go.

In a joist: on its mid-depth line, mirrored about the longest joist's middle; shorter joists take the places
of that row that they can have, so that a rod passes along the board. Through a joint: at the same plan points
in both boards, near the middle of the joint, mid depth.

Published: holes at least three diameters apart, from 0.25 to 0.40 of the span from either end (UK guidance
for floor joists, read). A rod that passes comes before the zone where boards taper; so do holes enough for
the wires; a joist so short that the zone lies within its end margin, or one on girders, keeps to no zone.
From a bolt or dowel hole we ask 1.25 × the sum of the diameters (our judgement, no source): 40 mm from a
10 mm dowel.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from boardwright.plan.model import Point
from boardwright_timber.model import Board, Fixing, Joint, Member, WireHole

from ..joints.mating import Half, band_of, clear_for, depth_of, mate_at, mates, mating_stretch, point_on
from ..joints.pattern import choose, fixed
from ..joints.settings import Bore
from ..joints.spans import Spans, holds, without
from .measuring import Wanted
from .settings import WiringSettings

ZONE = (0.25, 0.40)  # of the span, UK guidance for floor joists (read)
ACROSS = 0.5  # a joist whose direction has more of this crosses the board
HAND_ROOM_MM = 10.0  # wood or air wanted between the rim of a wire hole and anything behind it
BEHIND_MM = 20.0  # how far behind the ends a wire needs room to turn


def joist_holes(
    board: Board,
    joist: Member,
    settings: WiringSettings,
    diameter_mm: float | None = None,
    lines: tuple[float, ...] = (),
    count: int = 2,
    held: bool = True,
) -> tuple[WireHole, ...]:
    """The holes of one joist; one in the middle if the margins leave no more; none if it is too short.

    ``lines`` are the places of the longest joist's holes, across the board: those that this joist can have
    are taken, so that a rod passes along the board. Where it can have none it gets places of its own.
    ``count`` is how many it needs; ``held``: by its ends, so that the span's zones count.
    """
    d = settings.hole_diameter_mm if diameter_mm is None else diameter_mm
    low, high = face_to_face(joist)
    margin = settings.end_margin_mm + d / 2
    if high - low < 3 * d:
        return ()
    across = joist.direction[1]
    zones = _zones(low, high, margin, settings) if held else ()
    if lines and abs(across) > ACROSS:
        places = sorted((v - joist.datum[1]) / across for v in lines)
        for spans in (zones, ((low + margin, high - margin),)):
            kept = [p for p in places if holds(spans, p)]
            if len(kept) >= min(count, len(places)) or (kept and not zones):
                return tuple(_through(board, joist, p, d) for p in kept)
    row = _row(zones, 3 * d) if zones else ()
    if len(row) < count:
        row = _row(((low + margin, high - margin),), max(settings.hole_spacing_mm, 3 * d), (low + high) / 2)
    return tuple(_through(board, joist, p, d) for p in row)


def _zones(low: float, high: float, margin_mm: float, settings: WiringSettings) -> Spans:
    """From 0.25 to 0.40 of the span from either end; none in a joist too short for them, or not asked for."""
    near, far = (share * (high - low) for share in ZONE)
    if settings.hole_zone == "whole" or near < margin_mm:
        return ()
    return ((low + near, low + far), (high - far, high - near))


def _row(spans: Spans, step_mm: float, else_at: float | None = None) -> tuple[float, ...]:
    """As many places as each span takes so far apart, about its middle."""
    found: list[float] = []
    for low, high in spans:
        count = math.floor((high - low) / step_mm + 1e-9) + 1 if high >= low else 0
        middle = (low + high) / 2
        found += [middle + (i - (count - 1) / 2) * step_mm for i in range(count)]
    return tuple(found) or (() if else_at is None else (else_at,))


def lines_along(
    board: Board,
    joists: Sequence[Member],
    settings: WiringSettings,
    d: float,
    count: int = 2,
    held: bool = True,
) -> tuple[float, ...]:
    """Where rods pass along a board: the places across it of the holes of its longest joist, for holes as
    large and as many as the joist with the most wants."""
    crossing = [j for j in joists if abs(j.direction[1]) > ACROSS]
    if not crossing:
        return ()
    longest = max(crossing, key=lambda j: round(j.length_mm * abs(j.direction[1]), 3))
    row = joist_holes(board, longest, settings, d, (), count, held)
    return tuple(round(outer_point(longest, h.along_mm)[1], 6) for h in row)


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
