"""Rings and point runs in one canonical form, so that the same shape is always the same numbers.

Points are rounded to 1e-6 mm; repeated points and points on a straight run are dropped; the ring turns the
asked way and starts at its smallest (x, y).

A ring is straight pieces only; which of them follow a circle is told beside it (``followed``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from .model import Circle, Point, Ring

DIGITS = 6
_STRAIGHT_MM = 10.0**-DIGITS
"""A point nearer than this to the line through its neighbours is on a straight run."""


def snap(x: float, y: float) -> Point:
    """Round to 1e-6 mm, without negative zero."""
    return (round(float(x), DIGITS) + 0.0, round(float(y), DIGITS) + 0.0)


def run(points: Iterable[Point]) -> tuple[Point, ...]:
    """An open run of points: snapped, repeated points dropped."""
    kept: list[Point] = []
    for x, y in points:
        p = snap(x, y)
        if not kept or p != kept[-1]:
            kept.append(p)
    return tuple(kept)


def area(ring: Iterable[Point]) -> float:
    """Signed area in mm² by the shoelace rule: positive when anticlockwise."""
    points = tuple(ring)
    if not points:
        return 0.0
    x0, y0 = points[0]
    following = (*points[1:], points[0])
    return (
        sum(
            (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
            for (ax, ay), (bx, by) in zip(points, following, strict=True)
        )
        / 2
    )


def ring(points: Iterable[Point], clockwise: bool = False) -> Ring:
    """The canonical ring of a closed shape; empty when all of it lies on one line."""
    kept = list(run(points))
    while len(kept) > 1 and kept[0] == kept[-1]:
        kept.pop()
    kept = _without_straight(kept)
    if len(kept) < 3:
        return ()
    if (area(kept) < 0) != clockwise:
        kept.reverse()
    first = kept.index(min(kept))
    return tuple(kept[first:] + kept[:first])


def _without_straight(points: list[Point]) -> list[Point]:
    """Drop points on straight runs, and spikes that go out and back, until none is left."""
    while len(points) > 2:
        kept: list[Point] = []
        count = len(points)
        for i, p in enumerate(points):
            before = kept[-1] if kept else points[-1]
            if p != before and not _on_line(before, p, points[(i + 1) % count]):
                kept.append(p)
        if len(kept) == count:
            break
        points = kept
    return points


def _on_line(a: Point, p: Point, b: Point) -> bool:
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    if length < _STRAIGHT_MM:
        return True
    return abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) / length < _STRAIGHT_MM


_ON_CIRCLE_MM = 1e-5
"""Points this near to a circle are on it: ten times what rounding to 1e-6 mm can do."""


def follows(a: Point, b: Point, circle: Circle) -> bool:
    """Whether the straight piece a–b stands for a piece of the circle, and is no chord of its own."""
    centre = (circle.x_mm, circle.y_mm)
    return (
        abs(math.dist(a, centre) - circle.radius_mm) <= _ON_CIRCLE_MM
        and abs(math.dist(b, centre) - circle.radius_mm) <= _ON_CIRCLE_MM
        and math.dist(a, b) <= circle.chord_mm * 1.001
    )


def followed(found: Iterable[Ring], circles: Iterable[Circle]) -> tuple[Circle, ...]:
    """Those circles that at least two neighbouring pieces of the rings follow, each once."""
    closed = [(*ring, ring[0]) for ring in found if ring]
    return _kept(c for c in circles if any(_pieces_on(run, c) > 1 for run in closed))


def followed_by(points: Sequence[Point], circles: Iterable[Circle]) -> tuple[Circle, ...]:
    """Those circles that a piece of an open run follows, each once."""
    return _kept(c for c in circles if _pieces_on(points, c))


def _kept(circles: Iterable[Circle]) -> tuple[Circle, ...]:
    """Circles alike once, with the longest chord, in order."""
    kept: dict[tuple[float, float, float], Circle] = {}
    for circle in circles:
        key = (round(circle.x_mm, DIGITS), round(circle.y_mm, DIGITS), round(circle.radius_mm, DIGITS))
        if key not in kept or kept[key].chord_mm < circle.chord_mm:
            kept[key] = circle
    return tuple(circle for _, circle in sorted(kept.items()))


def _pieces_on(run: Sequence[Point], circle: Circle) -> int:
    return sum(follows(a, b, circle) for a, b in pairwise(run))
