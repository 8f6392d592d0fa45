"""The best cuts of all, proven by branch and bound, and the least any cuts can cost.

Every way of cutting a piece along its candidate chords, again and again until all of it fits, is looked at or
shown to be no cheaper than one already found. A way is given up when what it has cost, together with the
least its pieces can cost, is not less than the best so far. That least (``least``) never says too much:

    boards   as many as the area, the mass, or the reach in any direction asks for (two points of one board
             are never farther apart than its diagonal)
    uneven   boards of equal share are the cheapest

Small pieces of a plan are proven in a moment. Large ones are not: they take more than MOST_PIECES pieces, the
search gives up, and only ``least`` is known. What this does not know: cuts that are no candidates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from . import healing, worth
from .directions import Array
from .piece import Cut, Piece
from .settings import SplittingSettings
from .worth import Sides

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


def best_way(search: Search, piece: Piece, most_pieces: int = MOST_PIECES) -> Way | None:
    """The cheapest way over all candidates, None when there is none.

    Raises GaveUpError when more than ``most_pieces`` pieces would have to be looked at.
    """
    return _Bounded(search, most_pieces).solve(piece, math.inf)


def least(s: Sides, settings: SplittingSettings, boards: float = 0.0) -> Array:
    """The least that pieces can cost however they are cut, in boards: never too much.

    ``boards``: as many as are known to be needed.
    """
    long, short = settings.box_mm
    diagonal = math.hypot(long, short)
    share = s.area / (long * short)
    count = np.maximum(np.maximum(_whole(share), _whole(s.length / diagonal)), math.ceil(boards - 1e-3))
    if settings.max_mass_kg is not None:
        # cutting adds edges, so the mass of the boards together is no less
        count = np.maximum(count, _whole(settings.thought_kg(s.area, s.perimeter) / settings.max_mass_kg))
    count = np.maximum(count, share * math.sqrt(settings.uneven_weight))
    found: Array = count + settings.uneven_weight * share**2 / count - SLACK
    return np.where(s.area > worth.TINY_MM2, found, 0.0)


SLACK = 2 * 10.0**-worth.PLACES  # costs are rounded


def _whole(x: Array) -> Array:
    count: Array = np.maximum(np.ceil(x - 1e-3), 1.0)
    return count


class _Bounded:
    def __init__(self, search: Search, most_pieces: int) -> None:
        self.search = search
        self.left = most_pieces
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

    def _look(self, piece: Piece, limit: float) -> Way | None:
        search, best = self.search, None
        if worth.fits(piece, search.settings):
            alone = search.value(piece)
            best = Way(alone, (piece,)) if alone < limit else None
            if alone <= 2.0:  # two boards cost no less
                return best
        self.left -= 1
        if self.left < 0:
            raise GaveUpError
        found = search.allowed(piece)
        if not len(found):
            return best
        left, right = worth.sides(found, search.settings)
        cost, _, sound = search.judge(found)
        bound = cost + least(left, search.settings) + least(right, search.settings)
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
        settings = self.search.settings
        floors = [float(least(worth.whole(p, settings), settings)[0]) for p in parts]
        ways: list[Way] = []
        for k, part in enumerate(parts):
            others = sum(w.cost for w in ways) + sum(floors[k + 1 :])
            way = self.solve(part, most - cost - others)
            if way is None:
                return None
            ways.append(way)
        total = float(worth.settled(np.array(cost + sum(w.cost for w in ways))))
        if total >= most:
            return None
        pieces = tuple(p for w in ways for p in w.pieces)
        return Way(total, pieces, (cut, *(c for w in ways for c in w.cuts)))
