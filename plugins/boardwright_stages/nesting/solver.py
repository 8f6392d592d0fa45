"""The search: packingsolver's guillotine tree search, on whole lists or on one sheet, never on a clock.

Claim: the same blanks give the same sheets on every machine: set-ups are limited by queue sizes and by how
many parts there are, not by time. Its ready-made ways through several kinds of sheet are not used: their
time is erratic (measured: 1 to 114 s on lists of 60 kinds, 300 parts).

What this does not know: which answer is wanted; ``search`` only offers answers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any, Literal

import msgspec

from .piece import Area, Blank, Piece, SheetTree


class SetUp(msgspec.Struct, frozen=True):
    """``stages`` 0: no limit. ``queue``: how many half-made answers are kept at once. ``apart``: the first
    cuts stand at most so far from each other; 0: no limit."""

    stages: int
    first: Literal["Horizontal", "Vertical", "Any"]
    queue: int
    apart: int = 0

    @property
    def called(self) -> str:
        return f"{self.stages or 'any'} stages, {self.first.lower()} first, queue {self.queue}"


class SolverError(Exception):
    """One set-up gave no answer, or one that cannot be sawn."""


def solve(blanks: Sequence[Blank], area: Area, kerf: int, how: SetUp) -> list[SheetTree]:
    """Sheets of one endless kind holding every blank, as few as are found. Raises SolverError."""
    solution = _solved(blanks, area, kerf, how, sum(len(b.parts) for b in blanks))
    if not solution.full():
        raise SolverError("not every blank was placed")
    sheets = []
    for n in range(solution.number_of_different_bins()):
        one = solution.bin(n)
        sheets += [SheetTree(area.kind, _piece(one.nodes, 0))] * one.copies
    placed = Counter(p.blank for s in sheets for p in s.root.blanks())
    if any(placed[n] != len(blank.parts) for n, blank in enumerate(blanks)):
        raise SolverError("its tree does not hold every blank once")
    return sheets


def fill(blanks: Sequence[Blank], area: Area, kerf: int, how: SetUp) -> Piece:
    """One sheet with as much area of blanks on it as is found. Raises SolverError when it holds none."""
    solution = _solved(blanks, area, kerf, how, None)
    if not solution.number_of_different_bins():
        raise SolverError("nothing was placed")
    root = _piece(solution.bin(0).nodes, 0)
    placed = Counter(p.blank for p in root.blanks())
    if not placed or any(placed[n] > len(blank.parts) for n, blank in enumerate(blanks)):
        raise SolverError("its tree holds a blank too often")
    return root


def _solved(blanks: Sequence[Blank], area: Area, kerf: int, how: SetUp, copies: int | None) -> Any:
    """The solver's answer: few sheets when there are ``copies``, else one sheet that is well filled."""
    from packingsolver import rectangleguillotine as rg

    try:
        builder = rg.InstanceBuilder()
        # One kind at one price: the fewest. Asked for the fewest outright it first works out a bound of its
        # own, whose time grows with the third power of the copies: 4 s for 95.
        cheapest = rg.Objective.VariableSizedBinPacking
        builder.set_objective(rg.Objective.Knapsack if copies is None else cheapest)
        builder.add_bin_type(area.length, area.width, copies=copies or 1)
        builder.set_cut_thickness(kerf)
        builder.set_cut_type(rg.CutType.NonExact)
        builder.set_first_stage_orientation(getattr(rg.CutOrientation, how.first))
        if how.apart:
            builder.set_maximum_distance_1_cuts(how.apart)
        if how.stages:
            builder.set_number_of_stages(how.stages)
        else:
            builder.set_number_of_stages_unlimited()
        for b in blanks:
            worth = {"profit": b.length * b.width} if copies is None else {}
            builder.add_item_type(b.length, b.width, oriented=not b.may_turn, copies=len(b.parts), **worth)
        return rg.optimize(builder.build(), _parameters(rg, how)).solution
    except (RuntimeError, ValueError, MemoryError) as error:  # what its C++ exceptions arrive as
        raise SolverError(str(error)) from error


def _parameters(rg: Any, how: SetUp) -> Any:
    parameters = rg.OptimizeParameters()
    parameters.optimization_mode = rg.OptimizationMode.NotAnytimeDeterministic
    parameters.verbosity_level = 0
    parameters.messages_to_stdout = False
    # Its reductions look at all pairs of kinds and at every hundredth of a millimetre: 8 s for 300 kinds,
    # and no sheet saved on the published lists.
    reductions = rg.ReductionParameters()
    reductions.reduce = False
    parameters.reduction_parameters = reductions
    parameters.use_tree_search = True
    parameters.not_anytime_tree_search_queue_size = how.queue
    return parameters


def _piece(nodes: Sequence[Any], n: int) -> Piece:
    node = nodes[n]
    children = tuple(sorted((_piece(nodes, c) for c in node.children), key=lambda p: (p.left, p.bottom)))
    blank = node.item_type_id if node.item_type_id >= 0 and not children else None  # the root's is no item
    return Piece(node.l, node.b, node.r, node.t, children, blank)
