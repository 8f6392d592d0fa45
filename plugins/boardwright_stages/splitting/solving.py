"""The best way to cut a piece: proven where it can be, else the best that the search finds.

Pieces of up to FEW boards are proven over all ways of cutting (``exact``). Of larger ones the best joints
from edge to edge are found exactly: along shelves and their branches with side boards (``row``, ``sides``),
and round wells (``loop``, ``net``). They are taken as they are

    when they break no hard rule, leave no narrow board, and make as few boards as were hoped for or a tenth
    more, or more than SMALL_ROW boards;
    when the piece is a straight shelf no wider than a board (joints along it would only add boards);
    when they make more than LONG_ROW boards;

else the cheapest of them, of what the search finds (``search``), and of ways with a foot cut first
(``in_two``), with each joint then moved to its best place (``sliding``).

Limits: where joints that end on other joints make more boards, the best of what was tried, not a proven best;
how far it may be from the best is told (``at_least``).
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from boardwright import NO_MEMO, Memo
from boardwright_timber.model import Proof

from . import junctions, worth
from .blocked import surely_stuck
from .exact import GaveUpError, best_way
from .floors import SQUARE, Along, directions_of, least, least_of, off_all
from .holding import boards_at_least
from .in_two import best_in_two
from .keepaway import KeepAway
from .piece import FIT_MM, Cut, Piece
from .search import Search, State, total_of
from .settings import SplittingSettings
from .sliding import slid
from .tracks import BREACH_BOARDS, Tracks

FEW = 3  # boards hoped for, up to which all ways are tried
NEARLY = 1.1  # hopes count a bend as if it were straight, so that a good row may need a tenth more
SMALL_ROW = 8  # boards; more are too many for the search to better them
LONG_ROW = 40  # boards; a side board would save one of them at most, and the search would take minutes
HOPE_LEAST = 0.4
WORTH_PROVING = 0.5  # boards between what was found and the least; more are not made up for by proving


def solve(
    piece: Piece,
    settings: SplittingSettings,
    keep_away: KeepAway,
    tracks: Tracks,
    before: tuple[Cut, ...] = (),
    feet: int = 1,
    better: bool = True,
    memo: Memo = NO_MEMO,
) -> State:
    """Cut a piece until every part fits or is stuck.

    Estimates are hopeful: a bend needs shorter boards than its middle line says. Where more boards came out
    than were hoped for, the search is run again with lower hopes, and the best outcome is taken.

    Where something stays stuck, the search is run once more without cuts that leave a shard: a layout that
    cannot be parted by the rules is better told of whole than as splinters round what blocks it.

    ``before``: cuts made round the piece, whose ends new ones must keep from (``junctions``). ``feet``: ways
    with a foot cut first are tried, too (``in_two``). Without ``better`` the first way that leaves nothing
    stuck is taken.
    """
    search = Search(settings, keep_away, tracks, piece.main_directions, before=before, memo=memo)
    if worth.fits(piece, settings):
        return replace(search.run(piece), proof=Proof.WHOLE)
    if surely_stuck(piece, settings, keep_away):
        return _in_large_pieces(piece, search).run(piece)
    way = _of_few(piece, search)
    if way is not None:
        return way
    row = search.row(piece)
    sound = row is not None and row.spent < BREACH_BOARDS and not search.shards(row, piece)
    if row is not None and (
        (sound and len(row.done) <= NEARLY * search.hoped(piece) + 0.5)
        or (sound and len(row.done) > SMALL_ROW)
        or (len(piece.rings) == 1 and piece.box[1] <= settings.box_mm[1] + FIT_MM)
        or len(row.done) > LONG_ROW
    ):
        return row
    best = search.run(piece)
    if row is not None:
        best = min(best, row, key=total_of)
    if best.stuck:
        return _in_large_pieces(piece, search).run(piece)
    if not better:
        return best
    found = len(best.done)
    if found > search.hoped(piece) + 0.5:
        hope = 1.02 * worth.strip_length(piece) / (found * settings.box_mm[0])
        if HOPE_LEAST < hope < 1.0:
            lower = Search(settings, keep_away, tracks, piece.main_directions, hope, before=before)
            best = min(best, lower.run(piece), key=total_of)
    best = slid(best, search)
    if not feet:
        return best

    def part(p: Piece, cuts: tuple[Cut, ...]) -> State:
        return solve(p, settings, keep_away, tracks, cuts, feet=feet - 1, memo=memo)

    in_two = best_in_two(piece, search, best.total, part)
    if in_two is not None:
        best = min(best, slid(in_two, search), key=total_of)
    return _proven(best, search, piece)


def parts(piece: Piece, settings: SplittingSettings, keep_away: KeepAway, tracks: Tracks) -> bool:
    """Does ``solve`` leave nothing stuck? Found as it does, but without looking for a better way."""
    search = Search(settings, keep_away, tracks, piece.main_directions)
    if worth.fits(piece, settings):
        return True
    if surely_stuck(piece, settings, keep_away):
        return False
    if _of_few(piece, search) is not None or search.row(piece) is not None:
        return True
    searches = (search, _in_large_pieces(piece, search))
    return any(not s.run(piece, only_whether=True).stuck for s in searches)


def likely_parts(piece: Piece, settings: SplittingSettings, keep_away: KeepAway, tracks: Tracks) -> bool:
    """``parts`` as a quick search that follows one way thinks: a first guess, never to be told."""
    if worth.fits(piece, settings):
        return True
    one = Search(settings, keep_away, tracks, piece.main_directions, beam=1)
    return not one.run(piece, only_whether=True).stuck


def _of_few(piece: Piece, search: Search) -> State | None:
    """Of a piece of few boards the best of all ways, where that is found in time and its joints have room."""
    if search.hoped(piece) > FEW + 0.5:
        return None
    try:
        way = best_way(search, piece)
    except GaveUpError:
        return None
    if way is None or junctions.cost_of(way.cuts, search.before, search.settings.shortest_joint_mm or 0.0):
        return None
    return State(way.pieces, (), (), way.cuts, 0.0, way.cost, Proof.WAYS)


def _in_large_pieces(piece: Piece, search: Search) -> Search:
    """The same search without cuts that leave a shard."""
    s = search
    return Search(s.settings, s.keep_away, s.tracks, piece.main_directions, no_shards=True, before=s.before)


def _any_other(piece: Piece, search: Search, along: Along) -> bool:
    """Are there candidate lines in other directions?"""
    normals, _ = search.lines(piece)
    return bool((off_all(normals, along) > SQUARE).any())


def _proven(state: State, search: Search, piece: Piece) -> State:
    """A table of few directions proven the cheapest, or a cheaper way; as it is where that takes too long."""
    settings, along = search.settings, directions_of(piece)
    if not along or state.total - least_of(piece, settings, along) > WORTH_PROVING:
        return state
    try:
        way = best_way(search, piece, settings.prove_pieces, state.total, along)
    except GaveUpError:
        return state
    proof = Proof.ALONG if len(along) > 1 or _any_other(piece, search, along) else Proof.WAYS
    if way is None:
        return replace(state, proof=proof)
    if junctions.cost_of(way.cuts, search.before, settings.shortest_joint_mm or 0.0):
        return state
    return State(way.pieces, (), (), way.cuts, 0.0, way.cost, proof)


def at_least(
    piece: Piece, state: State, settings: SplittingSettings, tracks: Tracks, memo: Memo = NO_MEMO
) -> float:
    """What no way of cutting the piece costs less than, in boards: its cost where all ways were tried.

    Of a table of right angles, what none costs less than whose boards lie along its edges.
    """
    if state.proof in (Proof.WAYS, Proof.WHOLE):
        return state.total
    long, short = settings.box_mm
    boards = boards_at_least(piece, long + 2 * FIT_MM, short + 2 * FIT_MM, memo)
    floor = float(least(worth.whole(piece, settings), settings, boards)[0])
    along = directions_of(piece)
    if len(along) == 1:
        floor = max(floor, least_of(piece, settings, along))
    cuts = settings.track_weight * tracks.cuts_at_least(piece, math.hypot(long, short) + FIT_MM)
    return min(floor + cuts, state.total)
