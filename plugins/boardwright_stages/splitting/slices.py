"""The boards between joints from outer edge to outer edge of a piece: areas, sizes, worth, many at once.

Glossary
    way      every joint is counted twice, once in each direction; what lies on its right is its right side
    slice    what lies between a joint and those next to it on its right: a board
    takes    the stretch of the piece's ring on a joint's right, mm

Wells lie whole within a slice. A slice's rectangle is looked for along the edges of the piece and its joints
(``runs``).

What slices are worth is kept from the last call by bands of outer joints, told by all that is looked at of
the joints in reach: where a device moves, those of its neighbourhood are worked out anew. A band holds the
joints with areas on their right from one measure to the next, so that joints more or fewer shift no other.
"""

from __future__ import annotations

from functools import cached_property
from hashlib import blake2b
from itertools import pairwise
from typing import Any

import numpy as np

from boardwright import NO_MEMO, Memo

from . import worth
from .branching import beside_one_another
from .chords import Chords, Index
from .directions import Array
from .piece import FIT_MM, Cut, Piece, inside, tidy
from .runs import Runs, Ways
from .settings import SplittingSettings

ROUND = 512  # outer joints whose pairs are listed in one go
BLOCK = 20000  # pairs whose slices are judged in one go
BANDS = 6  # in a board's area; the slices of each are kept together
MOST_KEPT = 5000  # joints, in both directions, of a piece whose slices are kept


