"""Runs of an SVG path in the plan: laid into their frame, curves flattened to the chord error.

A circular arc stays one as long as its frame stretches evenly; else it is part of an ellipse.
"""

from __future__ import annotations

import math

from . import curves
from .model import Circle, Point
from .svg_frame import Frame, place, turn
from .svg_path import Cubic, Line, Run, Step, Turn

_ROUND = 1e-9
"""Half-axes that differ by less than this share of themselves are a circle's."""


def points_of(run: Run, frame: Frame, error: float) -> tuple[list[Point], bool, tuple[Circle, ...]]:
    """Points of a run in the plan, whether it is closed, and the circles that parts of it follow.

    A closed run repeats no point.
    """
    found = [place(frame, run.start)]
    circles: list[Circle] = []
    for step in run.steps:
        after = _after(found[-1], step, frame, error)
        if isinstance(step, Turn) and (size := _radius(step, frame)):
            x, y = place(frame, step.centre)
            circles.append(Circle(x_mm=x, y_mm=y, radius_mm=size, chord_mm=math.dist(found[-1], after[0])))
        found.extend(after)
    closed = run.closed
    if closed and len(found) > 1 and math.dist(found[0], found[-1]) <= 1e-9 * (1 + math.hypot(*found[0])):
        found.pop()
    return found, closed, tuple(circles)


def _radius(step: Turn, frame: Frame) -> float:
    """The radius where the frame stretches evenly; 0 where the step is part of an ellipse."""
    u, v = turn(frame, step.u), turn(frame, step.v)
    size = max(math.hypot(*u), math.hypot(*v))
    across = abs(u[0] * v[0] + u[1] * v[1])
    even = across <= _ROUND * size**2 and abs(math.hypot(*u) - math.hypot(*v)) <= _ROUND * size
    return size if even and math.isfinite(size) else 0.0


def _after(at: Point, step: Step, frame: Frame, error: float) -> list[Point]:
    """Points after ``at`` up to and with the end of a step."""
    end = place(frame, step.end)
    if isinstance(step, Line):
        return [end]
    if isinstance(step, Cubic):
        return _cubic(at, place(frame, step.first), place(frame, step.second), end, error)
    return [*_turn(step, frame, error)[1:-1], end]


def _turn(step: Turn, frame: Frame, error: float) -> list[Point]:
    centre, u, v = place(frame, step.centre), turn(frame, step.u), turn(frame, step.v)
    if not all(math.isfinite(x) for x in (*u, *v)):
        raise ValueError("an arc with no finite radius")
    if size := _radius(step, frame):
        way = 1 if u[0] * v[1] - u[1] * v[0] > 0 else -1
        start = math.atan2(u[1], u[0]) + way * step.start
        return curves.arc(centre, size, start, way * step.sweep, error)
    # turned to the ellipse's own half-axes: half-way between them the two vectors' lengths are extreme
    off = math.atan2(2 * (u[0] * v[0] + u[1] * v[1]), u[0] ** 2 + u[1] ** 2 - v[0] ** 2 - v[1] ** 2) / 2
    c, s = math.cos(off), math.sin(off)
    major, minor = (u[0] * c + v[0] * s, u[1] * c + v[1] * s), (v[0] * c - u[0] * s, v[1] * c - u[1] * s)
    return curves.ellipse(centre, major, minor, step.start - off, step.sweep, error)


def _cubic(a: Point, b: Point, c: Point, d: Point, error: float) -> list[Point]:
    def at(t: float) -> Point:
        s = 1 - t
        k = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
        return (
            k[0] * a[0] + k[1] * b[0] + k[2] * c[0] + k[3] * d[0],
            k[0] * a[1] + k[1] * b[1] + k[2] * c[1] + k[3] * d[1],
        )

    if not all(math.isfinite(x) for p in (a, b, c, d) for x in p):
        raise ValueError("a curve with no finite points")
    return curves.smooth(at, (0.0, 1.0), error)[1:]
