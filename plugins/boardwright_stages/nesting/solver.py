"""The search: packingsolver's guillotine algorithms in several set-ups, never on a clock.

Claim: the same blanks give the same sheets on every machine: set-ups are limited by queue sizes and by how
many parts there are, not by time.

What this does not know: which answer is wanted; ``search`` only offers answers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any, Literal

import msgspec

from .piece import Area, Blank, Piece, SheetTree

type Way = Literal["tree", "knapsack", "values"]


class SetUp(msgspec.Struct, frozen=True):
    """``stages`` 0: no limit. ``queue``: how many half-made answers are kept at once.

    ``way``: search over whole answers (tree), sheet after sheet (knapsack), or sheet after sheet with the
    worth of hard blanks raised in a second round (values).
    """

    stages: int
    first: Literal["Horizontal", "Vertical", "Any"]
    queue: int
    way: Way = "tree"

    @property
    def called(self) -> str:
        return f"{self.way}, {self.stages or 'any'} stages, {self.first.lower()} first, queue {self.queue}"


class SolverError(Exception):
    """One set-up gave no answer, or one that cannot be sawn."""


def solve(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    kerf: int,
    how: SetUp,
    prices: Sequence[float] | None = None,
) -> list[SheetTree]:
    """Sheets holding every blank: fewest of the one kind given, or with ``prices`` the cheapest mix.

    Raises SolverError when this set-up gives none.
    """
    from packingsolver import rectangleguillotine as rg

    most = sum(len(b.parts) for b in blanks)
    try:
        builder = rg.InstanceBuilder()
        builder.set_objective(
            rg.Objective.BinPacking if prices is None else rg.Objective.VariableSizedBinPacking
        )
        for n, area in enumerate(areas):
            copies = most if area.quantity is None else min(area.quantity, most)
            cost = {} if prices is None else {"cost": prices[n]}
            builder.add_bin_type(area.length, area.width, copies=copies, **cost)
        builder.set_cut_thickness(kerf)
        builder.set_cut_type(rg.CutType.NonExact)
        builder.set_first_stage_orientation(getattr(rg.CutOrientation, how.first))
        if how.stages:
            builder.set_number_of_stages(how.stages)
        else:
            builder.set_number_of_stages_unlimited()
        for blank in blanks:
            builder.add_item_type(
                blank.length, blank.width, oriented=not blank.may_turn, copies=len(blank.parts)
            )
        solution = rg.optimize(builder.build(), _parameters(rg, how)).solution
    except (RuntimeError, ValueError, MemoryError) as error:  # what its C++ exceptions arrive as
        raise SolverError(str(error)) from error
    if not solution.full():
        raise SolverError("not every blank was placed")
    sheets = []
    for n in range(solution.number_of_different_bins()):
        one = solution.bin(n)
        sheets += [SheetTree(areas[one.bin_type_id].kind, _piece(one.nodes, 0))] * one.copies
    placed = Counter(p.blank for s in sheets for p in s.root.blanks())
    if any(placed[n] != len(blank.parts) for n, blank in enumerate(blanks)):
        raise SolverError("its tree does not hold every blank once")
    return sheets


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
    match how.way:
        case "tree":
            parameters.use_tree_search = True
            parameters.not_anytime_tree_search_queue_size = how.queue
        case "knapsack":
            parameters.use_sequential_single_knapsack = True
            parameters.not_anytime_sequential_single_knapsack_subproblem_tree_search_queue_size = how.queue
        case "values":
            parameters.use_sequential_value_correction = True
            parameters.sequential_value_correction_subproblem_tree_search_queue_size = how.queue
            parameters.not_anytime_sequential_value_correction_number_of_iterations = 1
    return parameters


def _piece(nodes: Sequence[Any], n: int) -> Piece:
    node = nodes[n]
    children = tuple(sorted((_piece(nodes, c) for c in node.children), key=lambda p: (p.left, p.bottom)))
    blank = node.item_type_id if node.item_type_id >= 0 and not children else None  # the root's is no item
    return Piece(node.l, node.b, node.r, node.t, children, blank)
