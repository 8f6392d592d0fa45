"""Heights along a track, from the pieces it was assembled of.

Glossary
    height   of a point above the drawing's zero, millimetres of the model

Where pieces were joined across a gap, or one of them tells no height, there is a straight slope in between.

What this does not know: gradients that are steeper than trains climb, and which level carries the track.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

from ..findings import Notes
from . import rings
from .drawn import Curve
from .model import Point, Track

LEVEL_MM = 5.0
"""A track whose heights differ by no more counts as level. Common practice, no source."""


def along(points: Sequence[Point], curves: Sequence[Curve]) -> tuple[float, ...]:
    """One height a point; empty when no curve has any but zero."""
    if not any(z for c in curves for z in c.heights_mm):
        return ()
    known = {
        rings.snap(*p): z for c in curves if c.heights_mm for p, z in zip(c.points, c.heights_mm, strict=True)
    }
    told = [known.get(p) for p in points]
    far = [0.0]
    for a, b in pairwise(points):
        far.append(far[-1] + math.dist(a, b))
    marks = [(f, z) for f, z in zip(far, told, strict=True) if z is not None]
    return tuple(round(_at(f, marks), 6) + 0.0 for f in far) if marks else ()


def at(points: Sequence[Point], curves: Sequence[Curve], distance_mm: float) -> float:
    """The height at a distance along a line; 0 where the drawing tells none."""
    told = along(points, curves)
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(points))]
    return _at(distance_mm, list(zip(far, told, strict=True))) if told else 0.0


def _at(far: float, marks: Sequence[tuple[float, float]]) -> float:
    """The height between the two told places beside it; beyond the last one, that one's."""
    k = bisect.bisect_left(marks, (far, -math.inf))
    if k == len(marks) or k == 0:
        return marks[min(k, len(marks) - 1)][1]
    (a, low), (b, high) = marks[k - 1], marks[k]
    return low + (high - low) * (far - a) / (b - a)


def tell_climbs(tracks: Sequence[Track], notes: Notes) -> None:
    """Tracks drawn with a climb, by how much, and how steep between their lowest and highest places."""
    climbing = [(t, *_climb(t)) for t in tracks if t.heights_mm and _range_mm(t) > LEVEL_MM]
    if climbing:
        says = (
            f"{t.id} by {up:.0f} mm over {far:.0f} mm ({100 * up / far:.1f} %)" for t, up, far in climbing
        )
        notes.caution(
            "BW-READ-088",
            f"{len(climbing)} track{'s are' if len(climbing) > 1 else ' is'} drawn with a climb: "
            f"{', '.join(says)}; what lies below is made level",
            [t.place for t, _, _ in climbing],
            "Build the climb on the deck, or give what lies at another height a level of its own under "
            "[[drawing.levels]].",
        )


def _range_mm(track: Track) -> float:
    return max(track.heights_mm) - min(track.heights_mm)


def _climb(track: Track) -> tuple[float, float]:
    """By how much, and over what length of track, from its lowest place to the nearest highest one."""
    far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(track.points))]
    low, high = min(track.heights_mm), max(track.heights_mm)
    lows, highs = ([f for f, z in zip(far, track.heights_mm, strict=True) if z == end] for end in (low, high))
    return high - low, min(abs(a - b) for a in lows for b in highs)
