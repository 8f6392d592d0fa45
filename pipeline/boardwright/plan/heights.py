"""Heights along a track, from the pieces it was assembled of.

Glossary
    height   of a point above the drawing's zero, millimetres of the model

Where pieces were joined across a gap, or one of them tells no height, there is a straight slope in between.

What this does not know: gradients that are steeper than trains climb, and which level carries the track.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from ..findings import Notes, Place
from . import rings
from .drawn import Curve
from .model import Point, Track

LEVEL_MM = 5.0
"""A track whose heights differ by no more counts as level. Common practice, no source."""
SAME = 0.001
TINY_MM = 1e-6
TOLD_PERCENT = 0.05  # what a gradient is rounded to where it is told
SHORT_MM = 50.0
"""A gradient is measured over this length at least: a kink of a flattened curve is none."""


def along(points: Sequence[Point], curves: Sequence[Curve]) -> tuple[float, ...]:
    """One height a point; empty when no curve has any but zero."""
    if not any(z for c in curves for z in c.heights_mm):
        return ()
    told = _told(points, [c for c in curves if c.heights_mm])
    far = [0.0]
    for a, b in pairwise(points):
        far.append(far[-1] + math.dist(a, b))
    marks = [(f, z) for f, z in zip(far, told, strict=True) if z is not None]
    return tuple(round(between(f, marks), 6) + 0.0 for f in far) if marks else ()


def _told(points: Sequence[Point], curves: Sequence[Curve]) -> list[float | None]:
    """The heights that the pieces tell, point by point. A track that comes back over itself is at a place
    twice, at two heights: there the sides between places tell which is which, in the piece's order."""
    sides: dict[tuple[Point, Point], list[int]] = {}
    for k, side in enumerate(pairwise(points)):
        sides.setdefault(side, []).append(k)
    found: list[float | None] = [None] * len(points)
    known: dict[Point, float] = {}
    for curve in curves:
        spots = [(rings.snap(*p), z) for p, z in zip(curve.points, curve.heights_mm, strict=True)]
        known.update(spots)
        for (a, low), (b, high) in pairwise(spots):
            if ks := sides.get((a, b)):
                k, first, then = ks.pop(0), low, high
            elif ks := sides.get((b, a)):  # the track runs the other way: its last turn is the piece's first
                k, first, then = ks.pop(), high, low
            else:
                continue
            found[k], found[k + 1] = first, then
    return [known.get(p) if z is None else z for p, z in zip(points, found, strict=True)]


def at(points: Sequence[Point], curves: Sequence[Curve], distance_mm: float) -> float:
    """The height at a distance along a line; 0 where the drawing tells none."""
    told = along(points, curves)
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(points))]
    return between(distance_mm, list(zip(far, told, strict=True))) if told else 0.0


def between(far: float, marks: Sequence[tuple[float, float]]) -> float:
    """The height between the two told places beside it; beyond the last one, that one's."""
    k = bisect.bisect_left(marks, (far, -math.inf))
    if k == len(marks) or k == 0:
        return marks[min(k, len(marks) - 1)][1]
    (a, low), (b, high) = marks[k - 1], marks[k]
    return low + (high - low) * (far - a) / (b - a)


def height_at(track: Track, place: Point) -> float:
    """The height of a track at a place on it; of two such places that of the first."""
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    return between(_nearest(track, place)[1], list(zip(far, track.heights_mm, strict=True)))


def off_mm(track: Track, place: Point) -> float:
    """How far a place is from a track."""
    return _nearest(track, place)[0]


def _nearest(track: Track, place: Point) -> tuple[float, float]:
    """How far a place is from a track, and how far along the track its nearest point lies."""
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    best = (math.inf, 0.0)
    for n, ((ax, ay), (bx, by)) in enumerate(pairwise(track.points)):
        long = far[n + 1] - far[n]
        if long < TINY_MM:
            continue
        along = ((place[0] - ax) * (bx - ax) + (place[1] - ay) * (by - ay)) / long
        on = min(max(along, 0.0), long)
        away = math.dist((ax + on / long * (bx - ax), ay + on / long * (by - ay)), place)
        if away < best[0] - TINY_MM:
            best = (away, far[n] + on)
    return best


