"""The best joints across a piece, proven over the candidates: rows of boards, branches and side boards.

Glossary
    joint    runs from edge to edge of the piece, crossing no other: along a shelf, round a bend or a U,
             across the root of a peninsula; or ends on the foot of a side place (``sides``)
    slice    what lies between a joint and those next to it: a board

Every joint splits the outer ring of the piece in two; the right side of joint j lies within that of
joint i when the stretch of ring it takes does. The cheapest way to part the right side of i is therefore its
own worth, or that of some j within it plus the joint j plus the slice between, or that of two such joints
beside one another (a board with three neighbours): solved joint by joint in the order of the area on the
right; a slice that is chosen is made and measured, and the next best is taken where it does not fit. No way
of joining boards by the candidates is left out, so the answer is the best one, not only a good one. Among
ways of equal cost the one whose joints come first in the list is taken.

Wells lie whole within a board; boards round a well are found in ``loop``.

Limits: boards with more than three neighbours, and other joints that end on joints, are left to ``search``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec
import numpy as np

from . import worth
from .chords import Chords, Index
from .directions import Array, Truths
from .piece import Cut, Piece
from .settings import SplittingSettings
from .sides import Foot
from .slices import ROUND, Slices

MOST_JOINTS = 24000
MOST_ROUNDS = 20

type Joints = tuple[int, ...]
type Beside = dict[int, list[tuple[Foot, Index, Array]]]


class Row(msgspec.Struct, frozen=True):
    """The slices, the joints between them, what the joints cost and what all of it costs, in boards."""

    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    spent: float
    cost: float


def best_row(found: Chords, cost: Array, settings: SplittingSettings) -> Row | None:
    """The cheapest way along the given joints whose slices all fit; None when there is none."""
    ours = past_wells(found)
    if not 0 < len(ours) <= MOST_JOINTS:
        return None
    return Rows(Slices(found.pick(ours), cost[ours], settings)).best()


def past_wells(found: Chords) -> Index:
    """The joints that end on no well."""
    outer = len(found.piece.rings[0])
    return np.flatnonzero((found.enter < outer) & (found.leave < outer))


class _Way(msgspec.Struct):
    """Slices (a joint and those next to it on its right), feet, side places parted by themselves, joints."""

    slices: list[tuple[int | None, Joints]]
    feet: list[int]
    sides: list[Row]
    joints: list[int]
    cost: float


class Rows:
    """Joints by their numbers in ``slices``, then those that end on the feet of side places."""

    def __init__(self, slices: Slices, feet: Sequence[Foot] = ()) -> None:
        self.slices, self.feet, self.own = slices, feet, len(slices.area)
        self._home: list[tuple[Foot, int]] = [(f, int(k)) for f in feet for k in f.own]
        self._here: list[dict[int, int]] = []  # by joint: the numbers of all joints beside its foot
        self._ids = []  # by foot: the numbers here of its joints
        first = self.own
        for foot in feet:
            ids = foot.known.copy()
            ids[foot.own] = np.arange(first, first + len(foot.own))
            self._ids.append(ids)
            here = {int(k): n for n, k in enumerate(ids)}
            self._here += [here] * len(foot.own)
            first += len(foot.own)
        self.area = np.concatenate((slices.area, *(f.slices.area[f.own] for f in feet)))
        self.cost = np.concatenate((slices.cost, *(f.slices.cost[f.own] for f in feet)))
        self.middles = np.concatenate([((s.start + s.end) / 2)[own] for s, own in self._all()])
        self._right = np.concatenate([s.ends(right=True)[own] for s, own in self._all()])
        self._left = [s.ends(right=False)[own] for s, own in self._all()]
        self.worth = self._right
        self.inner: list[Joints] = [()] * first
        self._suspect = np.zeros(first + 1, dtype=bool)  # by joint: measure before choosing; last: of none
        self._measured: dict[tuple[int | None, Joints], bool] = {}

    def _all(self) -> list[tuple[Slices, Index]]:
        return [(self.slices, np.arange(self.own)), *((f.slices, f.own) for f in self.feet)]

    def best(self) -> Row | None:
        """The cheapest row; None where there is none.

        Its slices are measured. Where one does not fit, the row is found anew, and those near it are measured
        before they are chosen; after MOST_ROUNDS every slice is.
        """
        branching, beside, pairs = self.slices.branching(), self._beside_feet(), list(self._pairs())
        for _ in range(MOST_ROUNDS):
            self._part(branching, beside, pairs)
            way = self._chosen()
            bad = [s for s in way.slices if not self._truly_fits(*s)] if way else []
            if not bad:
                return self._made(way) if way else None
            for slice_ in bad:
                self._suspect |= self._near(*slice_)
        self._suspect[:] = True
        self._part(branching, beside, pairs)
        way = self._chosen()
        return self._made(way) if way else None

    def _part(self, branching: dict[int, Index], beside: Beside, pairs: list[tuple[Index, Array]]) -> None:
        """Find the cheapest way to part the right side of every joint."""
        self.worth = self._right.copy()
        self.inner = [()] * len(self.worth)
        for k in np.flatnonzero(np.isfinite(self.worth)).tolist():
            if not self._may_be(k, ()):
                self.worth[k] = np.inf
        following = iter(pairs)
        for i in np.lexsort((np.arange(len(self.area)), np.round(self.area, 3))).tolist():
            if i < self.own:
                js, between = next(following)
                self._take(i, [js], self.worth[js] + self.cost[js] + between)
                if i in branching:
                    self._take(i, *self.slices.branches(i, branching[i], self.worth))
            for foot, js, between in beside.get(i, ()):
                # a joint of the piece itself has the side place on its right, too
                side = self._side_costs(foot) if i < self.own else 0.0
                self._take(i, [js], self.worth[js] + self.cost[js] + between + side)

    def _pairs(self) -> Iterator[tuple[Index, Array]]:
        """By joint of the piece, in the order of area: those that may follow it, what lies between."""
        slices = self.slices
        for first in range(0, self.own, ROUND):
            owner, near, between = slices.pairs(first)
            bounds = np.searchsorted(owner, np.arange(first, min(first + ROUND, self.own) + 1))
            for one, past in pairwise(bounds.tolist()):
                yield near[one:past], between[one:past]

    def _beside_feet(self) -> Beside:
        """The same beside side places: by joint, the foot with the joints that may follow."""
        found: Beside = {}
        for foot, ids in zip(self.feet, self._ids, strict=True):
            owner, near, between = foot.pairs()
            owners, first = np.unique(owner, return_index=True)
            past = np.append(first, len(owner))[1:]
            for i, a, b in zip(ids[owners].tolist(), first, past, strict=True):
                found.setdefault(i, []).append((foot, ids[near[a:b]], between[a:b]))
        return found

    def _side_costs(self, foot: Foot) -> float:
        """What a side place costs with its foot."""
        own = float(self.worth[foot.joint])
        return min(own, foot.side.cost if foot.side else math.inf) + float(self.cost[foot.joint])

    def _take(self, i: int, inside: list[Index], total: Array) -> None:
        """Note the cheapest of some ways to part the right side of joint ``i``, if it beats the best so far.

        ``inside``: the joints of each way, one array for the first ones, one for the second ones.
        """
        if not len(total):
            return
        total = worth.settled(total)
        least = int(total.argmin())
        if not total[least] < self.worth[i]:
            return
        chosen = tuple(int(js[least]) for js in inside)
        if self._may_be(i, chosen):
            self.worth[i], self.inner[i] = total[least], chosen
            return
        for least in np.argsort(total, kind="stable")[1:]:
            if not total[least] < self.worth[i]:
                return
            chosen = tuple(int(js[least]) for js in inside)
            if self._may_be(i, chosen):
                self.worth[i], self.inner[i] = total[least], chosen
                return

    def _may_be(self, i: int | None, inside: Joints) -> bool:
        """Is a slice not known to be too large?"""
        return not self._suspect[-1 if i is None else i] or self._truly_fits(i, inside)

    def _near(self, i: int | None, inside: Joints) -> Truths:
        """The joints near a slice, and none where it lies at an end."""
        middles = self.middles - self.middles[inside[0] if i is None else i]
        near = np.hypot(middles[:, 0], middles[:, 1]) < self.slices.settings.box_mm[1] / 6
        return np.append(near, i is None)

    def _last(self) -> tuple[int, float] | None:
        """The joint to the left of which lies the last board of the cheapest row, and what that costs."""
        left = [
            self._left[0],
            *(v + self._side_costs(f) for f, v in zip(self.feet, self._left[1:], strict=True)),
        ]
        whole = worth.settled(self.worth + self.cost + np.concatenate(left))
        for k in np.argsort(whole, kind="stable").tolist():
            if not math.isfinite(whole[k]):
                return None
            if self._may_be(None, (k,)):
                return k, float(whole[k])
        return None

    def _chosen(self) -> _Way | None:
        """The cheapest row, joint by joint from its last board; None: there is none."""
        last = self._last()
        if last is None:
            return None
        joint, cost = last
        way = _Way([(None, (joint,))], [], [], [joint], cost)
        waiting = [joint]
        self._enter(None, joint, way, waiting)
        for i in waiting:
            way.slices.append((i, self.inner[i]))
            for j in self.inner[i]:
                way.joints.append(j)
                waiting.append(j)
                self._enter(i, j, way, waiting)
        return way

    def _enter(self, i: int | None, j: int, way: _Way, waiting: list[int]) -> None:
        """Where joint ``j``, next to ``i``, is the first to end on a foot: note both, and the side place."""
        foot = self._foot_of(j)
        if foot is None or (i is not None and i >= self.own):
            return
        way.feet.append(foot.joint)
        if foot.side and foot.side.cost < self.worth[foot.joint]:
            way.sides.append(foot.side)
        else:
            waiting.append(foot.joint)

    def _made(self, way: _Way) -> Row:
        pieces = [self._slice(*s) for s in way.slices]
        cuts = [self._cut(j) for j in way.feet]
        for side in way.sides:
            pieces.extend(side.pieces)
            cuts.extend(side.cuts)
        cuts.extend(self._cut(j) for j in way.joints)
        spent = float(self.cost[[*way.feet, *way.joints]].sum()) + sum(s.spent for s in way.sides)
        return Row(tuple(pieces), tuple(cuts), spent, way.cost)

    def _foot_of(self, i: int) -> Foot | None:
        return self._home[i - self.own][0] if i >= self.own else None

    def _place(self, i: int | None, inside: Joints) -> tuple[Slices, int | None, Joints]:
        """Where a slice lies, and its joints by their numbers there."""
        last = max((*inside, -1 if i is None else i))
        if last < self.own:
            return self.slices, i, inside
        foot, here = self._home[last - self.own][0], self._here[last - self.own]
        return foot.slices, None if i is None else here[i], tuple(here[j] for j in inside)

    def _truly_fits(self, i: int | None, inside: Joints) -> bool:
        if (i, inside) not in self._measured:
            slices, own, js = self._place(i, inside)
            self._measured[(i, inside)] = slices.truly_fits(own, js)
        return self._measured[(i, inside)]

    def _slice(self, i: int | None, inside: Joints) -> Piece:
        slices, own, js = self._place(i, inside)
        return slices.slice(own, js)

    def _cut(self, i: int) -> Cut:
        if i < self.own:
            return self.slices.cut(i)
        foot, own = self._home[i - self.own]
        return foot.slices.cut(own)
