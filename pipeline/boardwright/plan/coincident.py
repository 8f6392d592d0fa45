"""Edges drawn one on the other: closed edges drawn twice, and arcs that overlap along one circle.

Glossary
    doubled    two closed edges that lie within a tolerance of each other all the way round
    alongside  pieces of two curves that follow the same circle, or circles no farther apart than the gap

Arcs of one circle that overlap were flattened at points of their own, so that their chords cross again and
again. ``alongside`` gives both the points of both: where they overlap they are then the same line.

What this does not know: straight pieces that overlap (``noding`` takes those apart as they are).
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise

import msgspec

from .model import Circle, Point, Ring
from .rings import follows

_SAME_MM = 1e-6
"""Places on a circle nearer together than this are one."""


def doubled(found: Sequence[Ring], better: Sequence[bool], within_mm: float) -> dict[int, int]:
    """Which rings lie on another one: number of each -> number of the one kept.

    Of two, the ``better`` one is kept, else the one that comes first.
    """
    import shapely

    if len(found) < 2:
        return {}
    shapes = [shapely.LinearRing(ring) for ring in found]
    boxes = shapely.bounds(shapes)
    corners = shapely.points(boxes[:, :2])
    first, second = shapely.STRtree(corners).query(corners, predicate="dwithin", distance=2 * within_mm)
    near = sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j)
    kept: dict[int, int] = {}
    for i, j in near:
        if i in kept or j in kept or max(abs(boxes[i] - boxes[j])) > within_mm:
            continue
        if all(shapely.buffer(shapes[a], within_mm + 1e-9).covers(shapes[b]) for a, b in ((i, j), (j, i))):
            drop, keep = (i, j) if better[j] and not better[i] else (j, i)
            kept[drop] = keep
    return {drop: _last(keep, kept) for drop, keep in kept.items()}


def _last(n: int, kept: dict[int, int]) -> int:
    while n in kept:
        n = kept[n]
    return n


def alongside(
    lines: Sequence[Sequence[Point]], circles: Sequence[Sequence[Circle]], gap_mm: float
) -> tuple[list[list[Point]], tuple[Circle, ...]]:
    """The lines again, those that follow one circle with the same points on it; and such circles.

    ``circles``: those that each line follows somewhere. Circles whose centres and radii differ by no more
    than the gap in all are one: the smallest of them.
    """
    made = [list(line) for line in lines]
    shared = []
    for one, owners in _alike(circles, max(gap_mm, 1e-6)):
        on = {i: _steps(made[i], own) for i, own in owners.items()}
        spots = {(i, k) for i, steps in on.items() for s in steps for k in (s, s + 1)}
        if len(owners) < 2 or not spots:
            continue
        shared.append(one)
        angles = _apart([_angle(made[i][k], one) for i, k in spots], _SAME_MM / one.radius_mm)
        for i, k in spots:
            made[i][k] = _at(_nearest(_angle(made[i][k], one), angles), one)
        for i, steps in on.items():
            for s in reversed(steps):
                made[i][s + 1 : s + 1] = _between(made[i][s], made[i][s + 1], angles, one)
    return made, tuple(shared)


def _alike(
    circles: Sequence[Sequence[Circle]], gap_mm: float
) -> list[tuple[Circle, dict[int, list[Circle]]]]:
    """Every circle, with the lines that follow it and the circles as those drew them."""
    single = sorted(
        (c.radius_mm, c.x_mm, c.y_mm, c.chord_mm, i) for i, own in enumerate(circles) for c in own
    )
    groups: list[tuple[Circle, dict[int, list[Circle]]]] = []
    cells: dict[tuple[int, int], list[int]] = {}
    for radius, x, y, chord, i in single:
        drawn = Circle(x_mm=x, y_mm=y, radius_mm=radius, chord_mm=chord)
        column, row = math.floor(x / gap_mm), math.floor(y / gap_mm)
        beside = sorted(
            n for dx in (-1, 0, 1) for dy in (-1, 0, 1) for n in cells.get((column + dx, row + dy), ())
        )
        for n in beside:
            one, owners = groups[n]
            if math.dist((x, y), (one.x_mm, one.y_mm)) + radius - one.radius_mm <= gap_mm:
                owners.setdefault(i, []).append(drawn)
                groups[n] = (msgspec.structs.replace(one, chord_mm=max(chord, one.chord_mm)), owners)
                break
        else:
            cells.setdefault((column, row), []).append(len(groups))
            groups.append((drawn, {i: [drawn]}))
    return groups


def _apart(angles: Sequence[float], least: float) -> list[float]:
    """Sorted angles in one turn, those nearer together than ``least`` once."""
    kept: list[float] = []
    for angle in sorted(angles):
        if not kept or angle - kept[-1] > least:
            kept.append(angle)
    if len(kept) > 1 and kept[0] + 2 * math.pi - kept[-1] <= least:
        kept.pop()
    return kept


def _nearest(angle: float, angles: Sequence[float]) -> float:
    """The one of the sorted angles nearest to an angle, round the turn."""
    n = bisect_left(angles, angle)
    beside = (angles[n - 1], angles[n % len(angles)])
    return min(beside, key=lambda a: abs((a - angle + math.pi) % (2 * math.pi) - math.pi))


def _steps(line: Sequence[Point], circles: Sequence[Circle]) -> list[int]:
    """Numbers of the straight pieces that stand for pieces of one of the circles."""
    return [n for n, (a, b) in enumerate(pairwise(line)) if any(follows(a, b, c) for c in circles)]


def _angle(p: Point, circle: Circle) -> float:
    return math.atan2(p[1] - circle.y_mm, p[0] - circle.x_mm)


def _at(angle: float, circle: Circle) -> Point:
    return (
        circle.x_mm + circle.radius_mm * math.cos(angle),
        circle.y_mm + circle.radius_mm * math.sin(angle),
    )


def _between(a: Point, b: Point, angles: Sequence[float], circle: Circle) -> list[Point]:
    """The places on the circle at those of the sorted angles that lie between a and b, in order from a."""
    start, end = _angle(a, circle), _angle(b, circle)
    turn = (end - start + math.pi) % (2 * math.pi) - math.pi
    low, high = (start, start + turn) if turn > 0 else (start + turn, start)
    near = _SAME_MM / circle.radius_mm
    found = [
        angle
        for shift in (-2 * math.pi, 0.0, 2 * math.pi)
        for angle in angles[
            bisect_right(angles, low - shift + near) : bisect_left(angles, high - shift - near)
        ]
    ]
    inside = [_at(angle, circle) for angle in found]
    inside.sort(key=lambda p: math.dist(a, p))
    return inside
