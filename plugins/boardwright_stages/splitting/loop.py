"""The best joints round a well, proven over the candidates: boards one after another in a closed loop.

Glossary
    spoke    a joint from the outer edge to the well
    slice    what lies between two spokes that follow one another: a board
    swept    area from a first spoke on, against the clock; the area of a slice is the difference of two

Whatever the loop, some spoke of it lies in any stretch that sweeps as much as the largest board. So the
stretch with the fewest candidates is taken, and from each of those the cheapest way round and back is found:
a shortest path over spokes in the order of what they sweep. A slice that does not fit by its own smallest
rectangle is ruled out, and the way is found anew. Of loops of equal cost the first is taken.

Limits: pieces with one well whose boards each meet the outer edge and the well; others are left to
``search``. A slice's rectangle is looked for along the edges of the piece and its joints (``runs``); one that
bends round a many-sided well may have a smaller one, which makes a board cost up to a hundredth less.
"""

from __future__ import annotations

from itertools import pairwise

import msgspec
import numpy as np

from . import worth
from .chords import Chords, Index
from .directions import Array
from .piece import FIT_MM, Cut, Piece, tidy
from .row import Row
from .runs import Runs, Ways
from .settings import SplittingSettings
from .slices import cross

MOST_SPOKES = 24000
BLOCK = 20000  # slices judged in one go
EPS_MM = 1e-6


def best_loop(found: Chords, cost: Array, settings: SplittingSettings) -> Row | None:
    """The cheapest loop of the given joints whose slices all fit; None where there is none."""
    if len(found.piece.rings) != 2:
        return None
    outer = len(found.piece.rings[0])
    spokes = np.flatnonzero((found.enter < outer) != (found.leave < outer))
    if not 2 <= len(spokes) <= MOST_SPOKES:
        return None
    return _Loop(found.pick(spokes), cost[spokes], settings).best()


class _Side(msgspec.Struct):
    """Where spokes meet one ring: edge, mm from the ring's start, and twice the area up to there."""

    edge: Index
    at: Array
    twist: Array
    round_mm: float
    round_twist: float


def _side(ring: Array, edge: Index, fraction: Array, point: Array) -> _Side:
    step = np.roll(ring, -1, axis=0) - ring
    length = np.hypot(step[:, 0], step[:, 1])
    reached = np.concatenate(([0.0], np.cumsum(length)))
    twist = np.concatenate(([0.0], np.cumsum(cross(ring, np.roll(ring, -1, axis=0)))))
    up_to = twist[edge] + cross(ring[edge], point)
    return _Side(edge, reached[edge] + fraction * length[edge], up_to, float(reached[-1]), float(twist[-1]))


