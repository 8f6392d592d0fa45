"""How far the vertices of a stretch of a ring reach in many directions, for many stretches at once.

Highest and lowest reach of stretches of 1, 2, 4 … vertices are worked out once; any stretch is two of them.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from .directions import Array, distinct

MOST_ANGLES = 32
STRAIGHT_ANGLES = 8


class Ways:
    """Directions in which boards are measured: those of the edges and of the joints.

    ``both`` holds each angle and, in its second half, the one square to it. Where there are more than
    MOST_ANGLES, those along which most of the edges lie are kept, and others spread evenly over the rest: so
    a curve is measured along all of it.
    """

    def __init__(self, edges: Array, joints: Array) -> None:
        length = np.hypot(edges[:, 0], edges[:, 1])
        straight, which = np.unique(_angles(edges), return_inverse=True)
        angles = distinct(np.concatenate((straight, _angles(joints))))
        if len(angles) > MOST_ANGLES:
            total = np.round(np.bincount(which, length), 3)
            kept = straight[np.argsort(-total, kind="stable")[:STRAIGHT_ANGLES]]
            others = angles[(angles[:, None] != kept).all(axis=1)]
            spread = np.round(np.linspace(0, len(others) - 1, MOST_ANGLES - len(kept))).astype(int)
            angles = distinct(np.concatenate((kept, others[spread])))
        both = np.concatenate((angles, angles + math.pi / 2))
        self.both = np.vstack((np.cos(both), np.sin(both)))


def _angles(ways: Array) -> Array:
    angles: Array = np.round(np.arctan2(ways[:, 1], ways[:, 0]) % (math.pi / 2), 6)
    return angles


class Runs:
    """The stretches of one ring; ``ways`` are unit vectors, one a column."""

    def __init__(self, ring: Array, ways: Array) -> None:
        self.n = len(ring)
        reach = np.vstack((ring, ring)) @ ways
        self.high, self.low = [reach], [reach]
        while 2 ** len(self.high) <= self.n:
            far = 2 ** (len(self.high) - 1)
            high, low = self.high[-1], self.low[-1]
            self.high.append(np.maximum(high[:-far], high[far:]))
            self.low.append(np.minimum(low[:-far], low[far:]))

    def reach(self, first: Any, count: Any) -> tuple[Array, Array]:
        """Highest and lowest reach of ``count`` vertices from ``first`` on (±∞ where there are none)."""
        first, count = np.broadcast_arrays(first % self.n, count)
        high = np.full((len(first), self.high[0].shape[1]), -np.inf)
        low = -high
        level = np.floor(np.log2(np.maximum(count, 1))).astype(int)
        for k in np.flatnonzero(np.bincount(level[count > 0])):
            rows = np.flatnonzero((level == k) & (count > 0))
            a, b = first[rows], first[rows] + count[rows] - 2**k
            high[rows] = np.maximum(self.high[k][a], self.high[k][b])
            low[rows] = np.minimum(self.low[k][a], self.low[k][b])
        return high, low
