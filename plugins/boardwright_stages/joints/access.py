"""Whether a spanner turns and a hand gets to a bolt, behind an end, in three dimensions.

Claim: at every place answered by ``turning`` a spanner's handle swings by 30° without touching wood or a
device, coming up from below; at every place answered by ``in_reach`` a round hole as wide as a hand lies open
from below, no more than REACH_MM from the nut.

A spanner's handle is as wide as its nut is across the flats, its head 1.5 times the nut's corners; a ring of
twelve points takes hold again after 30°, an open jaw that stands 15° off its handle does so turned over:
common practice, no source. A wing nut is turned by its wings alone.

Glossary
    handle   from the bolt's middle outwards, tilted by some angle from straight down
    tilt     how far a handle may lean to one side before it touches what stands there, below the bolt

What this does not know: arms, legs and trestles under the board.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from boardwright.plan.model import Point
from boardwright_timber.model import Joint, MemberRole
from boardwright_timber.reference import NUTS

from ..offsets import inset
from .mating import Half, Mate, Thing, plan_to_joint, to_joint
from .settings import Fastener, JointSettings
from .spans import Span, Spans, common, union

SWING_DEG = 30.0
AMPLE_DEG = 1e-3  # more than rounding takes of two tilts
STEP_MM = 0.5  # how finely places between two things are tried
OPEN = 6.0  # things further apart than so many times their depth below a bolt never hold a spanner
REACH_MM = 40.0  # fingers beyond the hand
FAR_MM = 250.0  # how far behind the ends a hand may come up


def turning(places: Spans, side: Sequence[Mate], z_mm: float, settings: JointSettings) -> Spans:
    """Of ``places`` those where a spanner turns behind this side's end."""
    if settings.nut == "wing nut":
        return places
    half = NUTS[settings.bolt_size].across_flats_mm / 2
    things = [t for mate in side for t in mate.things if t.bottom_mm < z_mm < t.top_mm + half]
    walls = union(t.span for t in things)
    kept: list[Span] = []
    for low, high in places:
        left = max((b for _, b in walls if b <= low), default=-math.inf)
        right = min((a for a, _ in walls if a >= high), default=math.inf)
        deep = max(
            (z_mm - t.bottom_mm for t in things if t.span[1] in (left,) or t.span[0] in (right,)), default=0.0
        )
        if right - left > OPEN * deep:
            kept.append((low, high))
            continue
        steps = math.ceil((high - low) / STEP_MM - 1e-9)
        tried = [low + (high - low) * n / steps for n in range(steps + 1)] if steps else [low]
        ample = ample_mm(deep, half)
        free = [
            t
            for t in tried
            if min(t - left, right - t) >= ample
            or swing_deg(t - left, right - t, deep, half) >= SWING_DEG - 1e-9
        ]
        kept += _runs(free, STEP_MM)
    return tuple(kept)


def turned(
    places: Spans,
    ours: tuple[Mate, ...],
    theirs: tuple[Mate, ...],
    z_mm: tuple[float, float],
    fastener: Fastener,
    settings: JointSettings,
) -> Spans:
    """Of ``places`` those where spanners turn behind both ends, but behind the nut's alone where a square
    neck holds the bolt. ``z_mm``: the bolt's height below each board's deck."""
    one, other = (turning(places, side, z, settings) for side, z in zip((ours, theirs), z_mm, strict=True))
    return union((*one, *other)) if fastener == "cup bolt" else common(one, other)


def swing_deg(left_mm: float, right_mm: float, deep_mm: float, half_mm: float) -> float:
    """The angle through which a handle swings between a thing on its left and one on its right that reach
    ``deep_mm`` below the bolt; ``half_mm`` is half the handle's width.

    >>> round(swing_deg(30, 30, 45, 6.5), 3)   # each side: acos(6.5 / √(30² + 45²)) - atan2(45, 30) = 26.49°
    52.975
    """
    return sum(_tilt_deg(d, deep_mm, half_mm) for d in (left_mm, right_mm))


def ample_mm(deep_mm: float, half_mm: float) -> float:
    """So far from the things on both sides a handle swings far enough: the farther, the more it may lean."""
    away = half_mm
    while _tilt_deg(away, deep_mm, half_mm) < SWING_DEG / 2 + AMPLE_DEG:
        away *= 1.1
    return away


def _tilt_deg(away_mm: float, deep_mm: float, half_mm: float) -> float:
    """d cos φ - h sin φ = w at the lower corner of the thing: φ = acos(w / √(d² + h²)) - atan2(h, d)."""
    if math.isinf(away_mm) or deep_mm <= 0:
        return 90.0
    corner = math.hypot(away_mm, deep_mm)
    if corner <= half_mm:
        return -90.0
    return math.degrees(math.acos(half_mm / corner) - math.atan2(deep_mm, away_mm))


def in_reach(joint: Joint, half: Half, thick_mm: float, z_mm: float, settings: JointSettings) -> Spans:
    """Where along the joint a hand from below gets to a nut behind this board's end."""
    whole: Spans = ((0.0, joint.length_mm),)
    hand = settings.hand_mm
    if not hand:
        return whole
    shapes = _below(joint, half, z_mm + hand / 2)
    if not shapes:
        return whole
    import shapely

    ring = [plan_to_joint(joint, half, p) for p in half.board.ring]
    wells = [[plan_to_joint(joint, half, p) for p in well] for well in half.board.wells]
    strip = shapely.box(-FAR_MM, 0.0, joint.length_mm + FAR_MM, FAR_MM)
    room = shapely.Polygon(ring, wells).intersection(strip)
    open_ = room.difference(shapely.union_all([shapely.Polygon(corners) for corners in shapes]))
    at = thick_mm + settings.reach_mm / 2
    reached = inset(open_, hand / 2 - 0.1).buffer(hand / 2 + REACH_MM)
    line = shapely.LineString(((0.0, at), (joint.length_mm, at)))
    parts = shapely.get_parts(line.intersection(reached))
    found = [(round(p.bounds[0], 6), round(p.bounds[2], 6)) for p in parts if p.length > 0]
    return common(union(found), whole)


def _below(joint: Joint, half: Half, under_mm: float) -> list[list[Point]]:
    """Plan shapes, in the joint's axes, of all that reaches lower than ``under_mm`` near the joint."""
    shapes = [
        [to_joint(joint, half, p) for p in m.outline]
        for m in half.members
        if m.role is not MemberRole.RISER and m.bottom_mm < under_mm
    ]
    shapes += [
        [plan_to_joint(joint, half, p) for p in d.footprint()] for d in half.hanging if -d.depth_mm < under_mm
    ]
    return [s for s in shapes if min(p[1] for p in s) < FAR_MM]


def _runs(free: Sequence[float], step_mm: float) -> list[Span]:
    """Places that follow one another, as spans."""
    runs: list[Span] = []
    for t in free:
        if runs and t - runs[-1][1] <= step_mm + 1e-6:
            runs[-1] = (runs[-1][0], t)
        else:
            runs.append((t, t))
    return runs


def named(things: Sequence[Thing]) -> str:
    return ", ".join(dict.fromkeys(t.name for t in things))
