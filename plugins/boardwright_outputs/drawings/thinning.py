"""Fewer points for a picture: long curves lose what neither a screen nor paper can show. Never in DXF."""

from __future__ import annotations

import math
from collections.abc import Sequence

from boardwright.plan.model import Point


def thinned(points: Sequence[Point], tolerance_mm: float) -> list[Point]:
    """Drop points nearer than the tolerance to the line without them (Douglas and Peucker's method)."""
    keep = [False] * len(points)
    keep[0] = keep[-1] = True
    waiting = [(0, len(points) - 1)]
    while waiting:
        first, last = waiting.pop()
        (ax, ay), (bx, by) = points[first], points[last]
        length = math.hypot(bx - ax, by - ay)
        furthest, where = tolerance_mm, 0
        for i in range(first + 1, last):
            px, py = points[i][0] - ax, points[i][1] - ay
            off = abs(px * (by - ay) - py * (bx - ax)) / length if length else math.hypot(px, py)
            if off > furthest:
                furthest, where = off, i
        if where:
            keep[where] = True
            waiting += [(first, where), (where, last)]
    return [p for p, k in zip(points, keep, strict=True) if k]
