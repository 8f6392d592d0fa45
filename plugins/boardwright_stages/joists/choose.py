"""Choosing joist positions: an exact search over a row of candidates.

Claim: among all subsets of the candidates whose neighbours keep ``min_apart_mm``, the answer is the one with
the least sum of squared excess over the limit (0 whenever the limit can be kept), then the fewest joists,
a hole that cannot be made counting as ``HOLE_JOISTS`` of them and a little, then the least reluctance, then
the most even gaps (least sum of squares). Lengths count in whole micrometres, so sums are exact.

Method: dynamic programming from left to right. Every part of the cost is a sum over neighbouring pairs, so
the best way to reach a candidate is the best way to one before it plus one step: nothing is given up.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable, Sequence
from functools import cache, cached_property
from typing import Any

import msgspec

_UM = 1000  # micrometres in a millimetre
_FIELD = 1 << 60  # room for a sum of squares (1 km squared, in µm²)
_COUNT = 1 << 20  # room for a sum of reluctances
_JOIST = 1 << 10  # room for a sum of holes
HOLE_JOISTS = (
    2  # so many joists more are put in for a hole that else cannot be made: our judgement, no source
)
_HOLE = HOLE_JOISTS * _JOIST + 1
_WOOD = 1 << 30  # room for a sum of joists and holes


class Counted(Sequence[int]):
    """What ``count`` says of each place, counted when it is asked for and only once: most never are."""

    def __init__(self, places: Sequence[float], count: Callable[[float], int]) -> None:
        self._places, self._count = places, cache(count)

    def __len__(self) -> int:
        return len(self._places)

    def __getitem__(self, at: Any) -> Any:
        return self._count(self._places[at])


class Row(msgspec.Struct, frozen=True, dict=True):
    """Candidates in rising order; ``start`` and ``end`` are the supports at the two ends of the board.

    ``reach[i]``: the farthest position the support after candidate i may have; ``reach_start``: likewise for
    the left end. ``end_excess[i]``: how far the deck spans beyond the limit if i is the last joist (0: within
    it); ``bare_excess``: without any joist. From one candidate to the next reach never falls and end excess
    never rises. ``spoilt[i]``: how many holes cannot be made with a joist there; empty: none anywhere.
    """

    start: float
    end: float
    positions: tuple[float, ...]
    reluctance: Sequence[int]
    reach_start: float
    reach: tuple[float, ...]
    end_excess: tuple[float, ...]
    bare_excess: float
    min_apart_mm: float
    spoilt: Sequence[int] = ()

    def spoils(self, at: int) -> int:
        return self.spoilt[at] if self.spoilt else 0

    @cached_property
    def places_um(self) -> list[int]:
        return [round(x * _UM) for x in self.positions]

    @cached_property
    def reach_um(self) -> list[float]:
        return [_micrometres(r) for r in self.reach]


def choose(row: Row) -> tuple[int, ...]:
    """Indices of the chosen candidates, from left to right."""
    found = _search(row, _with_fewest(row), over=False)
    if found is not None and not any(map(row.spoils, found)):
        return found
    everything = range(len(row.positions))
    for over in (False, True):
        found = _search(row, everything, over=over)
        if found is not None:
            return found
    return ()


def _with_fewest(row: Row) -> list[int]:
    """Candidates that can have a place in an answer with as few joists as reach alone asks for.

    When such an answer spoils no hole all the best ones are made of these, and they are few.
    """
    places, reach_start, reach = row.places_um, _micrometres(row.reach_start), row.reach_um
    before: list[int | None] = []  # fewest joists from the left end up to this one
    nearest = 0
    for at, x in enumerate(places):
        while nearest < at and (before[nearest] is None or reach[nearest] < x):
            nearest += 1
        steps = before[nearest] if nearest < at else None
        before.append(1 if x <= reach_start else None if steps is None else steps + 1)
    after: list[int | None] = [None] * len(before)  # fewest joists from this one on to the right end
    for at in reversed(range(len(before))):
        farthest = bisect.bisect_right(places, reach[at]) - 1
        steps = next((after[n] for n in range(farthest, at, -1) if after[n] is not None), None)
        after[at] = 1 if row.end_excess[at] <= 0 else None if steps is None else steps + 1
    counts = [b + a - 1 for b, a in zip(before, after, strict=True) if b is not None and a is not None]
    fewest = min(counts, default=0)
    return [
        at
        for at, (b, a) in enumerate(zip(before, after, strict=True))
        if b is not None and a is not None and b + a - 1 == fewest
    ]


def excess(row: Row, before: int | None, at: int) -> float:
    """How far candidate ``at`` stands beyond the reach of the support before it (None: the left end), mm."""
    reach = row.reach_start if before is None else row.reach[before]
    return _beyond(_micrometres(row.positions[at]), _micrometres(reach)) / _UM


def _micrometres(mm: float) -> float:
    return round(mm * _UM) if math.isfinite(mm) else mm


def _beyond(position: float, reach: float) -> int:
    return int(position - reach) if position > reach else 0


def _cost(excess_um: int, wood: int, reluctance: int, gap_um: int) -> int:
    """All parts of a cost in one whole number, the weightiest first. ``wood``: joists and holes spoilt."""
    return ((excess_um * excess_um * _WOOD + wood) * _COUNT + reluctance) * _FIELD + gap_um * gap_um


def _search(row: Row, candidates: Sequence[int], *, over: bool) -> tuple[int, ...] | None:
    """The best choice among candidates; with ``over`` False one within the limit, or None."""
    places = [row.places_um[i] for i in candidates]
    reach = [row.reach_um[i] for i in candidates]
    reluctance = [row.reluctance[i] for i in candidates]
    wood = [_JOIST + _HOLE * row.spoils(i) for i in candidates]
    end_excess = [row.end_excess[i] for i in candidates]
    start, end = int(_micrometres(row.start)), int(_micrometres(row.end))
    apart = int(_micrometres(row.min_apart_mm))
    first_reach = _micrometres(row.reach_start)

    costs: list[int | None] = []
    came_from: list[int] = []
    nearest = 0  # the first candidate that reaches as far as x
    for at, x in enumerate(places):
        cost: int | None = None
        before = -1
        beyond = _beyond(x, first_reach)
        if over or not beyond:
            cost = _cost(beyond, wood[at], reluctance[at], x - start)
        while not over and nearest < at and reach[nearest] < x:
            nearest += 1
        step = _cost(0, wood[at], reluctance[at], 0)
        if cost is not None:
            cost -= step  # the same for every way here: added again to the best of them
        for b in range(nearest, bisect.bisect_right(places, x - apart, hi=at)):
            so_far = costs[b]
            if so_far is not None:
                gap = x - places[b]
                way = so_far + (gap * gap if x <= reach[b] else _cost(int(x - reach[b]), 0, 0, gap))
                if cost is None or way < cost:  # of two that cost the same, the one farther left
                    cost, before = way, b
        if cost is not None:
            cost += step
        costs.append(cost)
        came_from.append(before)

    done: list[tuple[int, int]] = []
    if over or row.bare_excess <= 0:
        done.append((_cost(int(_micrometres(row.bare_excess)), 0, 0, end - start), -1))
    for at, so_far in enumerate(costs):
        if so_far is not None and (over or end_excess[at] <= 0):
            left = int(_micrometres(end_excess[at]))
            done.append((so_far + _cost(left, 0, 0, end - places[at]), at))
    if not done:
        return None
    at = min(done)[1]
    chosen = []
    while at >= 0:
        chosen.append(candidates[at])
        at = came_from[at]
    return tuple(reversed(chosen))
