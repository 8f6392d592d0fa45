"""The best joints from edge to edge of a piece with wells, proven: however many wells there are.

A way to part the piece is a choice of ``faces`` such that on every joint lie either two of them, one on each
side, or none, and whose areas add up to the piece's: boards that meet along joints have no other edges but
the piece's own, so together they cover each place of it equally often. The cheapest choice is a linear
program in whole numbers, a row for each joint and one for the area. A general solver solves it in two steps:

    without the whole numbers: that cost is a bound. A face whose own share of it (its reduced cost) is more
    than the best known way costs beyond the bound lies in no better way, and is left out;
    in whole numbers over what is left, mostly some hundreds of faces.

A face that does not fit by its own smallest rectangle is ruled out, and the way is found anew.

Limits: those of ``faces``; pieces with too many joints or faces, which are not proven.
"""

from __future__ import annotations

import math

import highspy
import msgspec
import numpy as np

from . import worth
from .chords import Chords, Index
from .directions import Array, Truths
from .faces import FaceList, Faces, TooManyError, wells_too_large
from .piece import FIT_MM, Piece
from .row import Row
from .settings import SplittingSettings

MOST_JOINTS = 6000
MOST_WHOLE = 60_000  # faces weighed in whole numbers
MOST_ROUNDS = 20
AREAS = 20.0  # the piece's area in the program, to keep numbers near 1
WHOLE = 1e-6  # how near to a whole number is one
OPTIONS = {"threads": 1, "random_seed": 0, "mip_rel_gap": 0.0, "mip_abs_gap": 1e-6, "mip_max_nodes": 5000}
EPS = 10.0**-worth.PLACES


class Net(msgspec.Struct, frozen=True):
    """The cheapest way; None where none costs less than was asked for."""

    row: Row | None


def best_net(found: Chords, cost: Array, settings: SplittingSettings, below: float) -> Net | None:
    """The cheapest way along the given joints that costs less than ``below``; None: not to be told."""
    if len(found.piece.rings) < 2 or not wells_too_large(found.piece, settings):
        return None
    ours = np.flatnonzero((cost < below) & (found.length <= math.hypot(*settings.box_mm) + FIT_MM))
    if not 0 < len(ours) <= MOST_JOINTS:
        return None
    faces = Faces(found.pick(ours), settings)
    try:
        every = faces.all()
    except TooManyError:
        return None
    return _Program(faces, every, cost[ours], below).best()


class _Program:
    """The faces' program; a face costs what it is worth and half of each of its joints."""

    def __init__(self, faces: Faces, every: FaceList, cost: Array, below: float) -> None:
        self.faces, self.below, self.cost = faces, below, cost
        half = np.append(np.tile(cost, 2) / 2, 0.0)  # the last one stands for no joint
        self.ways, self.area = every.ways, every.area / faces.piece.area * AREAS
        self.price = every.value + half[every.ways].sum(axis=1)

    def best(self) -> Net | None:
        """None where the solver leaves it open."""
        if not len(self.price):
            return Net(None)
        first = self._solved(whole=False)
        if first is None:
            return Net(None)
        bound = first.cost
        if bound >= self.below - EPS:
            return Net(None)
        chosen = first.chosen()
        if chosen is None:
            self._keep(first.spare < self.below - bound + EPS)
        for _ in range(MOST_ROUNDS):
            if chosen is None:
                if len(self.price) > MOST_WHOLE:
                    return None
                solved = self._solved(whole=True)
                if solved is None:
                    return Net(None)
                chosen = solved.chosen()
                if chosen is None:
                    return None
                if solved.cost >= self.below - EPS:
                    return Net(None)
            boards = [self.faces.board([w for w in self.ways[k].tolist() if w >= 0]) for k in chosen]
            bad = [k for k, b in zip(chosen.tolist(), boards, strict=True) if not self._fits(b)]
            if not bad:
                return Net(self._row(chosen, boards))
            self._keep(~np.isin(np.arange(len(self.price)), bad))
            chosen = None
        return None

    def _fits(self, board: Piece) -> bool:
        return board.box[1] > FIT_MM and worth.fits(board, self.faces.settings)

    def _keep(self, which: Truths) -> None:
        self.ways, self.area, self.price = self.ways[which], self.area[which], self.price[which]

    def _row(self, chosen: Index, boards: list[Piece]) -> Row:
        ways = np.unique(self.ways[chosen])
        joints = ways[(ways >= 0) & (ways < self.faces.count)]
        cuts = tuple(self.faces.cut(k) for k in joints.tolist())
        total = float(worth.settled(self.price[chosen].sum()))
        return Row(tuple(boards), cuts, float(self.cost[joints].sum()), total)

    def _solved(self, whole: bool) -> _Solved | None:
        """None: there is no way. Raises RuntimeError when the solver fails."""
        solver = highspy.Highs()  # type: ignore[no-untyped-call]  # it has no annotations
        solver.silent()
        for option, value in OPTIONS.items():
            solver.setOptionValue(option, value)
        solver.passModel(self._model(whole))
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status not in (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kSolutionLimit):
            raise RuntimeError(f"the solver gave up: {status}")
        solution = solver.getSolution()
        cost = float(solver.getInfo().objective_function_value)
        optimal = status == highspy.HighsModelStatus.kOptimal
        return _Solved(cost, np.array(solution.col_value), np.array(solution.col_dual), optimal)

    def _model(self, whole: bool) -> highspy.HighsLp:
        joints, faces = self.faces.count, len(self.price)
        model = highspy.HighsLp()
        model.num_row_, model.num_col_ = joints + 1, faces
        model.col_cost_, model.col_lower_, model.col_upper_ = self.price, np.zeros(faces), np.ones(faces)
        model.row_lower_ = model.row_upper_ = np.append(np.zeros(joints), AREAS)
        row = np.column_stack((np.where(self.ways < 0, -1, self.ways % joints), np.full(faces, joints)))
        value = np.column_stack((np.where(self.ways < joints, 1.0, -1.0), self.area))
        there = row >= 0
        model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        model.a_matrix_.start_ = np.concatenate(([0], np.cumsum(there.sum(axis=1))))
        model.a_matrix_.index_, model.a_matrix_.value_ = row[there], value[there]
        if whole:
            model.integrality_ = [highspy.HighsVarType.kInteger] * faces
        return model


class _Solved(msgspec.Struct, frozen=True, eq=False):
    """Cost, how much of each face is taken, what taking more of it adds to the cost; is it the best?"""

    cost: float
    taken: Array
    spare: Array
    optimal: bool

    def chosen(self) -> Index | None:
        """The faces taken; None where some are taken in part or the best is not known."""
        part = np.abs(self.taken - np.round(self.taken)).max() > WHOLE
        return None if part or not self.optimal else np.flatnonzero(self.taken > 0.5)
