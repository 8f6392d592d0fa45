"""Runs of points that follow a circle, as arcs: what a machine cuts round instead of in many small steps.

Glossary
    bulge    tangent of a quarter of the angle that an arc sweeps between two points; positive turns left
             (DXF reference, LWPOLYLINE group code 42; from memory)
"""

from __future__ import annotations

import math
from itertools import groupby

from boardwright.plan.model import Circle, Point
from boardwright.plan.rings import follows

from .drawing import Polyline

type Bent = tuple[float, float, float]


def bent(item: Polyline) -> list[Bent]:
    """Corners (x, y, bulge) of a polyline, each run on one circle in as few as arcs of half a turn need."""
    points = item.points
    if not item.rounds:
        return [(x, y, 0.0) for x, y in points]
    circles = [Circle(x_mm=x, y_mm=y, radius_mm=r, chord_mm=c) for x, y, r, c in item.rounds]
    ends = [*points[1:], *points[:1]] if item.closed else points[1:]
    pieces = list(zip(points, ends, strict=False))
    on = [_turn(a, b, circles) for a, b in pieces]
    first = next((n for n in range(len(on)) if on[n] != on[n - 1]), 0) if item.closed else 0
    order = [*range(first, len(on)), *range(first)]
    corners: list[Bent] = []
    for which, run in groupby(order, key=on.__getitem__):
        steps = [pieces[n] for n in run]
        if which is None or len(steps) < 2:
            corners += [(*a, 0.0) for a, _ in steps]
        else:
            corners += _arcs(steps, circles[which[0]])
    if not item.closed:
        corners.append((*points[-1], 0.0))
    return corners


def _turn(a: Point, b: Point, circles: list[Circle]) -> tuple[int, bool] | None:
    """The circle that a piece follows and whether it turns left round it."""
    for n, circle in enumerate(circles):
        if follows(a, b, circle):
            return n, _angle(a, b, circle) > 0
    return None


def _angle(a: Point, b: Point, circle: Circle) -> float:
    ax, ay, bx, by = a[0] - circle.x_mm, a[1] - circle.y_mm, b[0] - circle.x_mm, b[1] - circle.y_mm
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _arcs(steps: list[tuple[Point, Point]], circle: Circle) -> list[Bent]:
    corners: list[Bent] = []
    start, swept = steps[0][0], 0.0
    for a, b in steps:
        step = _angle(a, b, circle)
        if abs(swept + step) > math.pi + 1e-9:
            corners.append((*start, math.tan(swept / 4)))
            start, swept = a, 0.0
        swept += step
    corners.append((*start, math.tan(swept / 4)))
    return corners
