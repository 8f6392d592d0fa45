"""Curves into straight pieces that stray from the true curve at most by a stated chord error.

Every point lies on the true curve; the error is the height of the arc over its chord, r·(1 − cos(θ/2)) for a
step θ. An ellipse is a circle of its larger half-axis squeezed, so the same step keeps the same error.

Glossary
    bulge    tangent of a quarter of the angle an arc sweeps between two polyline points; negative turns right
             (DXF reference, LWPOLYLINE group code 42; from memory)
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from .model import Point

MOST_PIECES = 20_000
"""A curve that would need more pieces than this is refused."""


_DEEPEST_HALVING = 16


class DamagedError(ValueError):
    """The curve cannot be what it says; the message says why, in plain words."""


class TooManyPiecesError(ValueError):
    """The curve is far too large for the chord error asked for."""


def pieces(radius: float, sweep: float, error: float) -> int:
    """How many chords an arc needs. ``sweep`` in radians. Raises TooManyPiecesError."""
    if not math.isfinite(radius) or not math.isfinite(sweep):
        raise ValueError("an arc with no finite radius or sweep")
    step = 2 * math.acos(max(0.0, 1 - error / radius)) if radius > error else math.pi / 2
    count = math.ceil(abs(sweep) / min(max(step, 1e-12), math.pi / 2) - 1e-9)
    if abs(sweep) == 2 * math.pi:
        count += -count % 4  # so that the box round a whole circle is exact
    if count > MOST_PIECES:
        raise TooManyPiecesError(f"{count} pieces")
    return max(1, count)


def arc(centre: Point, radius: float, start: float, sweep: float, error: float) -> list[Point]:
    """Points of an arc, ends included. Angles in radians, anticlockwise positive."""
    count = pieces(abs(radius), sweep, error)
    angles = (start + sweep * i / count for i in range(count + 1))
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def ellipse(
    centre: Point, major: Point, minor: Point, start: float, sweep: float, error: float
) -> list[Point]:
    """Points of an elliptical arc: centre + cos t · major + sin t · minor."""
    count = pieces(max(math.hypot(*major), math.hypot(*minor)), sweep, error)
    found = []
    for i in range(count + 1):
        c, s = math.cos(start + sweep * i / count), math.sin(start + sweep * i / count)
        found.append((centre[0] + c * major[0] + s * minor[0], centre[1] + c * major[1] + s * minor[1]))
    return found


def smooth(at: Callable[[float], Point], stations: Sequence[float], error: float) -> list[Point]:
    """Points of a smooth curve given by parameter, halving each stretch between stations until it is flat.

    A stretch is flat when the curve at a quarter, half and three quarters of it lies within ``error`` of the
    chord; every stretch is halved at least twice.
    """
    found = [at(stations[0])]
    for t0, t1 in pairwise(stations):
        stack = [(t0, t1, 0)]
        while stack:
            a, b, depth = stack.pop()
            start, end = at(a), at(b)
            between = [at(a + (b - a) * k / 4) for k in (1, 2, 3)]
            flat = all(_off_chord(p, start, end) <= error for p in between)
            if depth < 2 or (not flat and depth < _DEEPEST_HALVING):
                stack += [((a + b) / 2, b, depth + 1), (a, (a + b) / 2, depth + 1)]
                continue
            found.append(end)
            if len(found) > MOST_PIECES:
                raise TooManyPiecesError("a spline")
    return found


def _off_chord(p: Point, a: Point, b: Point) -> float:
    """Distance of a point from the line piece a–b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    t = 0.0 if square == 0 else min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square))
    return math.dist(p, (a[0] + t * dx, a[1] + t * dy))


def _bulge_circle(a: Point, b: Point, bulge: float) -> tuple[Point, float]:
    chord = math.dist(a, b)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    to_centre = chord * (1 - bulge * bulge) / (4 * bulge)  # left of the chord when positive
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    return ((a[0] + b[0]) / 2 - uy * to_centre, (a[1] + b[1]) / 2 + ux * to_centre), radius


def bulge_arc(a: Point, b: Point, bulge: float, error: float) -> list[Point]:
    """Points after ``a`` up to and with ``b`` along the arc a bulge stands for."""
    chord = math.dist(a, b)
    if abs(bulge) < 1e-9 or chord == 0:
        return [b]
    sweep = 4 * math.atan(bulge)
    centre, radius = _bulge_circle(a, b, bulge)
    start = math.atan2(a[1] - centre[1], a[0] - centre[0])
    return [*arc(centre, radius, start, sweep, error)[1:-1], b]


class Round(NamedTuple):
    """A circle that a run of points follows, ``chord`` apart."""

    centre: Point
    radius: float
    chord: float


def rounds(points: list[tuple[float, float, float]], closed: bool, error: float) -> list[Round]:
    """The circles of a polyline's bulges."""
    following = [*points[1:], *points[:1]] if closed else points[1:]
    found = []
    for (x, y, bulge), (nx, ny, _) in zip(points, following, strict=False):
        if abs(bulge) < 1e-9 or (x, y) == (nx, ny):
            continue
        centre, radius = _bulge_circle((x, y), (nx, ny), bulge)
        run = bulge_arc((x, y), (nx, ny), bulge, error)
        found.append(Round(centre, radius, math.dist((x, y), run[0])))
    return found


def polyline(points: list[tuple[float, float, float]], closed: bool, error: float) -> list[Point]:
    """Points of a polyline of (x, y, bulge). A closed one repeats no point."""
    if not points:
        return []
    found: list[Point] = [points[0][:2]]
    following = [*points[1:], points[0]] if closed else points[1:]
    for (x, y, bulge), (nx, ny, _) in zip(points, following, strict=False):
        found.extend(bulge_arc((x, y), (nx, ny), bulge, error))
    if closed and len(found) > 1:
        found.pop()
    return found
