"""Boards one after another: the best row of joints across a piece, proven over the candidates.

Glossary
    row      joints of which none crosses another and each lies wholly beyond the one before it, along a
             shelf, round a bend or a U
    slice    what lies between two joints of a row that follow one another: a board

Every joint splits the ring of a piece without wells in two; the right side of joint j lies within that of
joint i when the stretch of ring it takes does. The cheapest way to part the right side of i is therefore its
own worth, or that of some j within it plus the joint j plus the slice between: a shortest path, solved joint
by joint in the order of the area on the right; a slice that is chosen is made and measured, and the next best
is taken where it does not fit. No row of the candidates is left out, so the answer is the best one, not only
a good one. Among rows of equal cost the one whose joints come first in the list is taken.

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
MOST_JOINTS = 24000
ROUND = 512  # outer joints whose pairs are listed in one go
BLOCK = 20000  # pairs whose slices are judged in one go


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
        self.stored_start, self.stored_end = np.round(self.start, 6) + 0.0, np.round(self.end, 6) + 0.0
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
        self._every_angle = len(unique) <= MOST_ANGLES and len(step) <= MOST_ANGLES
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
        for k in np.flatnonzero(np.isfinite(best)).tolist():
            if not self._truly_fits(None, k):
                best[k] = np.inf
        inner = np.full(len(best), -1)
        for first in range(0, len(order), ROUND):
            owner, near, between = self._pairs(order, area, first)
            bounds = np.searchsorted(owner, np.arange(first, min(first + ROUND, len(order)) + 1))
            for k, (one, past) in enumerate(pairwise(bounds.tolist()), first):
                if one == past:
                    continue
                js, i = near[one:past], int(order[k])
                total = worth.settled(best[js] + self.cost[js] + between[one:past])
                for least in np.argsort(total, kind="stable"):
                    if not total[least] < best[i]:
                        break
                    if self._truly_fits(int(js[least]), i):
                        best[i], inner[i] = total[least], js[least]
                        break
        whole = worth.settled(best + self.cost + self._end_values(right=False))
        ends = (int(k) for k in np.argsort(whole, kind="stable") if math.isfinite(whole[k]))
        last = next((k for k in ends if self._truly_fits(k, None)), None)
        if last is None:
            return None
        chain = [last]
        while inner[chain[-1]] >= 0:
            chain.append(int(inner[chain[-1]]))
        return self._made(chain[::-1], float(whole[last]))

    def _pairs(self, order: Index, area: Array, first: int) -> tuple[Index, Index, Array]:
        """Joints that may follow those in places ``first`` on of the order, and what lies between.

        Three columns: place in the order of the outer joint, the inner joint, the worth of the slice.
        """
        most = self.settings.box_mm[0] * self.settings.box_mm[1] * 1.001 + 1.0
        places = np.arange(first, min(first + ROUND, len(order)))
        lowest = np.searchsorted(area, area[places] - most)
        count = places - lowest
        owner = np.repeat(places, count)
        near = order[np.arange(len(owner)) - np.repeat(np.cumsum(count) - count - lowest, count)]
        i = order[owner]
        begins = (self.begins[near] - self.begins[i] + 1e-6) % self.round - 1e-6
        keep = (begins + self.takes[near] <= self.takes[i] + 1e-6) & (self.joint[near] != self.joint[i])
        owner, near = owner[keep], near[keep]
        blocks = range(0, len(owner), BLOCK)
        values = [self._between(order[owner[k : k + BLOCK]], near[k : k + BLOCK]) for k in blocks]
        between = np.concatenate(values) if values else np.zeros(0)
        sound = np.isfinite(between)
        return owner[sound], near[sound], between[sound]

    def _between(self, i: Index, js: Index) -> Array:
        """Worth of the slices between outer joints ``i`` and inner joints ``js``."""
        first = self._run(self.enter[i] + 1, (self.enter[js] - self.enter[i]) % self.n)
        second = self._run(self.leave[js] + 1, (self.leave[i] - self.leave[js]) % self.n)
        high, low = np.maximum(first[0], second[0]), np.minimum(first[1], second[1])
        for end in (self.at_start[js], self.at_end[js], self.at_start[i], self.at_end[i]):
            high, low = np.maximum(high, end), np.minimum(low, end)
        edge = self.takes[i] - self.takes[js] + self.length[i] + self.length[js]
        return self._value(self.area[i] - self.area[js], edge, high, low)

    def _truly_fits(self, j: int | None, i: int | None) -> bool:
        """Does a slice fit by its own smallest rectangle, not only by those along the angles looked at?"""
        if self._every_angle and j is not None and i is not None:
            there = (self.enter[j] - self.enter[i]) % self.n
            if there == 0 and self.leave[i] == self.leave[j]:
                return True  # four corners, and each of its edges was looked along
        slice_ = self._slice(j, i)
        return slice_.box[1] > FIT_MM and worth.fits(slice_, self.settings)

    def _slice(self, j: int | None, i: int | None) -> Piece:
        """The board between an inner joint and the next one out; None: the end of the piece."""
        p, q = self.stored_start, self.stored_end
        if j is None and i is not None:
            return Piece((tidy([q[i], p[i], *self._vertices(self.enter[i], self.leave[i])]),))
        if j is not None and i is None:
            return Piece((tidy([p[j], q[j], *self._vertices(self.leave[j], self.enter[j])]),))
        assert j is not None
        assert i is not None
        there = self._vertices(self.enter[i], self.enter[j])
        back = self._vertices(self.leave[j], self.leave[i])
        return Piece((tidy([p[i], *there, p[j], q[j], *back, q[i]]),))

    def _made(self, chain: list[int], cost: float) -> Row:
        p, q = self.stored_start, self.stored_end
        cuts = tuple(Cut((float(p[c][0]), float(p[c][1])), (float(q[c][0]), float(q[c][1]))) for c in chain)
        pieces = tuple(self._slice(j, i) for j, i in pairwise([None, *chain, None]))
        return Row(pieces, cuts, tuple(int(self.joint[c]) for c in chain), cost)

    def _vertices(self, after: int, to: int) -> list[Array]:
        """Vertices beyond edge ``after`` up to the start of edge ``to``."""
        return [self.ring[(after + 1 + k) % self.n] for k in range(int((to - after) % self.n))]


def _cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
