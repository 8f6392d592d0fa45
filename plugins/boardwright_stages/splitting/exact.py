"""The best cuts of all, proven by branch and bound, and the least any cuts can cost.

Every way of cutting a piece along its candidate chords, again and again until all of it fits, is looked at or
shown to be no cheaper than one already found. A way is given up when what it has cost, together with the
least its pieces can cost (``floors``), is not less than the best so far.

Small pieces of a plan are proven in a moment. Large ones are not: they take more than MOST_PIECES pieces, the
search gives up, and only the least is known. A table of edges at right angles is ``aligned``: of its boards
only those are looked at that lie the same way, which rules out far more. What this does not know: cuts that
are no candidates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from . import floors, healing, worth
from .piece import FIT_MM, Cut, Piece, extents

if TYPE_CHECKING:
    from .search import Search

MOST_PIECES = 60


@dataclass(frozen=True)
class Way:
    """One way to cut a piece, and what it costs in boards."""

    cost: float
    pieces: tuple[Piece, ...]
    cuts: tuple[Cut, ...] = ()


class GaveUpError(Exception):
    """More pieces than allowed were met."""


def best_way(
    search: Search,
    piece: Piece,
    most_pieces: int = MOST_PIECES,
    below: float = math.inf,
    aligned: float | None = None,
) -> Way | None:
    """The cheapest way over all candidates that costs less than ``below``, None when there is none.

    ``aligned``: the one direction of the piece, radians; its boards are to lie the same way.

    Raises GaveUpError when more than ``most_pieces`` pieces would have to be looked at.
    """
    return _Bounded(search, most_pieces, aligned).solve(piece, below)


class _Bounded:
    def __init__(self, search: Search, most_pieces: int, aligned: float | None) -> None:
        self.search, self.aligned = search, aligned
        self.left = most_pieces
        self._floors: dict[bytes, float] = {}
        self._known: dict[bytes, Way | None] = {}
        self._no_less: dict[bytes, float] = {}

    def solve(self, piece: Piece, limit: float) -> Way | None:
        """The cheapest way of a piece that costs less than ``limit``; None: there is none."""
        key = piece.key
        if key in self._known:
            way = self._known[key]
            return way if way is not None and way.cost < limit else None
        if self._no_less.get(key, -math.inf) >= limit:
            return None
        way = self._look(piece, limit)
        if way is not None or limit == math.inf:
            self._known[key] = way
        else:
            self._no_less[key] = limit
        return way

    def _floor(self, piece: Piece) -> float:
        if piece.key not in self._floors:
            self._floors[piece.key] = floors.least_of(piece, self.search.settings, self.aligned)
        return self._floors[piece.key]

    def _is_board(self, piece: Piece) -> bool:
        if not worth.fits(piece, self.search.settings):
            return False
        if self.aligned is None:
            return True
        along, across = extents(piece.rings[0], np.array((self.aligned, self.aligned + math.pi / 2)))
        long, short = self.search.settings.box_mm
        return bool(max(along, across) <= long + FIT_MM and min(along, across) <= short + FIT_MM)

    def _look(self, piece: Piece, limit: float) -> Way | None:
        search, best = self.search, None
        if self._is_board(piece):
            alone = search.value(piece)
            best = Way(alone, (piece,)) if alone < limit else None
            if alone <= 2.0:  # two boards cost no less
                return best
        elif self._floor(piece) >= limit:
            return None
        self.left -= 1
        if self.left < 0:
            raise GaveUpError
        found = search.tried(piece)
        if not len(found):
            return best
        settings, flat = search.settings, self.aligned is not None
        left, right = worth.sides(found, settings)
        floor = floors.least(left, settings, aligned=flat) + floors.least(right, settings, aligned=flat)
        hopeful = floor + settings.joint_length_weight * found.length / 1000.0 < (
            best.cost if best else limit
        )
        found, floor = found.pick(hopeful), floor[hopeful]
        free = ~search.keep_away.breached(found.start, found.end)
        found, floor = found.pick(free), floor[free]
        if not len(found):
            return best
        cost, _, sound = search.judge(found)
        bound = cost + floor
        for i in np.lexsort((np.arange(len(found)), worth.settled(bound))):
            if not sound[i]:
                continue
            most = min(limit, best.cost if best else math.inf)
            if bound[i] >= most:
                break
            parts, cut = piece.cut(*found.nodes(i))
            if not all(healing.sound(p) for p in parts):
                continue
            way = self._parts(parts, cut, float(cost[i]), most)
            best = way or best
        return best

    def _parts(self, parts: tuple[Piece, ...], cut: Cut, cost: float, most: float) -> Way | None:
        """A cut and the best ways of its parts, if all of it costs less than ``most``."""
        least = [self._floor(p) for p in parts]
        if cost + sum(least) >= most:
            return None
        ways: list[Way] = []
        for k, part in enumerate(parts):
            others = sum(w.cost for w in ways) + sum(least[k + 1 :])
            way = self.solve(part, most - cost - others)
            if way is None:
                return None
            ways.append(way)
        total = float(worth.settled(np.array(cost + sum(w.cost for w in ways))))
        if total >= most:
            return None
        pieces = tuple(p for w in ways for p in w.pieces)
        return Way(total, pieces, (cut, *(c for w in ways for c in w.cuts)))