class Slices:
    """Joint k and, turned round, joint k + len(found); all arrays go by these numbers."""

    def __init__(self, found: Chords, cost: Array, settings: SplittingSettings, memo: Memo = NO_MEMO) -> None:
        self.found, self.piece, self.settings = found, found.piece, settings
        ring = self.ring = found.piece.rings[0]
        self.n = len(ring)
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
        self._rim = self.takes.copy()  # edge on the right of each joint, that of wells with it
        self._all_round = self.round
        self._hold_wells()
        ways = Ways(step, found.end - found.start)
        at_start, at_end = self.start @ ways.both, self.end @ ways.both
        self._high, self._low = np.maximum(at_start, at_end), np.minimum(at_start, at_end)
        self._runs = Runs(ring, ways.both)
        self._outline = ring.tobytes() + ways.both.tobytes()
        self._most = settings.box_mm[0] * settings.box_mm[1] * 1.001 + 1.0  # area of a board
        self.order: Index = np.lexsort((np.arange(len(self.area)), np.round(self.area, 3)))
        self._memo = memo if len(self.order) <= MOST_KEPT else NO_MEMO

    def _hold_wells(self) -> None:
        """Take wells out of the areas, and count their edges; each lies on one side of every joint."""
        for well in self.piece.rings[1:]:
            step = np.roll(well, -1, axis=0) - well
            taken = float(np.sum(cross(well, np.roll(well, -1, axis=0)))) / 2  # negative: clockwise
            edge = float(np.hypot(step[:, 0], step[:, 1]).sum())
            last = self.enter + (self.leave - self.enter) % self.n
            twice = np.vstack((self.ring, self.ring, self.ring[:1]))
            point = (well[0] + well[1]) / 2
            here = worth.goes_round(twice, self.enter + 1, last, self.start, self.end, point)
            self.area = self.area + taken * here
            self._rim = self._rim + edge * here
            self._all_round += edge

    def _value(self, area: Array, edge: Array, high: Array, low: Array) -> Array:
        """What boards are worth; infinite where one does not fit."""
        sides = worth.boxed(area, edge, np.zeros(len(area)), high - low, self.settings)
        value = worth.value(sides, self.settings, 1.0)
        return np.where(sides.fits & (area > worth.TINY_MM2), value, np.inf)

    def ends(self, right: bool) -> Array:
        """Worth of all that lies on one side of each joint, as one board."""
        one, other = (self.enter, self.leave) if right else (self.leave, self.enter)
        high, low = self._runs.reach(one + 1, (other - one) % self.n)
        high, low = np.maximum(high, self._high), np.minimum(low, self._low)
        area = self.area if right else self.piece.area - self.area
        edge = (self._rim if right else self._all_round - self._rim) + self.length
        return self._value(area, edge, high, low)

    def branching(self) -> dict[int, Index]:
        """Joints with two others beside one another on their right, and all that are near enough."""
        return beside_one_another(
            self.start, self.end, self.begins, self.takes, self.joint, self.round, self.settings
        )

    def branches(self, i: int, js: Index, best: Array) -> tuple[list[Index], Array]:
        """Pairs of joints beside one another within joint ``i``, and what all on the right then costs.

        ``best``: what all on the right of each joint costs.
        """
        js = js[np.isfinite(best[js])]
        begins = (self.begins[js] - self.begins[i] + 1e-6) % self.round - 1e-6
        first, second = np.nonzero((begins + self.takes[js])[:, None] <= begins[None, :] + 1e-6)
        a, b = js[first], js[second]
        part = best[a] + self.cost[a] + best[b] + self.cost[b]
        area = self.area[i] - self.area[a] - self.area[b]
        keep = (part + 1.0 < best[i]) & (area > worth.TINY_MM2) & (area <= self._most)
        a, b, part, area = a[keep], b[keep], part[keep], area[keep]
        one = np.full(len(a), i)
        enter, leave = self.enter, self.leave
        runs = ((enter[one], enter[a]), (leave[a], enter[b]), (leave[b], leave[one]))
        edge = self._rim[one] - self._rim[a] - self._rim[b]
        edge = edge + self.length[one] + self.length[a] + self.length[b]
        return [a, b], worth.settled(part + self._slices(area, edge, runs, (one, a, b)))

    def pairs(self, first: int) -> tuple[Index, Index, Array]:
        """Joints that may follow those in ROUND places from ``first`` on of the order, and what lies between.

        Three columns: place in the order of the outer joint, the inner joint, the worth of the slice.
        """
        order = self.order
        area = self.area[order]
        places = np.arange(first, min(first + ROUND, len(order)))
        lowest = np.searchsorted(area, area[places] - self._most)
        count = places - lowest
        owner = np.repeat(places, count)
        near = order[np.arange(len(owner)) - np.repeat(np.cumsum(count) - count - lowest, count)]
        i = order[owner]
        begins = (self.begins[near] - self.begins[i] + 1e-6) % self.round - 1e-6
        keep = (begins + self.takes[near] <= self.takes[i] + 1e-6) & (self.joint[near] != self.joint[i])
        owner, near = owner[keep], near[keep]
        if self._memo is NO_MEMO:
            between = self.worths(order[owner], near)
        else:
            band = np.floor(area[places] / (self._most / BANDS))
            begins_at = first + np.flatnonzero(np.diff(band, prepend=-np.inf))
            ends = np.append(np.searchsorted(owner, begins_at), len(owner))
            parts = [slice(a, b) for a, b in pairwise(ends.tolist())]
            between = np.concatenate([self._kept(owner[p], near[p]) for p in parts])
        sound = np.isfinite(between)
        return owner[sound], near[sound], between[sound]

    def _kept(self, owner: Index, near: Index) -> Array:
        """``worths`` of outer joints by their places in the order, as kept from the last call if they are."""
        if not len(owner):
            return np.zeros(0)
        at = self._places[near]
        lowest, past = min(at.min(), owner[0]), max(at.max(), owner[-1]) + 1
        joints = b"".join(self._told[k] for k in self.order[lowest:past].tolist())
        pairs = (owner - lowest).tobytes() + (at - lowest).tobytes()
        inputs = (self._outline, joints, pairs, self.settings)
        return np.frombuffer(self._memo.by(inputs, worths_of, self, self.order[owner], near))

    @cached_property
    def _places(self) -> Index:
        """By joint: its place in the order."""
        return np.argsort(self.order)

    @cached_property
    def _told(self) -> list[bytes]:
        """By joint: all that ``worths`` looks at of it, besides the outline, as a digest."""
        edges = np.column_stack((self.enter, self.leave)).astype(float)
        sizes = np.column_stack((self.area, self._rim, self.length))
        rows = np.hstack((edges, sizes, self._high, self._low))
        return [blake2b(row.tobytes(), digest_size=16).digest() for row in rows]

    def worths(self, i: Index, js: Index) -> Array:
        """Worth of the slices between outer joints ``i`` and inner joints ``js``, pair by pair."""
        blocks = range(0, len(i), BLOCK)
        values = [self._between(i[k : k + BLOCK], js[k : k + BLOCK]) for k in blocks]
        return np.concatenate(values) if values else np.zeros(0)

    def _between(self, i: Index, js: Index) -> Array:
        edge = self._rim[i] - self._rim[js] + self.length[i] + self.length[js]
        runs = ((self.enter[i], self.enter[js]), (self.leave[js], self.leave[i]))
        return self._slices(self.area[i] - self.area[js], edge, runs, (i, js))

    def _slices(
        self, area: Array, edge: Array, runs: tuple[tuple[Index, Index], ...], joints: tuple[Index, ...]
    ) -> Array:
        """Worth of slices, by the stretches of ring (from edge to edge) and the joints round them."""
        high, low = self._high[joints[0]], self._low[joints[0]]
        for js in joints[1:]:
            np.maximum(high, self._high[js], out=high)
            np.minimum(low, self._low[js], out=low)
        for one, other in runs:
            most, least = self._runs.reach(one + 1, (other - one) % self.n)
            np.maximum(high, most, out=high)
            np.minimum(low, least, out=low)
        return self._value(area, edge, high, low)

    def truly_fits(self, i: int | None, inside: tuple[int, ...]) -> bool:
        """Does a slice fit by its own smallest rectangle, not only by those along the angles looked at?"""
        slice_ = self.slice(i, inside)
        return slice_.box[1] > FIT_MM and worth.fits(slice_, self.settings)

    def slice(self, i: int | None, inside: tuple[int, ...]) -> Piece:
        """The board between a joint and those next to it on its right; None: the end of the piece."""
        p, q = self.stored_start, self.stored_end
        if i is None:
            (j,) = inside
            return self._with_wells(tidy([p[j], q[j], *self._vertices(self.leave[j], self.enter[j])]))
        points, at = [q[i], p[i]], self.enter[i]
        for j in inside:
            points += [*self._vertices(at, self.enter[j]), p[j], q[j]]
            at = self.leave[j]
        return self._with_wells(tidy([*points, *self._vertices(at, self.leave[i])]))

    def _with_wells(self, ring: Array) -> Piece:
        return Piece((ring, *(w for w in self.piece.rings[1:] if inside(ring, w))))

    def cut(self, i: int) -> Cut:
        (x, y), (u, v) = self.stored_start[i].tolist(), self.stored_end[i].tolist()
        return Cut((x, y), (u, v))

    def _vertices(self, after: Any, to: Any) -> list[Array]:
        """Vertices beyond edge ``after`` up to the start of edge ``to``."""
        return [self.ring[(after + 1 + k) % self.n] for k in range(int((to - after) % self.n))]


def worths_of(slices: Slices, i: Index, js: Index) -> bytes:
    """``worths`` as they are kept."""
    return slices.worths(i, js).tobytes()


def cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
