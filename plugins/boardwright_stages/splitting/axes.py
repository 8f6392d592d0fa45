"""A board's own axes: along its longest straight edge where that costs no room; rectangles come out exact."""

from __future__ import annotations

import math

import numpy as np

from boardwright.plan.model import Point

from .directions import Array
from .piece import box_for, rounded, within

NEARLY_EQUAL = 1.02  # a box along an edge may be this much larger than the smallest one
EDGE_SHARE = 0.25  # the edge must be this share of the box's length
SQUARE_MM = 0.01  # sides this near each other count as equal


def local_axes(ring: Array, limits: tuple[float, float]) -> tuple[Point, float, float, float]:
    """Origin, angle (0 ≤ angle < 180 degrees), length and width of a board's box; length ≥ width.

    A square board lies along the axis nearest to x, so that a small change does not turn it.
    """
    length, width, angle = box_for(ring, limits)
    straight = _longest_edge(ring)
    if straight is not None and straight[0] >= EDGE_SHARE * length:
        along, across, turned = _box_along(ring, straight[1])
        fits = within((along, across, turned), limits)
        if along * across <= NEARLY_EQUAL * length * width and (
            fits or not within((length, width, angle), limits)
        ):
            length, width, angle = along, across, turned
    if length - width < SQUARE_MM:
        other = (angle + 90.0) % 180.0
        if _from_x(other) < _from_x(angle) - 1e-9:
            angle = other
    angle = rounded(angle)
    if angle > 180.0 - 1e-6 or angle < 1e-6:
        angle = 0.0
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    u, v = ring @ np.array((c, s)), ring @ np.array((-s, c))
    low_u, low_v = float(u.min()), float(v.min())
    origin = (rounded(low_u * c - low_v * s), rounded(low_u * s + low_v * c))
    return origin, angle, rounded(np.ptp(u)), rounded(np.ptp(v))


def _from_x(angle: float) -> float:
    return min(angle, 180.0 - angle)


def _longest_edge(ring: Array) -> tuple[float, float] | None:
    """Length and direction (degrees, 0 ≤ angle < 180) of the longest straight run of edges."""
    d = np.roll(ring, -1, axis=0) - ring
    length = np.hypot(d[:, 0], d[:, 1])
    angle = np.degrees(np.arctan2(d[:, 1], d[:, 0])) % 180.0
    totals: list[list[float]] = []
    for i in np.lexsort((np.round(angle, 6), -np.round(length, 6))):
        for t in totals:
            if abs((angle[i] - t[1] + 90.0) % 180.0 - 90.0) < 1e-4:
                t[0] += float(length[i])
                break
        else:
            totals.append([float(length[i]), float(angle[i])])
        if len(totals) > 6:
            break
    if not totals:
        return None
    best = max(totals, key=lambda t: (round(t[0], 3), -round(t[1], 3)))
    return best[0], best[1]


def _box_along(ring: Array, angle: float) -> tuple[float, float, float]:
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    along, across = float(np.ptp(ring @ np.array((c, s)))), float(np.ptp(ring @ np.array((-s, c))))
    if across > along + 1e-6:
        return across, along, (angle + 90.0) % 180.0
    return along, across, angle
