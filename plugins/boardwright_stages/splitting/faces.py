"""Every board that joints from edge to edge of a piece with wells can bound, many at once.

Glossary
    way      every joint is counted twice, once in each direction; the board lies on its left
    stretch  of a ring, run along forwards: from where one way ends to where the next one starts
    face     a board: ways and stretches by turns, all round it

A face has one way (an end), two (a slice) or three (a branch). All are found: two ways may follow one another
where a board could hold both and the stretch between; a face is a closed round of such. Ways that cross, and
stretches that overlap, make none.

Limits: wells are to be too large for a board, so that no face holds one; boards with four joints or more.
"""

from __future__ import annotations

from itertools import combinations, pairwise

import msgspec
import numpy as np

from . import worth
from .chords import Chords, Index
from .directions import Array, Truths
from .piece import FIT_MM, Cut, Piece, smallest_boxes, tidy, within
from .runs import Runs, Ways
from .settings import SplittingSettings
from .slices import cross

BLOCK = 20000  # faces judged in one go
MOST_FACES = 600_000
EPS_MM = 1e-6
TOUCH_MM = 1e-4


class TooManyError(Exception):
    """More faces than can be weighed against one another."""


class FaceList(msgspec.Struct, frozen=True, eq=False):
    """Faces by the numbers of their ways (−1: none), their areas and what they are worth, in boards."""

    ways: Index
    area: Array
    value: Array


def wells_too_large(piece: Piece, settings: SplittingSettings) -> bool:
    """Can no board hold a well of the piece?"""
    return not any(within(b, settings.box_mm) for w in piece.rings[1:] for b in smallest_boxes(w))


