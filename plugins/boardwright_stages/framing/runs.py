"""Tracks in runs, and where one run lies beside another.

Claim: a track that comes back beside itself at another height, nearer than its deck is wide, is taken apart
midway along, until no run does; such runs have to do with each other as two tracks have, but for ROUND ×
their reach along the track round where they meet. (No bend that trains go round comes back so near within
that.)

Glossary
    run     a track, or a part of one, as a way (x, y, height of its deck's underside), and where on it
    reach   two runs farther apart have nothing to do with each other

What this does not know: which of two runs is the upper one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.geometry import snap
from boardwright_timber.rising import Way, on_way

TOGETHER_MM = 0.5  # a sheet gives that much between two tracks; judgement
STEP_MM = 10.0
NEAR_MM = 1.0
ROUND = 2
AHEAD = 0.8  # cosine of the angle off a run's way within which another is no neighbour aside


class Run(NamedTuple):
    """``track``: its number; ``from_mm``: where on the track it begins; ``ring_mm``: how long a track is that
    closes on itself, 0: it does not; ``first``, ``last``: whether the track begins or ends with it."""

    way: Way
    track: int
    from_mm: float = 0.0
    ring_mm: float = 0.0
    first: bool = True
    last: bool = True

    def apart_along_mm(self, at_mm: float, other: Run, there_mm: float) -> float:
        """How far along the track two places are, each told along its run; inf: of two tracks."""
        if self.track != other.track:
            return math.inf
        along = abs(self.from_mm + at_mm - other.from_mm - there_mm)
        return min(along, self.ring_mm - along) if self.ring_mm else along


class Beside(NamedTuple):
    """A place on one run and the nearest on another: both places, how much higher the other is, whether the
    first run's track ends there, and whether the other lies ahead or behind rather than aside."""

    at: Point
    other: Point
    higher_mm: float
    end: bool = False
    ahead: bool = False

    @property
    def apart_mm(self) -> float:
        return math.dist(self.at, self.other)


def runs_of(ways: Sequence[Way], reach_mm: float) -> tuple[Run, ...]:
    """Each track in its runs, one after the other."""
    return tuple(run for n, way in enumerate(ways) for run in _parted(_whole(way, n), reach_mm))


def _whole(way: Way, track: int) -> Run:
    closes = math.dist(way[0], way[-1]) <= NEAR_MM  # at one height: not a turn of a helix
    long = sum(math.dist(a[:2], b[:2]) for a, b in pairwise(way))
    return Run(way, track, ring_mm=long if closes else 0.0)


def _parted(run: Run, reach_mm: float) -> Iterator[Run]:
    at_mm = _midway(run, reach_mm)
    if at_mm is None:
        yield run
        return
    before: list[tuple[float, float, float]] = [run.way[0]]
    after: list[tuple[float, float, float]] = []
    far = 0.0
    for a, b in pairwise(run.way):
        long = math.dist(a[:2], b[:2])
        if not after and far + long >= at_mm and long > 0:
            share = (at_mm - far) / long
            x, y, z = (snap(p + share * (q - p)) for p, q in zip(a, b, strict=True))
            before.append((x, y, z))
            after.append((x, y, z))
        (after or before).append(b)
        far += long
    yield from _parted(run._replace(way=tuple(before), last=False), reach_mm)
    later = run._replace(way=tuple(after), from_mm=run.from_mm + at_mm, first=False)
    yield from _parted(later, reach_mm)


def _midway(run: Run, reach_mm: float) -> float | None:
    """How far along a run it lies midway between two places of it that are near each other and at other
    heights: of those places the two whose heights differ most. None: there are none."""
    import numpy as np
    import shapely

    line = shapely.LineString([p[:2] for p in run.way])
    far = np.append(np.arange(0.0, line.length, STEP_MM), line.length)
    places = shapely.get_coordinates(shapely.line_interpolate_point(line, far))
    ends = np.cumsum([0.0, *(math.dist(a[:2], b[:2]) for a, b in pairwise(run.way))])
    heights = np.interp(far, ends, [z for _, _, z in run.way])
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    higher = np.abs(heights[:, None] - heights[None])
    along = np.abs(far[None] - far[:, None])
    if run.ring_mm:  # round the other way it may be shorter
        along = np.minimum(along, run.ring_mm - along)
    back = (along > ROUND * reach_mm) & (apart <= reach_mm) & (higher > TOGETHER_MM)
    if not back.any():
        return None
    n, m = np.unravel_index(np.argmax(np.where(back, higher, 0.0)), back.shape)
    return float(far[n] + far[m]) / 2


def beside(one: Run, two: Run, reach_mm: float) -> list[list[Beside]]:
    """Stretches along the first run on which the second is that near; each a place every STEP_MM."""
    import shapely

    line, other = (shapely.LineString([p[:2] for p in run.way]) for run in (one, two))
    if line.distance(other) > reach_mm:
        return []
    steps = max(1, math.ceil(line.length / STEP_MM))
    found: list[list[Beside]] = []
    gone = True
    for n in range(steps + 1):
        at_mm = line.length * n / steps
        at = line.interpolate(at_mm)
        there_mm = other.project(at)
        near = other.interpolate(there_mm)
        here, there = (at.x, at.y), (near.x, near.y)
        on = one.apart_along_mm(at_mm, two, there_mm) <= ROUND * reach_mm
        if on or math.dist(here, there) > reach_mm:
            gone = True
            continue
        if gone:
            found.append([])
        gone = False
        higher = on_way(two.way, there)[1] - on_way(one.way, here)[1]
        end = (n == 0 and one.first) or (n == steps and one.last)
        a, b = (line.interpolate(min(max(at_mm + by, 0.0), line.length)) for by in (-NEAR_MM, NEAR_MM))
        along = (there[0] - at.x) * (b.x - a.x) + (there[1] - at.y) * (b.y - a.y)
        ahead = abs(along) > AHEAD * math.dist(here, there) * math.hypot(b.x - a.x, b.y - a.y)
        found[-1].append(Beside(here, there, higher, end, ahead))
    return found
