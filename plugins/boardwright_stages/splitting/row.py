"""The best joints from edge to edge across a piece, proven over the candidates.

Glossary
    joint    here always one that runs from edge to edge of the piece, crossing no other: along a shelf, round
             a bend or a U, across the foot of a peninsula, along the foot of a side board
    slice    what lies between a joint and those next to it: a board

Every joint splits the ring of a piece without wells in two; the right side of joint j lies within that of
joint i when the stretch of ring it takes does. The cheapest way to part the right side of i is therefore its
own worth, or that of some j within it plus the joint j plus the slice between, or that of two such joints
beside one another (a board with three neighbours): solved joint by joint in the order of the area on the
right; a slice that is chosen is made and measured, and the next best is taken where it does not fit. No way
of joining boards by the candidates is left out, so the answer is the best one, not only a good one. Among
ways of equal cost the one whose joints come first in the list is taken.

Limits: boards with more than three neighbours, and joints that end on other joints, are left to ``search``;
pieces with a well to ``loop``. A slice's rectangle is looked for along the edges of the piece and its joints
(``runs``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from . import worth
from .branching import beside_one_another
from .chords import Chords, Index
from .directions import Array
from .piece import FIT_MM, Cut, Piece, tidy
from .runs import Runs, Ways
from .settings import SplittingSettings

MOST_JOINTS = 24000
ROUND = 512  # outer joints whose pairs are listed in one go
BLOCK = 20000  # pairs whose slices are judged in one go


@dataclass(frozen=True)
class Row:
    """The slices, the joints between them, and what all of it costs in boards."""

    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    joints: tuple[int, ...]
    cost: float


def best_row(found: Chords, cost: Array, settings: SplittingSettings) -> Row | None:
    """The cheapest way along the given joints whose slices all fit; None when there is none."""
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
        twist = cross(ring, np.roll(ring, -1, axis=0))
        before = np.concatenate(([0.0], np.cumsum(twist)))
        p, q = self.start, self.end
        whole = np.where(self.leave > self.enter, 0.0, before[-1])
        runs = before[self.leave] - before[(self.enter + 1) % self.n] + whole
        runs = np.where(self.enter + 1 == self.n, before[self.leave], runs)
        first, last = ring[(self.enter + 1) % self.n], ring[self.leave]
        self.area = (runs + cross(p, first) + cross(last, q) + cross(q, p)) / 2
        ways = Ways(step, found.end - found.start)
        self._every_angle = ways.every
        self.at_start, self.at_end = self.start @ ways.both, self.end @ ways.both
        self._runs = Runs(ring, ways.both)
        self._most = settings.box_mm[0] * settings.box_mm[1] * 1.001 + 1.0  # area of a board

    def _value(self, area: Array, edge: Array, high: Array, low: Array) -> Array:
        """What boards are worth; infinite where one does not fit."""
        sides = worth.boxed(area, edge, np.zeros(len(area)), high - low, self.settings)
        value = worth.value(sides, self.settings, 1.0)
        return np.where(sides.fits & (area > worth.TINY_MM2), value, np.inf)

    def _end_values(self, right: bool) -> Array:
        """Worth of all that lies on one side of each joint, as one board."""
        one, other = (self.enter, self.leave) if right else (self.leave, self.enter)
        high, low = self._runs.reach(one + 1, (other - one) % self.n)
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
            if not self._truly_fits(k, ()):
                best[k] = np.inf
        inner: list[tuple[int, ...]] = [()] * len(best)
        branching = beside_one_another(
            self.start, self.end, self.begins, self.takes, self.joint, self.round, self.settings
        )
        for first in range(0, len(order), ROUND):
            owner, near, between = self._pairs(order, area, first)
            bounds = np.searchsorted(owner, np.arange(first, min(first + ROUND, len(order)) + 1))
            for k, (one, past) in enumerate(pairwise(bounds.tolist()), first):
                js, i = near[one:past], int(order[k])
                if one < past:
                    total = worth.settled(best[js] + self.cost[js] + between[one:past])
                    self._take(i, [js], total, best, inner)
                if i in branching:
                    pair, total = self._branches(i, branching[i], best)
                    self._take(i, pair, total, best, inner)
        whole = worth.settled(best + self.cost + self._end_values(right=False))
        ends = (int(k) for k in np.argsort(whole, kind="stable") if math.isfinite(whole[k]))
        last = next((k for k in ends if self._truly_fits(None, (k,))), None)
        if last is None:
            return None
        chain, at = [last], 0
        while at < len(chain):
            chain.extend(inner[chain[at]])
            at += 1
        return self._made(chain, inner, float(whole[last]))

    def _take(
        self, i: int, inside: list[Index], total: Array, best: Array, inner: list[tuple[int, ...]]
    ) -> None:
        """Note the cheapest of some ways to part the right side of joint ``i``, if it beats the best so far.

        ``inside``: the joints of each way, one array for the first ones, one for the second ones.
        """
        for least in np.argsort(total, kind="stable"):
            if not total[least] < best[i]:
                return
            chosen = tuple(int(js[least]) for js in inside)
            if self._truly_fits(i, chosen):
                best[i], inner[i] = total[least], chosen
                return

    def _branches(self, i: int, js: Index, best: Array) -> tuple[list[Index], Array]:
        """Pairs of joints beside one another within joint ``i``, and what all on the right then costs."""
        js = js[np.isfinite(best[js])]
        begins = (self.begins[js] - self.begins[i] + 1e-6) % self.round - 1e-6
        first, second = np.nonzero((begins + self.takes[js])[:, None] <= begins[None, :] + 1e-6)
        a, b = js[first], js[second]
        part = best[a] + self.cost[a] + best[b] + self.cost[b]
        area = self.area[i] - self.area[a] - self.area[b]
        keep = (part + 1.0 < best[i]) & (area > worth.TINY_MM2) & (area <= self._most)
        a, b, part, area = a[keep], b[keep], part[keep], area[keep]
        one = np.full(len(a), i)
        runs = (
            (self.enter[one], self.enter[a]),
            (self.leave[a], self.enter[b]),
            (self.leave[b], self.leave[one]),
        )
        edge = self.takes[one] - self.takes[a] - self.takes[b]
        edge = edge + self.length[one] + self.length[a] + self.length[b]
        return [a, b], worth.settled(part + self._slices(area, edge, runs, (one, a, b)))

    def _pairs(self, order: Index, area: Array, first: int) -> tuple[Index, Index, Array]:
        """Joints that may follow those in places ``first`` on of the order, and what lies between.

        Three columns: place in the order of the outer joint, the inner joint, the worth of the slice.
        """
        places = np.arange(first, min(first + ROUND, len(order)))
        lowest = np.searchsorted(area, area[places] - self._most)
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
        edge = self.takes[i] - self.takes[js] + self.length[i] + self.length[js]
        runs = ((self.enter[i], self.enter[js]), (self.leave[js], self.leave[i]))
        return self._slices(self.area[i] - self.area[js], edge, runs, (i, js))

    def _slices(
        self, area: Array, edge: Array, runs: tuple[tuple[Index, Index], ...], joints: tuple[Index, ...]
    ) -> Array:
        """Worth of slices, by the stretches of ring (from edge to edge) and the joints round them."""
        ends = [at[js] for js in joints for at in (self.at_start, self.at_end)]
        high, low = ends[0], ends[0]
        for end in ends[1:]:
            high, low = np.maximum(high, end), np.minimum(low, end)
        for one, other in runs:
            most, least = self._runs.reach(one + 1, (other - one) % self.n)
            high, low = np.maximum(high, most), np.minimum(low, least)
        return self._value(area, edge, high, low)

    def _truly_fits(self, i: int | None, inside: tuple[int, ...]) -> bool:
        """Does a slice fit by its own smallest rectangle, not only by those along the angles looked at?"""
        if self._every_angle and i is not None and len(inside) == 1:
            there = (self.enter[inside[0]] - self.enter[i]) % self.n
            if there == 0 and self.leave[i] == self.leave[inside[0]]:
                return True  # four corners, and each of its edges was looked along
        slice_ = self._slice(i, inside)
        return slice_.box[1] > FIT_MM and worth.fits(slice_, self.settings)

    def _slice(self, i: int | None, inside: tuple[int, ...]) -> Piece:
        """The board between a joint and those next to it on its right; None: the end of the piece."""
        p, q = self.stored_start, self.stored_end
        if i is None:
            (j,) = inside
            return Piece((tidy([p[j], q[j], *self._vertices(self.leave[j], self.enter[j])]),))
        points, at = [q[i], p[i]], self.enter[i]
        for j in inside:
            points += [*self._vertices(at, self.enter[j]), p[j], q[j]]
            at = self.leave[j]
        return Piece((tidy([*points, *self._vertices(at, self.leave[i])]),))

    def _made(self, chain: list[int], inner: list[tuple[int, ...]], cost: float) -> Row:
        p, q = self.stored_start, self.stored_end
        cuts = tuple(Cut((float(p[c][0]), float(p[c][1])), (float(q[c][0]), float(q[c][1]))) for c in chain)
        pieces = (self._slice(None, (chain[0],)), *(self._slice(c, inner[c]) for c in chain))
        return Row(pieces, cuts, tuple(int(self.joint[c]) for c in chain), cost)

    def _vertices(self, after: Any, to: Any) -> list[Array]:
        """Vertices beyond edge ``after`` up to the start of edge ``to``."""
        return [self.ring[(after + 1 + k) % self.n] for k in range(int((to - after) % self.n))]


def cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
