"""Plane geometry shared by the rules: snapping, rings, lines. Pure numbers, millimetres.

Glossary
    ring    closed run of points, first point not repeated
    line    a point and a direction of length 1; what lies to its left is its *inner* side
    snap    round to the stored form of a coordinate: 1e-6 mm, no negative zero

What this does not know: curves (they come flattened), and anything made of wood.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import msgspec

from boardwright.plan.model import Point, Ring

SNAP_DIGITS = 6
PARALLEL = 1e-9  # sine of the angle below which two lines are parallel


def snap(value: float) -> float:
    """The stored form of a coordinate."""
    return round(value, SNAP_DIGITS) + 0.0


def snap_point(p: Point) -> Point:
    return (snap(p[0]), snap(p[1]))


def signed_area(ring: Ring) -> float:
    """Area in mm²; positive when the ring runs anticlockwise.

    >>> signed_area(((0, 0), (2, 0), (2, 3), (0, 3)))
    6.0
    """
    turns = ((a[0] * b[1] - b[0] * a[1]) for a, b in sides(ring))
    return sum(turns) / 2


def sides(ring: Ring) -> list[tuple[Point, Point]]:
    """The sides of a ring, from its first point on."""
    return list(zip(ring, ring[1:] + ring[:1], strict=True))


def oriented(ring: Ring, *, anticlockwise: bool) -> Ring:
    """The ring turned the way wanted, its first point kept."""
    if (signed_area(ring) > 0) == anticlockwise:
        return ring
    return (ring[0], *reversed(ring[1:]))


def lower_left_first(ring: Ring) -> Ring:
    """The ring started at its lower left point: the least x + y, then the least x, to 0.001 mm."""
    first = min(range(len(ring)), key=lambda i: (round(ring[i][0] + ring[i][1], 3), round(ring[i][0], 3), i))
    return ring[first:] + ring[:first]


def without_repeats(points: Iterable[Point], within_mm: float = 1e-5) -> Ring:
    """Points less those that repeat the one before (the last one before the first)."""
    kept: list[Point] = []
    for p in points:
        if not kept or math.dist(p, kept[-1]) > within_mm:
            kept.append(p)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= within_mm:
        kept.pop()
    return tuple(kept)


class Line(msgspec.Struct, frozen=True):
    """An endless line through (x, y) in direction (dx, dy), which has length 1."""

    x: float
    y: float
    dx: float
    dy: float

    def left(self, p: Point) -> float:
        """Distance of a point from the line; positive on its left."""
        return self.dx * (p[1] - self.y) - self.dy * (p[0] - self.x)

    def along(self, p: Point) -> float:
        """How far along the line a point lies, from (x, y)."""
        return self.dx * (p[0] - self.x) + self.dy * (p[1] - self.y)

    def at(self, along_mm: float) -> Point:
        return (self.x + self.dx * along_mm, self.y + self.dy * along_mm)

    def moved_left(self, by_mm: float) -> Line:
        return Line(self.x - self.dy * by_mm, self.y + self.dx * by_mm, self.dx, self.dy)

    def turn_to(self, other: Line) -> float:
        """Angle in degrees from this direction to another's, positive anticlockwise, -180 to 180."""
        sine = self.dx * other.dy - self.dy * other.dx
        return math.degrees(math.atan2(sine, self.dx * other.dx + self.dy * other.dy))


def line_through(a: Point, b: Point) -> Line:
    """The line from a towards b. Raises ValueError when they are the same point."""
    length = math.dist(a, b)
    if length == 0:
        raise ValueError(f"two different points are needed, both are {a}")
    return Line(a[0], a[1], (b[0] - a[0]) / length, (b[1] - a[1]) / length)


def meet(p: Line, q: Line) -> Point | None:
    """Where two lines cross; None when they are parallel.

    >>> meet(line_through((0, 0), (5, 0)), line_through((3, -1), (3, 1)))
    (3.0, 0.0)
    """
    sine = p.dx * q.dy - p.dy * q.dx
    if abs(sine) < PARALLEL:
        return None
    return p.at(((q.x - p.x) * q.dy - (q.y - p.y) * q.dx) / sine)


def corners_of(lines: list[Line]) -> list[Point | None]:
    """Corner k is where line k - 1 meets line k."""
    return [meet(lines[k - 1], lines[k]) for k in range(len(lines))]


def path_length(path: Sequence[Point]) -> float:
    """Length of an open run of points."""
    return sum(math.dist(a, b) for a, b in pairwise(path))


def offset_path(path: Sequence[Point], by_mm: float) -> tuple[Point, ...]:
    """An open run of points moved so far to the left of its way, its corners mitred, its ends square.

    >>> offset_path(((0, 0), (10, 0), (10, 10)), 2)
    ((0.0, 2.0), (8.0, 2.0), (8.0, 10.0))
    """
    ways = [((b[0] - a[0]) / d, (b[1] - a[1]) / d) for a, b in pairwise(path) for d in [math.dist(a, b)]]
    found = []
    for n, (x, y) in enumerate(path):
        (ux, uy), (vx, vy) = ways[max(n - 1, 0)], ways[min(n, len(ways) - 1)]
        share = by_mm / (1 + ux * vx + uy * vy)
        found.append((x - (uy + vy) * share, y + (ux + vx) * share))
    return tuple(found)


def turn_rad(a: Point, b: Point, c: Point) -> float:
    """How much the way turns at b, radians, to the left positive."""
    u, v = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])


def tightest_radius_mm(path: Sequence[Point]) -> float:
    """The least radius that a run of points bends to: length over turn, at every bend of it; infinite where
    it is straight. At its two ends, which may be parts of a step, the whole step counts.

    >>> round(tightest_radius_mm(((0, 0), (10, 0), (20, 1))), 1)
    100.3
    """
    long = [math.dist(a, b) for a, b in pairwise(path)]
    if len(long) > 2:
        long[0], long[-1] = max(long[:2]), max(long[-2:])
    found = [
        min(long[n : n + 2]) / abs(turn)
        for n, corner in enumerate(zip(path, path[1:], path[2:], strict=False))
        for turn in [turn_rad(*corner)]
        if abs(turn) > 1e-6
    ]
    return min(found, default=math.inf)