class _Loop:
    def __init__(self, found: Chords, cost: Array, settings: SplittingSettings) -> None:
        self.settings, self.cost, self.length = settings, cost, found.length
        self.ring, self.well = found.piece.rings
        n = len(self.ring)
        inward = found.enter < n
        # from the outer edge to the well
        self.start = np.where(inward[:, None], found.start, found.end)
        self.end = np.where(inward[:, None], found.end, found.start)
        enter, enter_at = (
            np.where(inward, found.enter, found.leave),
            np.where(inward, found.enter_at, found.leave_at),
        )
        leave, leave_at = (
            np.where(inward, found.leave, found.enter) - n,
            np.where(inward, found.leave_at, found.enter_at),
        )
        self.outer = _side(self.ring, enter, enter_at, self.start)
        self.inner = _side(self.well, leave, leave_at, self.end)
        self.most = settings.box_mm[0] * settings.box_mm[1] * 1.001 + 1.0  # area of a board
        edges = np.concatenate([np.roll(r, -1, axis=0) - r for r in (self.ring, self.well)])
        ways = Ways(edges, found.end - found.start).both
        self._runs, self._well_runs = Runs(self.ring, ways), Runs(self.well, ways)
        at_start, at_end = self.start @ ways, self.end @ ways
        self._high, self._low = np.maximum(at_start, at_end), np.minimum(at_start, at_end)
        self._put_in_order()

    def _put_in_order(self) -> None:
        """The spokes in order from the stretch with the fewest on; at the end those of the stretch again.

        ``on``, ``off`` (mm along the outer edge and the well) and ``swept`` grow from lap to lap.
        """
        on, off, swept, total = self._swept()
        lap = np.floor(swept / total + 1e-12)
        on, off, swept = on - lap * self.outer.round_mm, off - lap * self.inner.round_mm, swept - lap * total
        order = np.lexsort((np.arange(len(swept)), np.round(swept, 3)))
        twice = np.concatenate((swept[order], swept[order] + total))
        count = np.searchsorted(twice, twice[: len(order)] + self.most, side="right")
        count = count - np.arange(1, len(order) + 1)
        first = int(np.argmin(count)) + 1
        self.starts = int(count[first - 1])
        self.order = np.concatenate((order[first:], order[:first], order[first:], order[:first]))
        self.order = self.order[: len(order) + self.starts]
        laps = (np.arange(len(self.order)) + first) // len(order)
        self.on = on[self.order] + laps * self.outer.round_mm
        self.off = off[self.order] + laps * self.inner.round_mm
        self.swept = swept[self.order] + laps * total

    def _swept(self) -> tuple[Array, Array, Array, float]:
        """For each spoke how far on it is from the shortest one, on both rings, what it sweeps; one lap."""
        outer, inner = self.outer, self.inner
        first = int(np.lexsort((np.arange(len(self.length)), np.round(self.length, 3)))[0])
        on = (outer.at - outer.at[first]) % outer.round_mm
        off = (inner.at[first] - inner.at) % inner.round_mm  # the well runs the other way round
        on[on > outer.round_mm - EPS_MM] = 0.0
        off[off > inner.round_mm - EPS_MM] = 0.0
        # a spoke that crosses the first one, or shares an end with it, may be behind it at the other end
        beside = _crossing(self.start[first], self.end[first], self.start, self.end)
        beside |= (on < EPS_MM) | (off < EPS_MM)
        skew = on / outer.round_mm - off / inner.round_mm
        apart = np.where(_crossing(self.start[first], self.end[first], self.start, self.end), 0.0, 0.5)
        off = np.where(beside & (skew < -apart), off - inner.round_mm, off)
        on = np.where(beside & (skew > apart), on - outer.round_mm, on)
        laps_out = np.round((outer.at[first] + on - outer.at) / outer.round_mm)
        laps_in = np.round((inner.at[first] - off - inner.at) / inner.round_mm)
        there = outer.twist + laps_out * outer.round_twist + cross(self.start, self.end)
        swept = (there - inner.twist - laps_in * inner.round_twist) / 2
        return on, off, swept - swept[first], (outer.round_twist + inner.round_twist) / 2

    def best(self) -> Row | None:
        before, bounds, values = self._slices()
        while self.starts:
            path, total = self._shortest(before, bounds, values)
            if not path:
                break
            spokes = self.order[path]
            slices = [self._slice(i, j) for i, j in pairwise(path)]
            bad = [k for k, s in enumerate(slices) if not self._truly_fits(s)]
            if not bad:
                cuts = tuple(self._cut(i) for i in spokes[1:].tolist())
                return Row(tuple(slices), cuts, float(self.cost[spokes[1:]].sum()), total)
            after = np.repeat(self.order, np.diff(bounds))
            for k in bad:
                values[(self.order[before] == spokes[k]) & (after == spokes[k + 1])] = np.inf
        return None

    def _slices(self) -> tuple[Index, Index, Array]:
        """Slices that fit, by the place in the order of their second spoke: place of the first, worth."""
        places = np.arange(len(self.order))
        lowest = np.searchsorted(self.swept, self.swept - self.most)
        count = places - lowest
        after = np.repeat(places, count)
        before = np.arange(len(after)) - np.repeat(np.cumsum(count) - count - lowest, count)
        ahead = (self.on[before] <= self.on[after] + EPS_MM) & (self.off[before] <= self.off[after] + EPS_MM)
        ahead &= self.on[after] - self.on[before] < self.outer.round_mm + EPS_MM
        ahead &= self.off[after] - self.off[before] < self.inner.round_mm + EPS_MM
        ahead &= self.order[before] != self.order[after]
        before, after = before[ahead], after[ahead]
        blocks = range(0, len(after), BLOCK)
        found = [self._values(before[k : k + BLOCK], after[k : k + BLOCK]) for k in blocks]
        values = np.concatenate(found) if found else np.zeros(0)
        fits = np.isfinite(values)
        before, after, values = before[fits], after[fits], values[fits]
        return before, np.searchsorted(after, np.arange(len(self.order) + 1)), values

    def _values(self, before: Index, after: Index) -> Array:
        """What slices are worth as boards; infinite where one does not fit."""
        i, j = self.order[before], self.order[after]
        on, off = self.on[after] - self.on[before], self.off[after] - self.off[before]
        out, well = self.outer.edge, self.inner.edge
        one = self._runs.reach(out[i] + 1, _passed(out[i], out[j], len(self.ring), on, self.outer))
        other = self._well_runs.reach(well[j] + 1, _passed(well[j], well[i], len(self.well), off, self.inner))
        high = np.maximum(np.maximum(one[0], other[0]), np.maximum(self._high[i], self._high[j]))
        low = np.minimum(np.minimum(one[1], other[1]), np.minimum(self._low[i], self._low[j]))
        area = self.swept[after] - self.swept[before]
        sides = worth.boxed(
            area, on + off + self.length[i] + self.length[j], np.zeros(len(area)), high - low, self.settings
        )
        value = worth.value(sides, self.settings, 1.0)
        return np.where(sides.fits & (area > worth.TINY_MM2), value, np.inf)

    def _shortest(self, before: Index, bounds: Index, values: Array) -> tuple[list[int], float]:
        """The cheapest way from one of the first spokes round to itself: places in the order, cost."""
        count = len(self.order)
        rows = np.arange(self.starts)
        far = np.full((self.starts, count), np.inf)
        came = np.full((self.starts, count), -1)
        for k in range(count):
            js = before[bounds[k] : bounds[k + 1]]
            if len(js):
                total = far[:, js] + values[bounds[k] : bounds[k + 1]]
                least = total.argmin(axis=1)
                far[:, k] = worth.settled(total[rows, least] + self.cost[self.order[k]])
                came[:, k] = js[least]
            if k < self.starts:
                far[k, k] = 0.0
        totals = far[rows, count - self.starts + rows]
        start = int(np.argmin(totals))
        if not np.isfinite(totals[start]):
            return [], np.inf
        path = [count - self.starts + start]
        while path[-1] != start:
            path.append(int(came[start, path[-1]]))
        return path[::-1], float(totals[start])

    def _truly_fits(self, slice_: Piece) -> bool:
        return slice_.box[1] > FIT_MM and worth.fits(slice_, self.settings)

    def _slice(self, before: int, after: int) -> Piece:
        p, q = np.round(self.start, 6) + 0.0, np.round(self.end, 6) + 0.0
        i, j = int(self.order[before]), int(self.order[after])
        on, off = self.on[after] - self.on[before], self.off[after] - self.off[before]
        there = _vertices(self.ring, self.outer, i, j, on)
        back = _vertices(self.well, self.inner, j, i, off)
        return Piece((tidy([p[i], *there, p[j], q[j], *back, q[i]]),))

    def _cut(self, i: int) -> Cut:
        (x, y), (u, v) = (np.round(p[i], 6) + 0.0 for p in (self.start, self.end))
        return Cut((float(x), float(y)), (float(u), float(v)))


