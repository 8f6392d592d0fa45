"""Toggle-type catches: where two boards' sides are flush at the end of a joint.

A catch is screwed onto the outer faces of two sides, across the joint, so the sides must run on from one
board to the next. Both ends of the joint must be so, or the board would be held at one corner only: then
bolts are used. Common practice, no source.
"""

from __future__ import annotations

import math

from boardwright.plan.model import Point
from boardwright_timber.model import Joint

from .mating import Half

AT_MM = 0.5  # a corner this near the joint's end is there
FLAT_DEG = 3.0  # more than this out of line and a catch does not close
ROOM_MM = 60.0  # of side that a catch's halves need, each


def flush_ends(joint: Joint, first: Half, second: Half) -> tuple[float, ...]:
    """Distances along the joint of its ends where a catch fits: 0, its length, both, or none."""
    found = []
    for t, end in ((0.0, 0), (joint.length_mm, 1)):
        ways = [_side_at(joint, half, end) for half in (first, second)]
        if all(w is not None for w in ways):
            (ax, ay), (bx, by) = (w for w in ways if w is not None)
            turn = abs(math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by)))
            if abs(turn - 180.0) <= FLAT_DEG:
                found.append(round(t, 6))
    return tuple(found)


def _side_at(joint: Joint, half: Half, end: int) -> Point | None:
    """The way a board's side leads off from an end of the joint; None: no straight side begins there."""
    face = half.board.face(joint)
    corner, other = face[end], face[1 - end]
    ring = half.board.ring
    for n, p in enumerate(ring):
        if math.dist(p, corner) > AT_MM:
            continue
        for q in (ring[n - 1], ring[(n + 1) % len(ring)]):
            length = math.dist(p, q)
            along = ((q[0] - p[0]) * (other[0] - p[0]) + (q[1] - p[1]) * (other[1] - p[1])) / (
                max(length, 1e-9) * math.dist(p, other)
            )
            if length >= ROOM_MM and along < math.cos(math.radians(FLAT_DEG)):
                return (q[0] - p[0], q[1] - p[1])
    return None