class Faces:
    """Way k and, turned round, way k + len(found); all arrays go by these numbers."""

    def __init__(self, found: Chords, settings: SplittingSettings) -> None:
        self.piece, self.settings = found.piece, settings
        self.count = len(found)
        rings = found.piece.rings
        self._starts = np.array(found.piece.ring_starts)
        self.p = np.vstack((found.start, found.end))
        self.q = np.vstack((found.end, found.start))
        first, last = np.append(found.enter, found.leave), np.append(found.leave, found.enter)
        self.ring_p = np.searchsorted(self._starts, first, side="right") - 1
        self.ring_q = np.searchsorted(self._starts, last, side="right") - 1
        self.edge_p, self.edge_q = first - self._starts[self.ring_p], last - self._starts[self.ring_q]
        self.length = np.tile(found.length, 2)
        self._twist = cross(self.p, self.q)
        self._round = np.array([_edges(r).sum() for r in rings])
        self._round_twist = np.array([cross(r, np.roll(r, -1, axis=0)).sum() for r in rings])
        self.at_p, self._to_p = self._places(self.ring_p, self.edge_p, self.p)
        self.at_q, self._to_q = self._places(self.ring_q, self.edge_q, self.q)
        edges = np.concatenate([np.roll(r, -1, axis=0) - r for r in rings])
        both = Ways(edges, found.end - found.start).both
        self._runs = [Runs(r, both) for r in rings]
        at_p, at_q = self.p @ both, self.q @ both
        self._high, self._low = np.maximum(at_p, at_q), np.minimum(at_p, at_q)
        self._most = settings.box_mm[0] * settings.box_mm[1] * 1.001 + 1.0

    def _places(self, ring: Index, edge: Index, point: Array) -> tuple[Array, Array]:
        """Mm along the ring, and twice the area swept up to there."""
        at, twist = np.zeros(len(ring)), np.zeros(len(ring))
        for r, xy in enumerate(self.piece.rings):
            here = ring == r
            length = np.concatenate(([0.0], np.cumsum(_edges(xy))))
            swept = np.concatenate(([0.0], np.cumsum(cross(xy, np.roll(xy, -1, axis=0)))))
            a = xy[edge[here]]
            at[here] = length[edge[here]] + np.hypot(*(point[here] - a).T)
            twist[here] = swept[edge[here]] + cross(a, point[here])
        return at, twist

    def all(self) -> FaceList:
        """Every face that fits. Raises TooManyError."""
        j, k = self._following()
        every = 2 * self.count
        keys = j * every + k  # sorted: by j, then k
        order = np.argsort(keys)
        keys, j, k = keys[order], j[order], k[order]
        bounds = np.searchsorted(j, np.arange(every + 1))
        same = self.ring_p == self.ring_q
        one = np.flatnonzero(j == k)
        found = [self._judged(j[one][:, None])]
        half = j < k
        back = _among(keys, k[half] * every + j[half])
        found.append(self._judged(np.column_stack((j[half], k[half]))[back]))
        found.append(self._judged(self._threes(j, k, keys, bounds, same)))
        ways = np.concatenate(
            [np.pad(f.ways, ((0, 0), (0, 3 - f.ways.shape[1])), constant_values=-1) for f in found]
        )
        return FaceList(
            ways, np.concatenate([f.area for f in found]), np.concatenate([f.value for f in found])
        )

    def _threes(self, j: Index, k: Index, keys: Index, bounds: Index, same: Truths) -> Index:
        """Three ways in a round: between three rings, or one of them from a ring to itself."""
        every, found = 2 * self.count, []
        one, other, third = self.ring_p[j], self.ring_q[j], self.ring_q[k]
        branching = (one != other) & (other != third) & (third != one)
        starts = np.flatnonzero((branching | same[k]) & (j != k))
        many = bounds[k[starts] + 1] - bounds[k[starts]]
        ends = np.cumsum(many)
        low = 0
        while low < len(starts):
            high = max(int(np.searchsorted(ends, (ends[low - 1] if low else 0) + 20 * BLOCK)), low + 1)
            rows, count = starts[low:high], many[low:high]
            owner = np.repeat(rows, count)
            to = (
                np.arange(len(owner))
                - np.repeat(np.cumsum(count) - count, count)
                + np.repeat(bounds[k[rows]], count)
            )
            a, b, c = j[owner], k[owner], k[to]
            keep = (c != a) & (c != b)
            a, b, c = a[keep], b[keep], c[keep]
            keep = _among(keys, c * every + a)
            found.append(np.column_stack((a[keep], b[keep], c[keep])))
            if sum(map(len, found)) > MOST_FACES:
                raise TooManyError
            low = high
        if not found:
            return np.empty((0, 3), dtype=int)
        threes = np.concatenate(found)
        first = threes.argmin(axis=1)
        turned = np.column_stack([threes[np.arange(len(threes)), (first + n) % 3] for n in range(3)])
        return np.unique(turned, axis=0)

    def _following(self) -> tuple[Index, Index]:
        """Pairs of ways the second of which may follow the first round a board."""
        long, short = self.settings.box_mm
        reach = 2 * (long + short)
        found_j, found_k, total = [], [], 0
        for r, around in enumerate(self._round):
            ending, starting = np.flatnonzero(self.ring_q == r), np.flatnonzero(self.ring_p == r)
            starting = starting[np.argsort(self.at_p[starting], kind="stable")]
            at = np.concatenate((self.at_p[starting], self.at_p[starting] + around))
            low = np.searchsorted(at, self.at_q[ending] - EPS_MM)
            high = np.searchsorted(at, self.at_q[ending] + min(reach, around - EPS_MM))
            for first in range(0, len(ending), 200):
                lows, counts = low[first : first + 200], (high - low)[first : first + 200]
                j = np.repeat(ending[first : first + 200], counts)
                to = (
                    np.arange(len(j))
                    - np.repeat(np.cumsum(counts) - counts, counts)
                    + np.repeat(lows, counts)
                )
                k = starting[to % len(starting)]
                near = (np.hypot(*(self.q[j] - self.p[k]).T) <= np.hypot(long, short) + FIT_MM) & (
                    (k - j) % (2 * self.count) != self.count
                )
                j, k = j[near], k[near]
                near = self._may_hold(self._span((j, k), closed=False))
                j, k = j[near], k[near]
                alone = j == k
                near = alone | ~_crossing(self.p[j], self.q[j], self.p[k], self.q[k])
                found_j.append(j[near])
                found_k.append(k[near])
                total += int(near.sum())
                if total > 4 * MOST_FACES:
                    raise TooManyError
        if not found_j:
            return np.empty(0, dtype=int), np.empty(0, dtype=int)
        return np.concatenate(found_j), np.concatenate(found_k)

    def _may_hold(self, span: Array) -> Truths:
        half = span.shape[1] // 2
        one, other = span[:, :half], span[:, half:]
        long, short = self.settings.box_mm
        inside = (np.maximum(one, other) <= long + FIT_MM) & (np.minimum(one, other) <= short + FIT_MM)
        may: Truths = inside.any(axis=1)
        return may

    def _forward(self, j: Index, k: Index) -> Array:
        """Mm along the ring from the end of way j to the start of way k."""
        way: Array = (self.at_p[k] - self.at_q[j] + EPS_MM) % self._round[self.ring_q[j]] - EPS_MM
        return way

    def _passed(self, j: Index, k: Index) -> Index:
        """Vertices between the end of way j and the start of way k."""
        around = np.array([len(r) for r in self.piece.rings])[self.ring_q[j]]
        way = self._forward(j, k)
        count = (self.edge_p[k] - self.edge_q[j]) % around
        count = np.where((count == 0) & (way > self._round[self.ring_q[j]] / 2), around, count)
        passed: Index = np.where(way < TOUCH_MM, 0, count)
        return passed

    def _span(self, ways: tuple[Index, ...], closed: bool) -> Array:
        """How far ways, and the stretches from one to the next, reach."""
        high, low = self._high[ways[0]], self._low[ways[0]]
        for js in ways[1:]:
            high, low = np.maximum(high, self._high[js]), np.minimum(low, self._low[js])
        following = list(pairwise(ways)) + ([(ways[-1], ways[0])] if closed else [])
        for j, k in following:
            count = self._passed(j, k)
            for r in np.unique(self.ring_q[j]):
                here = np.flatnonzero(self.ring_q[j] == r)
                most, least = self._runs[r].reach(self.edge_q[j][here] + 1, count[here])
                high[here], low[here] = np.maximum(high[here], most), np.minimum(low[here], least)
        span: Array = high - low
        return span

    def _judged(self, ways: Index) -> FaceList:
        """The faces that fit among rounds of ways, a row each."""
        kept, areas, values = [ways[:0]], [np.zeros(0)], [np.zeros(0)]
        for first in range(0, len(ways), BLOCK):
            rows = ways[first : first + BLOCK]
            rows = rows[self._apart(rows)]
            around = tuple(rows.T)
            area, edge = np.zeros(len(rows)), np.zeros(len(rows))
            for j, k in zip(around, (*around[1:], around[0]), strict=True):
                way = self._forward(j, k)
                wraps = self.at_q[j] + way > self._round[self.ring_q[j]] - EPS_MM
                wraps &= self.at_p[k] < self.at_q[j]
                swept = (
                    self._to_p[k] - self._to_q[j] + np.where(wraps, self._round_twist[self.ring_q[j]], 0.0)
                )
                area += (self._twist[j] + swept) / 2
                edge += self.length[j] + way
            keep = (area > worth.TINY_MM2) & (area <= self._most)
            rows, area, edge = rows[keep], area[keep], edge[keep]
            if not len(rows):
                continue
            sides = worth.boxed(
                area, edge, np.zeros(len(area)), self._span(tuple(rows.T), closed=True), self.settings
            )
            value = worth.value(sides, self.settings, 1.0)
            fits = sides.fits
            kept.append(rows[fits])
            areas.append(area[fits])
            values.append(value[fits])
            if sum(map(len, kept)) > MOST_FACES:
                raise TooManyError
        return FaceList(np.concatenate(kept), np.concatenate(areas), np.concatenate(values))

    def _apart(self, rows: Index) -> Truths:
        """Do the ways of a round not cross, and its stretches not overlap?"""
        sound = np.ones(len(rows), dtype=bool)
        ways = list(rows.T)
        for j, k in combinations(ways, 2):
            sound &= ~_crossing(self.p[j], self.q[j], self.p[k], self.q[k])
        stretches = list(zip(ways, (*ways[1:], ways[0]), strict=True))
        for (j, k), (one, next_one) in combinations(stretches, 2):
            around = self._round[self.ring_q[j]]
            there = (self.at_q[one] - self.at_q[j] + EPS_MM) % around - EPS_MM
            back = (self.at_q[j] - self.at_q[one] + EPS_MM) % around - EPS_MM
            clear = (there >= self._forward(j, k) - TOUCH_MM) & (
                back >= self._forward(one, next_one) - TOUCH_MM
            )
            sound &= clear | (self.ring_q[j] != self.ring_q[one])
        return sound

    def board(self, ways: list[int]) -> Piece:
        """One face as a piece."""
        points: list[Array] = []
        p, q = np.round(self.p, 6) + 0.0, np.round(self.q, 6) + 0.0
        for j, k in zip(ways, (*ways[1:], ways[0]), strict=True):
            ring = self.piece.rings[self.ring_q[j]]
            count = int(self._passed(np.array([j]), np.array([k]))[0])
            points += [p[j], q[j], *(ring[(self.edge_q[j] + 1 + n) % len(ring)] for n in range(count))]
        return Piece((tidy(points),))

    def cut(self, way: int) -> Cut:
        (x, y), (u, v) = np.round(self.p[way], 6) + 0.0, np.round(self.q[way], 6) + 0.0
        return Cut((float(x), float(y)), (float(u), float(v)))


def _edges(ring: Array) -> Array:
    step = np.roll(ring, -1, axis=0) - ring
    lengths: Array = np.hypot(step[:, 0], step[:, 1])
    return lengths


def _among(sorted_keys: Index, keys: Index) -> Truths:
    at = np.minimum(np.searchsorted(sorted_keys, keys), len(sorted_keys) - 1)
    found: Truths = sorted_keys[at] == keys
    return found


def _crossing(p: Array, q: Array, start: Array, end: Array) -> Truths:
    """Do stretches p – q and start – end properly cross?"""
    d, e = _unit(q - p), _unit(end - start)
    one, other = cross(d, start - p), cross(d, end - p)
    a, b = cross(e, p - start), cross(e, q - start)
    crossed: Truths = _either_side(one, other) & _either_side(a, b)
    return crossed


def _unit(d: Array) -> Array:
    way: Array = d / np.hypot(d[:, 0], d[:, 1])[:, None]
    return way


def _either_side(one: Array, other: Array) -> Truths:
    apart: Truths = (np.minimum(one, other) < -TOUCH_MM) & (np.maximum(one, other) > TOUCH_MM)
    return apart