def _vertices(ring: Array, side: _Side, i: int, j: int, way_mm: float) -> list[Array]:
    """Vertices of a ring passed from spoke ``i`` on to spoke ``j``."""
    edge = side.edge
    count = int(_passed(edge[[i]], edge[[j]], len(ring), np.array([way_mm]), side)[0])
    return [ring[(edge[i] + 1 + k) % len(ring)] for k in range(count)]


def _passed(one: Index, other: Index, count: int, way_mm: Array, side: _Side) -> Index:
    """How many vertices lie between two edges of a ring; all of them where the way leads nearly round it."""
    passed: Index = (other - one) % count
    return np.where((passed == 0) & (way_mm > side.round_mm / 2), count, passed)


def _crossing(p: Array, q: Array, start: Array, end: Array) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which stretches start – end properly cross the stretch p – q."""
    d, e = q - p, end - start
    one, other = (d[0] * (x[:, 1] - p[1]) - d[1] * (x[:, 0] - p[0]) for x in (start, end))
    a, b = (e[:, 0] * (y[1] - start[:, 1]) - e[:, 1] * (y[0] - start[:, 0]) for y in (p, q))
    crossed: np.ndarray[tuple[int], np.dtype[np.bool_]] = (one * other < 0) & (a * b < 0)
    return crossed