def climbs(tracks: Iterable[Track]) -> bool:
    """Whether any of them is drawn with a climb."""
    return any(t.heights_mm and _range_mm(t) > LEVEL_MM for t in tracks)


class Slope(NamedTuple):
    """A stretch of a track with one gradient, from point to point (numbers of them)."""

    first: int
    last: int
    grade: float


def slopes(track: Track) -> list[Slope]:
    """The stretches of a track that climbs, in its direction; up is above 0. Gradients that differ by no more
    than SAME count as one."""
    if not track.heights_mm:
        return []
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    found: list[Slope] = []
    for k in range(1, len(far)):
        if far[k] - far[k - 1] < TINY_MM:
            continue
        grade = (track.heights_mm[k] - track.heights_mm[k - 1]) / (far[k] - far[k - 1])
        if found and abs(grade - found[-1].grade) <= SAME:
            found[-1] = found[-1]._replace(last=k)
        else:
            found.append(Slope(k - 1, k, grade))
    return found


def steepest(track: Track) -> tuple[float, float]:
    """The steepest stretch: millimetres up for each along, and where it begins along the track. Stretches
    shorter than SHORT_MM count with what follows them."""
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    worst, at = 0.0, 0.0
    start = 0
    for k in range(1, len(far)):
        if far[k] - far[start] < SHORT_MM and k < len(far) - 1:
            continue
        grade = abs(track.heights_mm[k] - track.heights_mm[start]) / max(far[k] - far[start], SHORT_MM)
        if grade > worst + 1e-9:
            worst, at = grade, far[start]
        start = k
    return worst, at


def tell_climbs(tracks: Sequence[Track], limit_percent: float, notes: Notes) -> None:
    """Tracks drawn with a climb: by how much, over what length, and how steep where they are steepest; and
    those that are steeper than the limit (0: there is none).
    """
    climbing = [(t, *_climb(t), steepest(t)[0]) for t in tracks if t.heights_mm and _range_mm(t) > LEVEL_MM]
    if climbing:
        says = (
            f"{t.id} by {up:.0f} mm over {far:.0f} mm ({100 * up / far:.1f} %), at its steepest "
            f"{graded(grade)}"
            for t, up, far, grade in climbing
        )
        notes.note(
            "BW-READ-088",
            f"{len(climbing)} track{'s are' if len(climbing) > 1 else ' is'} drawn with a climb: "
            f"{'; '.join(says)}",
            [_steepest_place(t) for t, _, _, _ in climbing],
            "Nothing, if it is meant. Where the heights are a slip of the drawing program, flatten lines.",
        )
    steep = [(t, grade) for t, _, _, grade in climbing if 100 * grade > limit_percent + TOLD_PERCENT]
    if steep and limit_percent:
        notes.caution(
            "BW-READ-095",
            f"steeper than {limit_percent:g} %, which trains may not climb: "
            + ", ".join(f"{t.id} {graded(grade)}" for t, grade in steep),
            [_steepest_place(t) for t, _ in steep],
            f"Make the climb longer: at {limit_percent:g} %, 10 mm up take {1000 / limit_percent:.0f} mm. "
            "Or set steepest_percent under [drawing], where what runs there manages more.",
        )


def _steepest_place(track: Track) -> Place:
    """Where the steepest stretch begins: a track of several lines may begin far off, on another layer."""
    at = steepest(track)[1]
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    x, y = track.points[far.index(at)]
    return Place(file=track.place.file, item=track.id, x_mm=round(x, 3), y_mm=round(y, 3))


def graded(grade: float) -> str:
    """A gradient as modellers say it.

    >>> graded(0.025)
    '1 in 40 (2.5 %)'
    """
    return f"1 in {1 / grade:.0f} ({100 * grade:.1f} %)" if grade > 1e-6 else "level"


def _range_mm(track: Track) -> float:
    return max(track.heights_mm) - min(track.heights_mm)


def _climb(track: Track) -> tuple[float, float]:
    """By how much, and over what length of track, from its lowest place to the nearest highest one."""
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    low, high = min(track.heights_mm), max(track.heights_mm)
    lows, highs = ([f for f, z in zip(far, track.heights_mm, strict=True) if z == end] for end in (low, high))
    return high - low, min(abs(a - b) for a in lows for b in highs)
