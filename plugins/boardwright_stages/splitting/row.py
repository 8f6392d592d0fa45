"""Boards one after another: the best row of joints across a piece, proven over the candidates.

Glossary
    row      joints of which none crosses another and each lies wholly beyond the one before it, along a
             shelf, round a bend or a U
    slice    what lies between two joints of a row that follow one another: a board

Every joint splits the ring of a piece without wells in two; the right side of joint j lies within that of
joint i when the stretch of ring it takes does. The cheapest way to part the right side of i is therefore its
own worth, or that of some j within it plus the joint j plus the slice between: a shortest path, solved joint
by joint in the order of the area on the right. No row of the candidates is left out, so the answer is the
best one, not only a good one. Among rows of equal cost the one whose joints come first in the list is taken.

Limits: side boards that hang on a board of the row, and pieces with wells, are left to ``search``. A slice's
rectangle is looked for along the edges of the piece and its joints (at most MOST_ANGLES of them).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from . import worth
from .chords import Chords, Index
from .directions import Array
from .piece import FIT_MM, Cut, Piece, tidy
from .settings import SplittingSettings

MOST_ANGLES = 24
MOST_JOINTS = 4000
CLOSE = 1e-9


@dataclass(frozen=True)
class Row:
    """The slices from the innermost on, the joints between them, and what all of it costs in boards."""

    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    joints: tuple[int, ...]
    cost: float


def best_row(found: Chords, cost: Array, settings: SplittingSettings) -> Row | None:
    """The cheapest row of the given joints whose slices all fit; None when there is none."""
    if len(found.piece.rings) > 1 or not 0 < len(found) <= MOST_JOINTS:
        return None
    return _Rows(found, cost, settings).best()


class _Rows:
    def __init__(self, found: Chords, cost: Array, settings: SplittingSettings) -> None:
        self.piece, self.settings = found.piece, settings
        ring = self.ring = found.piece.rings[0]
        self.n = len(ring)
        # every joint both ways round, so that either side can be the right one
        self.enter: Index = np.concatenate((found.enter, found.leave))
        self.leave: Index = np.concatenate((found.leave, found.enter))
        self.start = np.concatenate((found.start, found.end))
        self.end = np.concatenate((found.end, found.start))
        at_enter = np.concatenate((found.enter_at, found.leave_at))
        at_leave = np.concatenate((found.leave_at, found.enter_at))
        self.cost = np.concatenate((cost, cost))
        self.joint = np.concatenate((np.arange(len(found)), np.arange(len(found))))
        self.length = np.concatenate((found.length, found.length))
        step = np.roll(ring, -1, axis=0) - ring
        edge = np.hypot(step[:, 0], step[:, 1])
        reached = np.concatenate(([0.0], np.cumsum(edge)))
        self.round = float(reached[-1])
        self.begins = reached[self.enter] + at_enter * edge[self.enter]
        self.takes = (reached[self.leave] + at_leave * edge[self.leave] - self.begins) % self.round
        twist = _cross(ring, np.roll(ring, -1, axis=0))
        before = np.concatenate(([0.0], np.cumsum(twist)))
        p, q = self.start, self.end
        whole = np.where(self.leave > self.enter, 0.0, before[-1])
        runs = before[self.leave] - before[(self.enter + 1) % self.n] + whole
        runs = np.where(self.enter + 1 == self.n, before[self.leave], runs)
        first, last = ring[(self.enter + 1) % self.n], ring[self.leave]
        self.area = (runs + _cross(p, first) + _cross(last, q) + _cross(q, p)) / 2
        self._set_reach()

    def _set_reach(self) -> None:
        """Largest and smallest reach of runs of 1, 2, 4 … vertices in each direction."""
        step = np.roll(self.ring, -1, axis=0) - self.ring
        length = np.hypot(step[:, 0], step[:, 1])
        edges = step[np.argsort(-np.round(length, 3), kind="stable")][:MOST_ANGLES]
        ways = np.concatenate((edges, (self.end - self.start)[: len(self.cost) // 2]))
        angle = np.round(np.arctan2(ways[:, 1], ways[:, 0]) % (math.pi / 2), 6)
        unique, first = np.unique(angle, return_index=True)
        angles = np.sort(unique[np.argsort(first)][:MOST_ANGLES])
        both = np.concatenate((angles, angles + math.pi / 2))
        ways = np.vstack((np.cos(both), np.sin(both)))
        self.at_start, self.at_end = self.start @ ways, self.end @ ways
        reach = np.vstack((self.ring, self.ring)) @ ways
        self.high, self.low = [reach], [reach]
        while 2 ** len(self.high) <= self.n:
            far = 2 ** (len(self.high) - 1)
            high, low = self.high[-1], self.low[-1]
            self.high.append(np.maximum(high[:-far], high[far:]))
            self.low.append(np.minimum(low[:-far], low[far:]))

    def _run(self, first: Any, count: Any) -> tuple[Array, Array]:
        """Highest and lowest reach of ``count`` vertices from ``first`` on (±∞ where there are none)."""
        first, count = np.broadcast_arrays(first % self.n, count)
        high = np.full((len(first), self.at_start.shape[1]), -np.inf)
        low = -high
        level = np.floor(np.log2(np.maximum(count, 1))).astype(int)
        for k in np.unique(level[count > 0]):
            rows = np.flatnonzero((level == k) & (count > 0))
            a, b = first[rows], first[rows] + count[rows] - 2**k
            high[rows] = np.maximum(self.high[k][a], self.high[k][b])
            low[rows] = np.minimum(self.low[k][a], self.low[k][b])
        return high, low

    def _value(self, area: Array, edge: Array, high: Array, low: Array) -> Array:
        """What boards are worth; infinite where one does not fit."""
        sides = worth.boxed(area, edge, np.zeros(len(area)), high - low, self.settings)
        value = worth.value(sides, self.settings, 1.0)
        return np.where(sides.fits & (area > worth.TINY_MM2), value, np.inf)

    def _end_values(self, right: bool) -> Array:
        """Worth of all that lies on one side of each joint, as one board."""
        one, other = (self.enter, self.leave) if right else (self.leave, self.enter)
        high, low = self._run(one + 1, (other - one) % self.n)
        high = np.maximum(high, np.maximum(self.at_start, self.at_end))
        low = np.minimum(low, np.minimum(self.at_start, self.at_end))
        area = self.area if right else self.piece.area - self.area
        edge = (self.takes if right else self.round - self.takes) + self.length
        return self._value(area, edge, high, low)

    def best(self) -> Row | None:
        order = np.lexsort((np.arange(len(self.area)), np.round(self.area, 3)))
        area = self.area[order]
        best = self._end_values(right=True)
        inner = np.full(len(best), -1)
        most = self.settings.box_mm[0] * self.settings.box_mm[1] * 1.001 + 1.0
        for k, i in enumerate(order):
            near = order[int(np.searchsorted(area, area[k] - most)) : k]
            near = near[np.isfinite(best[near]) & (self.joint[near] != self.joint[i])]
            begins = (self.begins[near] - self.begins[i] + 1e-6) % self.round - 1e-6
            near = near[begins + self.takes[near] <= self.takes[i] + 1e-6]
            if len(near):
                total = best[near] + self.cost[near] + self._between(i, near)
                least = int(np.argmin(np.round(total, 9)))
                if total[least] < best[i] - CLOSE:
                    best[i], inner[i] = total[least], near[least]
        whole = best + self.cost + self._end_values(right=False)
        last = int(np.argmin(np.round(whole, 9)))
        if not math.isfinite(whole[last]):
            return None
        chain = [last]
        while inner[chain[-1]] >= 0:
            chain.append(int(inner[chain[-1]]))
        return self._made(chain[::-1], float(whole[last]))

    def _between(self, i: int, js: Index) -> Array:
        first = self._run(self.enter[i] + 1, (self.enter[js] - self.enter[i]) % self.n)
        second = self._run(self.leave[js] + 1, (self.leave[i] - self.leave[js]) % self.n)
        ends = (self.at_start[js], self.at_end[js], self.at_start[i][None, :], self.at_end[i][None, :])
        high, low = np.maximum(first[0], second[0]), np.minimum(first[1], second[1])
        for end in ends:
            high, low = np.maximum(high, end), np.minimum(low, end)
        edge = self.takes[i] - self.takes[js] + self.length[i] + self.length[js]
        return self._value(self.area[i] - self.area[js], edge, high, low)

    def _made(self, chain: list[int], cost: float) -> Row:
        p, q = np.round(self.start, 6) + 0.0, np.round(self.end, 6) + 0.0
        first, last = chain[0], chain[-1]
        rings = [[q[first], p[first], *self._vertices(self.enter[first], self.leave[first])]]
        for j, i in pairwise(chain):
            there = self._vertices(self.enter[i], self.enter[j])
            back = self._vertices(self.leave[j], self.leave[i])
            rings.append([p[i], *there, p[j], q[j], *back, q[i]])
        rings.append([p[last], q[last], *self._vertices(self.leave[last], self.enter[last])])
        cuts = tuple(Cut((float(p[c][0]), float(p[c][1])), (float(q[c][0]), float(q[c][1]))) for c in chain)
        pieces = tuple(Piece((tidy(r),)) for r in rings)
        return Row(pieces, cuts, tuple(int(self.joint[c]) for c in chain), cost)

    def _vertices(self, after: int, to: int) -> list[Array]:
        """Vertices beyond edge ``after`` up to the start of edge ``to``."""
        return [self.ring[(after + 1 + k) % self.n] for k in range(int((to - after) % self.n))]


def fits_all(row: Row, settings: SplittingSettings) -> bool:
    """Do the pieces as they were made fit? (A proof by the pieces themselves.)"""
    return all(p.box[1] > FIT_MM and worth.fits(p, settings) for p in row.pieces)


def _cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
