"""Choosing the cuts: a beam search over ways to cut a piece until everything fits.

Each step takes the largest piece that does not fit, tries every candidate chord (``lines``), drops those too
near turnouts, devices and obstacles, ranks the rest by what they cost plus what their pieces are worth
(``worth``) and keeps the best few, unlike one another. A piece nothing legal can cut is *stuck*: it stays as
it is.

Limits: the best of what was tried, not a proven best (``solving``).
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from msgspec.structs import replace

from boardwright import NO_MEMO, Memo
from boardwright_timber.model import Proof

from . import chords, healing, junctions, lines, sides, terms, worth
from .chords import Chords
from .directions import Array, Truths
from .junctions import Beside
from .keepaway import KeepAway
from .loop import best_loop
from .piece import FIT_MM, Cut, Piece
from .row import MOST_JOINTS, Row, Rows, best_row, past_wells
from .settings import SplittingSettings
from .slices import Slices
from .tracks import Tracks
from .worth import Sides

BRANCHES = 4  # ways to cut one piece that are followed
BEAM = 4  # states kept after each step
LOOKED_AT = 8  # cuts whose pieces are judged exactly
STUCK_BOARDS = 1000.0  # more than all breaches of the hard rules for tracks together
MOST_CUTS = 400
MOST_SHARDS = 12  # besides as many as boards are hoped for: more are splinters round what nothing parts


class State(msgspec.Struct, frozen=True):
    done: tuple[Piece, ...]
    open: tuple[Piece, ...]
    stuck: tuple[Piece, ...]
    cuts: tuple[Cut, ...]
    spent: float
    total: float
    proof: Proof = Proof.NONE


class Step(msgspec.Struct, frozen=True):
    pieces: tuple[Piece, ...]
    cut: Cut
    cost: float


def total_of(state: State) -> float:
    return round(state.total, worth.PLACES)


class Search:
    """Cuts pieces of one plan with one set of settings; remembers what it has worked out.

    ``main`` are the main directions joints should follow; ``hope`` is the share of the longest board that
    estimates count on; ``beam`` ways are followed at once. With ``no_shards`` no cut may leave a side
    narrower than ``min_length_mm``, unless the piece is so already.
    """

    def __init__(
        self,
        settings: SplittingSettings,
        keep_away: KeepAway,
        tracks: Tracks,
        main: Array,
        hope: float = 1.0,
        no_shards: bool = False,
        before: tuple[Cut, ...] = (),
        beam: int = BEAM,
        memo: Memo = NO_MEMO,
    ) -> None:
        self.settings = settings
        self.keep_away = keep_away
        self.tracks = tracks
        self.hope = hope
        self.no_shards = no_shards
        self.before = before
        self.beam = beam
        self.memo = memo
        self._main = main
        self._steps: dict[bytes, tuple[Step, ...]] = {}
        self._value: dict[bytes, float] = {}

    def hoped(self, piece: Piece) -> float:
        """Boards a piece is thought to need."""
        return float(worth.boards_needed(worth.whole(piece, self.settings), self.settings, self.hope)[0])

    def run(self, piece: Piece, only_whether: bool = False) -> State:
        """The best way found to cut a piece; what it left uncut is stuck.

        ``only_whether``: only whether something is stuck is wanted; it ends as soon as that is known.
        """
        beam = [self._state((), (piece,), (), (), 0.0)]
        finished: list[State] = []
        most_shards = MOST_SHARDS + self.hoped(piece)
        for _ in range(MOST_CUTS):
            finished.extend(s for s in beam if not s.open)
            if only_whether and (any(not s.stuck for s in finished) or all(s.stuck for s in beam)):
                break
            beam = self._advance([s for s in beam if s.open])
            if not beam or (finished and min(map(total_of, finished)) <= min(map(total_of, beam))):
                break
            if all(self.shards(s, piece) > most_shards for s in beam):
                break
        best = min(finished or beam, key=total_of)
        return replace(best, open=(), stuck=(*best.stuck, *best.open))

    def shards(self, state: State, piece: Piece) -> int:
        """How many pieces of a state are narrower than wanted, and than the piece they were cut from."""
        least = min(self.settings.min_length_mm, piece.box[1]) - FIT_MM
        return sum(p.box[1] < least for p in (*state.done, *state.open))

    def _advance(self, beam: list[State]) -> list[State]:
        made: dict[tuple[bytes, ...], State] = {}
        for state in beam:
            at = max(range(len(state.open)), key=lambda i: (round(state.open[i].area, 3), -i))
            piece = state.open[at]
            rest = (*state.open[:at], *state.open[at + 1 :])
            steps = self.steps(piece, self.beside(piece, state.cuts))
            if not steps:
                new = [self._state(state.done, rest, (*state.stuck, piece), state.cuts, state.spent)]
            else:
                new = [
                    self._state(
                        state.done,
                        (*rest, *s.pieces),
                        state.stuck,
                        (*state.cuts, s.cut),
                        state.spent + s.cost,
                    )
                    for s in steps
                ]
            for s in new:
                key = tuple(sorted(p.key for p in (*s.done, *s.open, *s.stuck)))
                if key not in made or total_of(s) < total_of(made[key]):
                    made[key] = s
        return sorted(made.values(), key=total_of)[: self.beam]

    def _state(
        self,
        done: tuple[Piece, ...],
        waiting: tuple[Piece, ...],
        stuck: tuple[Piece, ...],
        cuts: tuple[Cut, ...],
        spent: float,
    ) -> State:
        fitting = [worth.fits(p, self.settings) for p in waiting]
        done = (*done, *(p for p, f in zip(waiting, fitting, strict=True) if f))
        waiting = tuple(p for p, f in zip(waiting, fitting, strict=True) if not f)
        total = spent + STUCK_BOARDS * len(stuck) + sum(self.value(p) for p in (*done, *waiting, *stuck))
        return State(done, waiting, stuck, cuts, spent, total)

    def value(self, piece: Piece) -> float:
        if piece.key not in self._value:
            self._value[piece.key] = worth.cost_to_go(piece, self.settings, self.hope)
        return self._value[piece.key]

    def steps(self, piece: Piece, edges: tuple[Beside, ...] = ()) -> tuple[Step, ...]:
        """The best few legal cuts of a piece, unlike one another; ``edges``: cuts made along its edge."""
        key = b"|".join((piece.key, *(e.key for e in edges)))
        if key not in self._steps:
            self._steps[key] = self._rank(piece, edges)
        return self._steps[key]

    def beside(self, piece: Piece, cuts: tuple[Cut, ...]) -> tuple[Beside, ...]:
        shortest = self.settings.shortest_joint_mm or 0.0
        return junctions.beside(piece, (*self.before, *cuts), shortest) if shortest else ()

    def _rank(self, piece: Piece, edges: tuple[Beside, ...]) -> tuple[Step, ...]:
        found = self.allowed(piece, edges=edges)
        if not len(found):
            return ()
        cost, togo, sound = self.judge(found, edges)
        found, cost, togo = found.pick(sound), cost[sound], togo[sound]
        order = np.lexsort((np.arange(len(found)), worth.settled(cost + togo)))
        steps: list[tuple[float, int, Step]] = []
        for i in self._unlike(found, order, LOOKED_AT):
            pieces, cut = piece.cut(*found.nodes(i))
            if not all(healing.sound(p) for p in pieces):
                continue
            exact = float(cost[i]) + sum(self.value(p) for p in pieces)
            steps.append((round(exact, worth.PLACES), i, Step(pieces, cut, float(cost[i]))))
        steps.sort(key=lambda s: s[:2])
        return tuple(s for _, _, s in steps[:BRANCHES])

    def row(self, piece: Piece) -> State | None:
        """The best row of boards with side boards, or way round wells (``row``, ``loop``, ``net``).

        None where there is none. Where joints that end on a foot from both sides leave too little room for
        bolts, it is made again with those of the side place first, and is no longer proven the best.
        """
        if worth.fits(piece, self.settings):
            return None
        found, cost = self.joints(piece, self.before)
        ways = [self.joined(found, cost)]
        if len(piece.rings) > 1:
            ways.append(self.round_wells(found, cost, min((w.cost for w, _ in ways if w), default=math.inf)))
        states = [
            replace(self._state((), made.pieces, (), made.cuts, made.spent), proof=proof)
            for made, proof in ways
            if made is not None
        ]
        return min(states, key=total_of, default=None)

    def round_wells(self, found: Chords, cost: Array, below: float) -> tuple[Row | None, Proof]:
        """The best way round wells that costs less than ``below``; what it is proven over.

        Where no joint has both ends on one edge, it can only be a loop.
        """
        from .net import best_net  # the solver is loaded where there are wells

        loop = best_loop(found, cost, self.settings)
        if loop is not None and not self._may_branch(found):
            return loop, Proof.NET
        below = min(below, loop.cost if loop else math.inf)
        net = best_net(found, cost, self.settings, below)
        if net is None:
            return loop, Proof.NONE
        return (net.row or loop), Proof.NET

    def _may_branch(self, found: Chords) -> bool:
        """Is there a joint with both ends on one edge that a board could have?"""
        starts = found.piece.ring_starts
        one, other = (np.searchsorted(starts, e, side="right") for e in (found.enter, found.leave))
        return bool(np.any((one == other) & (found.length <= math.hypot(*self.settings.box_mm) + FIT_MM)))

    def joined(self, found: Chords, cost: Array) -> tuple[Row | None, Proof]:
        """The best row with branches and side boards along these joints; what it is proven over."""
        ours = past_wells(found)
        if not 0 < len(ours) <= MOST_JOINTS:
            return None, Proof.NONE
        slices = Slices(found.pick(ours), cost[ours], self.settings, self.memo)
        shortest = self.settings.shortest_joint_mm or 0.0
        made = None
        for together in (False, True):
            made = Rows(slices, sides.feet(self, slices, self.before, together)).best()
            if made is None or not junctions.cost_of(made.cuts, (), shortest):
                return made, Proof.NONE if together else Proof.ROWS
        return made, Proof.NONE

    def plain_row(self, piece: Piece, before: tuple[Cut, ...]) -> Row | None:
        """The best row without side places; ``before``: cuts made round the piece."""
        return best_row(*self.joints(piece, before), self.settings)

    def joints(self, piece: Piece, before: tuple[Cut, ...]) -> tuple[Chords, Array]:
        """Every joint from edge to edge that may be made, and its cost."""
        edges = self.beside(piece, before)
        found = self.allowed(piece, fine=True, edges=edges, wells=True)
        if not len(found):
            return found, np.zeros(0)
        cost, _, sound = self.judge(found, edges)
        return found.pick(sound), cost[sound]

    def lines(self, piece: Piece, fine: bool = False) -> tuple[Array, Array]:
        """Normals and offsets of every line tried on a piece; ``fine``: at every step, however many."""
        return lines.candidates(piece, self.settings, self.keep_away, self.tracks, fine)

    def tried(self, piece: Piece, fine: bool = False, wells: bool = False) -> Chords:
        """Every candidate chord, whatever it comes near to.

        ``fine``: at every step, however many; ``wells``: from well to well, too.
        """
        return chords.find(piece, *self.lines(piece, fine), wells)

    def allowed(
        self, piece: Piece, fine: bool = False, edges: tuple[Beside, ...] = (), wells: bool = False
    ) -> Chords:
        """Every candidate chord that keeps away from turnouts, devices and obstacles."""
        found = self.tried(piece, fine, wells)
        if edges:
            through = junctions.through(piece, edges, piece.main_directions)
            found = found.and_(chords.find(piece, *through, wells))
        return self.clear(found) if len(found) else found

    def clear(self, found: Chords) -> Chords:
        """Those that keep away from turnouts, devices and obstacles."""
        return found.pick(~self.keep_away.breached(found.start, found.end))

    def judge(self, found: Chords, edges: tuple[Beside, ...] = ()) -> tuple[Array, Array, Truths]:
        """Cost of each chord, value of its pieces, and whether it parts anything worth having."""
        s = self.settings
        left, right = worth.sides(found, s)
        sound = self.parts(found.piece, left, right, self.no_shards)
        togo = worth.value(left, s, self.hope)
        togo = togo + np.where(right.area == 0.0, 0.0, worth.value(right, s, self.hope))
        cost = terms.total(found, self._main, s, self.keep_away, self.tracks)
        if edges:
            cost = cost + junctions.cost(found, edges, s.shortest_joint_mm or 0.0)
        return worth.settled(cost), togo, sound

    def parts(self, piece: Piece, left: Sides, right: Sides, no_shards: bool) -> Truths:
        """Does each chord leave something worth having on both sides; ``no_shards``: nothing too narrow?"""
        opens = right.area == 0.0
        sound: Truths = (left.area > worth.TINY_MM2) & (opens | (right.area > worth.TINY_MM2))
        if no_shards:
            own = float(worth.whole(piece, self.settings).narrowest[0])
            least = min(self.settings.min_length_mm, own) - FIT_MM
            sound &= (left.narrowest >= least) & (opens | (right.narrowest >= least))
        return sound

    def _unlike(
        self, found: Chords, order: np.ndarray[tuple[int], np.dtype[np.intp]], count: int
    ) -> list[int]:
        apart = 0.08 * self.settings.box_mm[0] - 1e-3
        middle = (found.start + found.end) / 2
        d = found.end - found.start
        angle = np.arctan2(d[:, 1], d[:, 0])
        picked: list[int] = []
        for i in order:
            if all(
                math.dist(middle[i], middle[j]) > apart or abs(math.sin(angle[i] - angle[j])) > 0.2
                for j in picked
            ):
                picked.append(int(i))
                if len(picked) == count:
                    break
        return picked
