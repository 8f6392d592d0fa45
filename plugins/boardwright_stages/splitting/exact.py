"""The best cuts of all, proven by branch and bound, and the least any cuts can cost.

Every way of cutting a piece along its candidate chords, again and again until all of it fits, is looked at or
shown to be no cheaper than one already found. A way is given up when what it has cost, together with the
least its pieces can cost (``floors``), is not less than the best so far.

Small pieces of a plan are proven in a moment. Large ones are not: they take more than MOST_PIECES pieces, the
search gives up, and only the least is known. A table whose edges have a few directions lies ``along`` them:
only those of its boards and cuts are looked at that lie along one of them, which rules out far more. What
this does not know: cuts that are no candidates.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from . import floors, healing, junctions, worth
from .chords import Chords
from .directions import Array
from .junctions import Beside
from .piece import FIT_MM, Cut, Piece, extents

if TYPE_CHECKING:
    from .search import Search

MOST_PIECES = 60
TWO_BOARDS = 2.0  # they cost no less


class Way(msgspec.Struct, frozen=True):
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
    along: floors.Along = (),
) -> Way | None:
    """The cheapest way over all candidates that costs less than ``below``, None when there is none.

    ``along``: the directions of the piece, radians; its cuts and boards are to lie along them.

    With ``along`` joints that end on others leave room for bolts (``junctions``), too.

    Raises GaveUpError when more than ``most_pieces`` pieces would have to be looked at.
    """
    bounded = _Bounded(search, most_pieces, along)
    way = bounded.solve(piece, below)
    shortest = search.settings.shortest_joint_mm or 0.0
    if way is None or not along or not junctions.cost_of(way.cuts, search.before, shortest):
        return way
    return bounded.with_room((piece,), Way(0.0, (), search.before), below)


class _Bounded:
    def __init__(self, search: Search, most_pieces: int, along: floors.Along) -> None:
        self.search, self.along = search, along
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

    def with_room(self, waiting: tuple[Piece, ...], made: Way, limit: float) -> Way | None:
        """The cheapest way on from what is made that costs less than ``limit``, as all joints leave room.

        What ``solve`` finds, which knows nothing of this, is the least that each piece costs.
        """
        if not waiting:
            cuts = made.cuts[len(self.search.before) :]
            return Way(float(worth.settled(np.array(made.cost))), made.pieces, cuts)
        piece, rest = waiting[0], waiting[1:]
        search, best = self.search, None
        least = made.cost + self._together(rest, limit - made.cost)
        if self._is_board(piece):
            alone = search.value(piece)
            if least + alone < limit:
                best = self.with_room(rest, Way(made.cost + alone, (*made.pieces, piece), made.cuts), limit)
            if alone <= TWO_BOARDS:
                return best
        self.left -= 1
        if self.left < 0:
            raise GaveUpError
        found, cost, floor = self._hopeful(piece, limit - least, search.beside(piece, made.cuts))
        for i in np.lexsort((np.arange(len(cost)), worth.settled(cost + floor))):
            most = min(limit, best.cost if best else math.inf)
            if least + cost[i] + floor[i] >= most:
                break
            parts, cut = piece.cut(*found.nodes(i))
            left = most - least - float(cost[i])
            if not all(healing.sound(p) for p in parts) or self._together(parts, left) >= left:
                continue
            further = Way(made.cost + float(cost[i]), made.pieces, (*made.cuts, cut))
            best = self.with_room((*parts, *rest), further, most) or best
        return best

    def _together(self, pieces: tuple[Piece, ...], limit: float) -> float:
        """What no ways of some pieces together cost less than, if that is below ``limit``."""
        least = [self._floor(p) for p in pieces]
        for k, piece in enumerate(pieces):
            if sum(least) >= limit:
                return limit
            way = self.solve(piece, limit - sum(least) + least[k])
            if way is None:
                return limit
            least[k] = way.cost
        return sum(least)

    def _floor(self, piece: Piece) -> float:
        if piece.key not in self._floors:
            floor = floors.least_of(piece, self.search.settings, self.along)
            if self._is_board(piece):
                floor = max(floor, min(self.search.value(piece), TWO_BOARDS) - floors.SLACK)
            self._floors[piece.key] = floor
        return self._floors[piece.key]

    def _least(self, side: worth.Sides) -> Array:
        """The least that the pieces on one side of many chords cost: as they are, or two boards and more."""
        settings = self.search.settings
        floor = floors.least(side, settings, aligned=len(self.along) == 1)
        alone = np.minimum(worth.value(side, settings, 1.0), TWO_BOARDS) - floors.SLACK
        least: Array = np.where(side.fits & (side.area > worth.TINY_MM2), np.maximum(floor, alone), floor)
        return least

    def _is_board(self, piece: Piece) -> bool:
        if not worth.fits(piece, self.search.settings):
            return False
        angles = np.array(self.along)
        one, other = extents(piece.rings[0], angles), extents(piece.rings[0], angles + math.pi / 2)
        long, short = self.search.settings.box_mm
        fits = (np.maximum(one, other) <= long + FIT_MM) & (np.minimum(one, other) <= short + FIT_MM)
        return not self.along or bool(fits.any())

    def _look(self, piece: Piece, limit: float) -> Way | None:
        search, best = self.search, None
        if self._is_board(piece):
            alone = search.value(piece)
            best = Way(alone, (piece,)) if alone < limit else None
            if alone <= TWO_BOARDS:
                return best
        elif self._floor(piece) >= limit:
            return None
        self.left -= 1
        if self.left < 0:
            raise GaveUpError
        found, cost, floor = self._hopeful(piece, best.cost if best else limit)
        bound = cost + floor
        for i in np.lexsort((np.arange(len(found)), worth.settled(bound))):
            most = min(limit, best.cost if best else math.inf)
            if bound[i] >= most:
                break
            parts, cut = piece.cut(*found.nodes(i))
            if not all(healing.sound(p) for p in parts):
                continue
            way = self._parts(parts, cut, float(cost[i]), most)
            best = way or best
        return best

    def _hopeful(
        self, piece: Piece, limit: float, edges: tuple[Beside, ...] = ()
    ) -> tuple[Chords, Array, Array]:
        """Cuts that may lead to a way cheaper than ``limit``, what they cost, the least their parts cost."""
        search, settings = self.search, self.search.settings
        found = search.tried(piece)
        if self.along and len(found):
            found = found.pick(floors.off_all(found.end - found.start, self.along) <= floors.SQUARE)
        if not len(found):
            return found, np.zeros(0), np.zeros(0)
        left, right = worth.sides(found, settings)
        floor = self._least(left) + self._least(right)
        hopeful = floor + settings.joint_length_weight * found.length / 1000.0 < limit
        found, floor = found.pick(hopeful), floor[hopeful]
        free = ~search.keep_away.breached(found.start, found.end)
        found, floor = found.pick(free), floor[free]
        if not len(found):
            return found, np.zeros(0), np.zeros(0)
        cost, _, sound = search.judge(found, edges)
        return found.pick(sound), cost[sound], floor[sound]

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
