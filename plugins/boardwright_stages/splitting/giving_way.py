"""The least that must move for a stretch no joint can part: a search to which what is in the way gives way.

Every line is free to it, at a price: how far each thing too near would have to move, square to the line, to
stand clear. So the cheapest way it finds is the one for which least moves, whatever else a joint costs. It is
then tried: the things are moved as told, and the stretch is split again by the rules.

What this does not know: whether a thing has room where it would go (only that it stays on the layout, if it
can), and ways of moving that are not square to a joint.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
import numpy as np
import shapely

from . import worth
from .chords import Chords
from .directions import Array, Truths
from .effort import Effort
from .junctions import Beside
from .keepaway import Blocker
from .piece import Cut, Piece, contains
from .search import Search, State, total_of
from .solving import solve

PRICE_BOARDS = 1.0  # a millimetre; a narrow board, or a rule for tracks broken, is worth some way
EACH_MM = 20.0  # one thing less to move is worth so much more way
OFF_MM = 1000.0  # and keeping on the layout so much
SPARE_MM = 1.0
ROW_BOARDS = 40.0  # hoped for; in a larger layout only the stuck piece is looked at
RUN_BOARDS = 12.0
TRIED_AT_MOST = 200
TRIES = 4  # ways to move things that are tried
SAME_WAY = 0.7  # cosine from which two ways are the same


class Move(msgspec.Struct, frozen=True, eq=False):
    """Something too near to a line, how near it is, and how it moves to stand clear: x and y in the pose.

    ``off``: it leaves the layout for it, or moves as failed before.
    """

    blocker: Blocker
    gap_mm: float
    by: Array
    off: bool
    line: Cut


class GivingWay(Search):
    """The search with every line free, at a price."""

    def __init__(self, search: Search, piece: Piece, failed: Sequence[Move] = ()) -> None:
        super().__init__(
            search.settings, search.keep_away, search.tracks, piece.main_directions, no_shards=True
        )
        self.area = _area(piece)
        self.failed = failed

    def clear(self, found: Chords) -> Chords:
        return found

    def judge(self, found: Chords, edges: tuple[Beside, ...] = ()) -> tuple[Array, Array, Truths]:
        cost, togo, sound = super().judge(found, edges)
        return worth.settled(cost + PRICE_BOARDS * self.burden(found)), togo, sound

    def burden(self, found: Chords) -> Array:
        """What each line costs for what would have to move, mm."""
        total = np.zeros(len(found))
        chord, blocker = self.keep_away.taken(found.start, found.end)
        for i in np.unique(blocker):
            mine = chord[blocker == i]
            by, off = self.ways(self.keep_away.blockers[i], found.start[mine], found.end[mine])
            total[mine] += np.hypot(*by.T) + EACH_MM + OFF_MM * off
        return total

    def ways(self, blocker: Blocker, start: Array, end: Array) -> tuple[Array, Truths]:
        """How a blocker stands clear of each line by moving square to it.

        And whether it can do so only by leaving the layout, or by a way that failed.
        """
        d = end - start
        normal = np.column_stack((-d[:, 1], d[:, 0])) / np.hypot(d[:, 0], d[:, 1])[:, None]
        shadow = blocker.ring @ normal.T - np.sum(normal * start, axis=1)
        room = blocker.clear_mm + SPARE_MM
        ahead, back = np.ceil(room - shadow.min(axis=0)), np.ceil(room + shadow.max(axis=0))
        tried = np.stack((normal * ahead[:, None], -normal * back[:, None]))
        off = np.zeros((2, len(start)), dtype=bool)
        if shapely.covers(self.area, shapely.convex_hull(shapely.multipoints(blocker.ring))):
            places = tried[:, :, None, :] + blocker.ring
            off = ~shapely.intersects_xy(self.area, places[..., 0], places[..., 1]).all(axis=2)
        for move in self.failed:
            if move.blocker is blocker:
                off |= np.stack((normal @ move.by, -normal @ move.by)) > SAME_WAY * np.hypot(*move.by)
        best = np.argmin(np.stack((ahead, back)) + OFF_MM * off, axis=0)
        which = np.arange(len(start))
        return tried[best, which], off[best, which]

    def moves(self, cut: Cut) -> list[Move]:
        """What is too near to one line, and how it moves."""
        found = []
        for b, gap in self.keep_away.too_near(cut.start, cut.end):
            by, off = self.ways(b, np.array([cut.start]), np.array([cut.end]))
            found.append(Move(b, gap, by[0], bool(off[0]), cut))
        return found

    def cheapest(self, piece: Piece) -> State | None:
        """The way for which least moves: rows and loops, and of small pieces what the search finds."""
        found = [self.row(piece)]
        if self.hoped(piece) <= RUN_BOARDS:
            found.append(self.run(piece))
        return min((s for s in found if s), key=total_of, default=None)


def least_moves(stuck: Piece, parent: Piece, search: Search, effort: Effort) -> tuple[list[Move], bool]:
    """The least that must move for a stuck piece, and whether that was tried and frees it.

    ``parent`` is what it was cut from. A thing that moves away from one joint may come too near to another;
    then the least in which nothing moves that way is tried. Where none frees it: what one line would need.
    """
    whole = parent if search.hoped(parent) <= ROW_BOARDS else stuck
    failed: list[Move] = []
    for _ in range(TRIES):
        giving = GivingWay(search, whole, failed)
        effort.spend(2 * search.hoped(whole))
        state = giving.cheapest(whole)
        cuts = [c for c in state.cuts if contains(stuck.rings[0], _middle(c))] if state else []
        moves = [move for cut in cuts for move in giving.moves(cut)]
        if not moves or any(m.off for m in moves):
            break
        if _frees(moves, stuck, whole, search):
            return moves, True
        failed += moves
    return one_line(stuck, search), False


def _frees(moves: list[Move], stuck: Piece, whole: Piece, search: Search) -> bool:
    """Once these things have moved: is no part of the stretch stuck, and no board narrower than wanted?"""
    moved = search.keep_away.moved({m.blocker: m.by for m in moves})
    state = solve(whole, search.settings, moved, search.tracks, better=False)
    still = any(shapely.intersection(_area(p), _area(stuck)).area > worth.TINY_MM2 for p in state.stuck)
    return not still and not search.shards(state, whole)


def one_line(piece: Piece, search: Search) -> list[Move]:
    """What must move for the one line that needs least: of those that leave two boards, if there are any."""
    found, left, right = parting(piece, search)
    fit = left.fits & right.fits
    found = found.pick(fit) if fit.any() else found
    found = found.pick(np.argsort(np.round(found.length, 3), kind="stable")[:TRIED_AT_MOST])
    if not len(found):
        return []
    giving = GivingWay(search, piece)
    burden = np.round(giving.burden(found), 3)
    taken = np.flatnonzero(burden > 0)
    if not len(taken):
        return []
    best = taken[np.argmin(burden[taken])]
    return giving.moves(_cut(found, int(best)))


def parting(piece: Piece, search: Search) -> tuple[Chords, worth.Sides, worth.Sides]:
    """The lines that would part a piece and leave no shard, and what lies either side of them.

    Where there are none, all that are tried.
    """
    found = search.tried(piece)
    left, right = worth.sides(found, search.settings)
    wanted = search.parts(piece, left, right, no_shards=True)
    if wanted.any():
        found = found.pick(wanted)
        left, right = worth.sides(found, search.settings)
    return found, left, right


def _cut(found: Chords, i: int) -> Cut:
    (x, y), (u, v) = found.start[i].tolist(), found.end[i].tolist()
    return Cut((x, y), (u, v))


def _middle(cut: Cut) -> tuple[float, float]:
    return (cut.start[0] + cut.end[0]) / 2, (cut.start[1] + cut.end[1]) / 2


def _area(piece: Piece) -> shapely.Geometry:
    area = shapely.make_valid(shapely.Polygon(piece.rings[0], piece.rings[1:]))
    shapely.prepare(area)
    return area
