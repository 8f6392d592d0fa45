"""The strip at a joint where a track's rails are fixed: drawn, counted, and kept clear of bolts.

Claim: every track that ends on a joint's line gets a strip there on each of the two boards, as wide as its
sleepers, ``joints.rail_strip_mm`` long along the track. Fixings that reach higher than the screws of rail
plates come down stand beside the strips, not under them.

Rails are fixed for some 50 to 75 mm on either side of a joint; sleepers 2.6 m long; screws that end 16 mm
below the deck's underside: common practice, no source.

What this does not know: how far out of a right angle a curve turns within the strip.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardwright.plan.model import Point, Track
from boardwright_timber.model import BoardPlan, Joint, RailStrip

from .mating import Half, plan_to_joint
from .settings import Bore, JointSettings
from .spans import Spans

SLEEPER_MM = 2600.0  # of the real railway
SCREW_BELOW_MM = 16.0
ON_LINE_MM = 1.0


def rail_strips(half: Half, plan: BoardPlan, joint: Joint, settings: JointSettings) -> tuple[RailStrip, ...]:
    """The strips of one board at one joint, rising along it."""
    wide = SLEEPER_MM / plan.scale_ratio if plan.scale_ratio else 0.0
    found = []
    for track in plan.tracks:
        for points in _ends(track):
            t, s = plan_to_joint(joint, half, points[0])
            if abs(s) > ON_LINE_MM or not -ON_LINE_MM <= t <= joint.length_mm + ON_LINE_MM:
                continue
            ring = _strip(points, wide, settings.rail_strip_mm)
            if ring:
                found.append(
                    RailStrip(
                        joint=joint.id,
                        track=track.id,
                        along_mm=round(t, 6),
                        ring=ring,
                    )
                )
    return tuple(sorted(found, key=lambda r: (r.along_mm, r.track)))


def taken_by_rails(joint: Joint, half: Half, strips: tuple[RailStrip, ...], z_mm: float, bore: Bore) -> Spans:
    """Where along a joint a fixing so high would be met by the screws of rail plates."""
    if z_mm + bore.room_mm / 2 <= -SCREW_BELOW_MM:
        return ()
    room = bore.room_mm / 2
    found = []
    for strip in strips:
        ts = [plan_to_joint(joint, half, p)[0] for p in strip.ring]
        found.append((min(ts) - room, max(ts) + room))
    return tuple(found)


def _ends(track: Track) -> Iterator[tuple[Point, ...]]:
    """A track's points from either end."""
    yield track.points
    yield track.points[::-1]


def _strip(points: tuple[Point, ...], wide_mm: float, long_mm: float) -> tuple[Point, ...]:
    """A rectangle from a track's end along its first stretch; none for a track of no length."""
    (x, y), far = points[0], next((p for p in points if math.dist(p, points[0]) >= long_mm), points[-1])
    away = math.dist(points[0], far)
    if away <= 0 or wide_mm <= 0:
        return ()
    ux, uy = (far[0] - x) / away, (far[1] - y) / away
    long, half = min(long_mm, away), wide_mm / 2
    corners = ((0.0, -half), (long, -half), (long, half), (0.0, half))
    return tuple((round(x + u * ux - v * uy, 6), round(y + u * uy + v * ux, 6)) for u, v in corners)
