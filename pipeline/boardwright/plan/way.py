"""Along a track: its place, its direction and its bend at any distance from its start, exact on arcs.

Glossary
    distance    length along the true curve from the track's first point, mm; arcs count as arcs
    direction   the tangent, degrees anticlockwise from the x axis, the way the track's points run
    bend        1/radius, 1/mm; positive to the left, 0 on straight pieces
    kink        a place where two pieces meet at an angle: its direction is that of the piece ahead

A track's points lie on its true curve. Pieces between them that follow one of its circles are measured on
that circle; all others are straight as they stand, so that on splines and ellipses, whose chords stray by the
reader's chord error, a direction is that of the chord.

What this does not know: height.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate, pairwise

import msgspec

from .model import Circle, Point, Track
from .rings import follows


class Station(msgspec.Struct, frozen=True, kw_only=True):
    """A place on a track. See the glossary."""

    x_mm: float
    y_mm: float
    direction_deg: float
    bend: float = 0.0


class Way:
    """A track made ready to be walked along."""

    def __init__(self, track: Track) -> None:
        self.points = track.points
        self.circles = circles_of(track.points, track.circles)
        steps = [_length(a, b, c) for (a, b), c in zip(pairwise(self.points), self.circles, strict=True)]
        self.far = (0.0, *accumulate(steps))

    @property
    def length_mm(self) -> float:
        return self.far[-1]

    def at(self, distance_mm: float) -> Station:
        """The station at a distance; before the start or past the end, that of the end.

        Raises ValueError for a track of fewer than two points.
        """
        if not self.circles:
            raise ValueError("a track with no length has no stations")
        distance = min(max(distance_mm, 0.0), self.length_mm)
        k = min(bisect_right(self.far, distance), len(self.circles)) - 1
        return _station(self.points[k], self.points[k + 1], self.circles[k], distance - self.far[k])


def circles_of(points: Sequence[Point], circles: Sequence[Circle]) -> list[Circle | None]:
    """For each piece between two points, the circle it follows."""
    found: list[Circle | None] = []
    last: Circle | None = None
    for a, b in pairwise(points):
        if last is None or not follows(a, b, last):
            last = next((c for c in circles if follows(a, b, c)), None)
        found.append(last)
    return found


def _turn(a: Point, b: Point, circle: Circle) -> float:
    """Angle swept from a to b about the centre, radians; positive to the left."""
    ax, ay, bx, by = a[0] - circle.x_mm, a[1] - circle.y_mm, b[0] - circle.x_mm, b[1] - circle.y_mm
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _length(a: Point, b: Point, circle: Circle | None) -> float:
    return circle.radius_mm * abs(_turn(a, b, circle)) if circle else math.dist(a, b)


def _station(a: Point, b: Point, circle: Circle | None, along: float) -> Station:
    if circle is None:
        t = along / math.dist(a, b)
        heading = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) % 360
        return Station(x_mm=a[0] + (b[0] - a[0]) * t, y_mm=a[1] + (b[1] - a[1]) * t, direction_deg=heading)
    side = math.copysign(1.0, _turn(a, b, circle))
    angle = math.atan2(a[1] - circle.y_mm, a[0] - circle.x_mm) + side * along / circle.radius_mm
    return Station(
        x_mm=circle.x_mm + circle.radius_mm * math.cos(angle),
        y_mm=circle.y_mm + circle.radius_mm * math.sin(angle),
        direction_deg=math.degrees(angle + side * math.pi / 2) % 360,
        bend=side / circle.radius_mm,
    )
