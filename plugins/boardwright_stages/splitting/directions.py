"""What is straight about a piece: its main directions and its corners.

Main directions are the directions of its edges, near ones taken together, the longest first. Corners are
vertices where a ring turns sharply, or where a long straight edge ends.

Each stands for itself and its perpendicular. A curve has none of its own unless nothing on the piece is
straight.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

type Array = np.ndarray[Any, np.dtype[np.float64]]
type Truths = np.ndarray[Any, np.dtype[np.bool_]]

TOGETHER = math.radians(2.0)
STRAIGHT = 1e-6  # radians; nearer to an axis than coordinates can tell
MOST = 3
SHARE = 0.08  # of the perimeter; a direction with less is no main direction
SEEDS = 8
SHARP_DEG = 20.0
LONG_MM = 60.0
LOOK_MM = 40.0  # a turn is judged between points this far before and after


def main_directions(edges: Array) -> Array:
    """Angles in radians, 0 ≤ angle < π/2, of a piece with these edge vectors; at least one, at most MOST."""
    length = np.hypot(edges[:, 0], edges[:, 1])
    angle = np.arctan2(edges[:, 1], edges[:, 0]) % (math.pi / 2)
    angle[(angle > math.pi / 2 - STRAIGHT) | (angle < STRAIGHT)] = 0.0
    order = np.lexsort((np.round(angle, 9), -np.round(length, 3)))
    length, angle = length[order], angle[order]
    left = np.ones(len(length), dtype=bool)
    found: list[tuple[float, float]] = []
    for _ in range(SEEDS):
        if not left.any():
            break
        seed = float(angle[int(np.argmax(left))])
        group = left & (off_direction(angle, seed) < TOGETHER)
        found.append((round(float(length[group].sum()), 3), seed))
        left &= ~group
    found.sort(key=lambda g: (-g[0], g[1]))
    enough = SHARE * float(length.sum())
    return np.array([seed for k, (total, seed) in enumerate(found[:MOST]) if k == 0 or total > enough])


def off_direction(angle: Array, main: Array | float) -> Array:
    """Smallest angle (radians, 0 … π/4) between directions and a main direction or its perpendicular."""
    off: Array = np.abs((angle - main + math.pi / 4) % (math.pi / 2) - math.pi / 4)
    return off


def corners(ring: Array) -> tuple[Array, Array]:
    """Corners (points) of a ring and how far it turns about there, in degrees; negative: a reflex corner."""
    edge = np.roll(ring, -1, axis=0) - ring
    length = np.hypot(edge[:, 0], edge[:, 1])
    heading = np.arctan2(edge[:, 1], edge[:, 0])
    sharp = np.abs(_turn(np.roll(heading, 1), heading)) > math.radians(SHARP_DEG)
    long = length > LONG_MM
    which = np.flatnonzero(sharp | long | np.roll(long, 1))
    reached = np.concatenate(([0.0], np.cumsum(length)))
    closed = np.vstack((ring, ring[:1]))

    def at(distance: Array) -> Array:
        where = distance % reached[-1]
        return np.column_stack([np.interp(where, reached, closed[:, k]) for k in (0, 1)])

    before = ring[which] - at(reached[which] - LOOK_MM)
    after = at(reached[which] + LOOK_MM) - ring[which]
    turn = np.degrees(_turn(np.arctan2(before[:, 1], before[:, 0]), np.arctan2(after[:, 1], after[:, 0])))
    real = np.abs(turn) > 2.0
    return ring[which][real], turn[real]


def _turn(before: Array, after: Array) -> Array:
    turn: Array = (after - before + math.pi) % (2 * math.pi) - math.pi
    return turn


def distinct(values: Array) -> Array:
    """Each value once, rising: ``numpy.unique`` for a handful of them, without its masked arrays."""
    return np.array(sorted(set(values.tolist())), dtype=values.dtype)
