"""The search: packingsolver's tree search for guillotine cuts, in several set-ups, never on a clock.

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


class SetUp(msgspec.Struct, frozen=True):
    """``stages`` 0: no limit. ``queue``: how many half-made answers are kept at once."""

    stages: int
    first: Literal["Horizontal", "Vertical", "Any"]
    queue: int


class SolverError(Exception):
    """One set-up gave no answer, or one that cannot be sawn."""


def solve(blanks: Sequence[Blank], area: Area, kerf: int, how: SetUp) -> list[SheetTree]:
    """Sheets of one kind holding every blank. Raises SolverError when this set-up gives none."""
    from packingsolver import rectangleguillotine as rg

    try:
        builder = rg.InstanceBuilder()
        builder.set_objective(rg.Objective.BinPacking)
        builder.add_bin_type(area.length, area.width, copies=sum(len(b.parts) for b in blanks))
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
        parameters = rg.OptimizeParameters()
        parameters.optimization_mode = rg.OptimizationMode.NotAnytimeDeterministic
        parameters.use_tree_search = True
        parameters.not_anytime_tree_search_queue_size = how.queue
        parameters.verbosity_level = 0
        parameters.messages_to_stdout = False
        solution = rg.optimize(builder.build(), parameters).solution
    except (RuntimeError, ValueError, MemoryError) as error:  # what its C++ exceptions arrive as
        raise SolverError(str(error)) from error
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


def _piece(nodes: Sequence[Any], n: int) -> Piece:
    node = nodes[n]
    children = tuple(sorted((_piece(nodes, c) for c in node.children), key=lambda p: (p.left, p.bottom)))
    blank = node.item_type_id if node.item_type_id >= 0 and not children else None  # the root's is no item
    return Piece(node.l, node.b, node.r, node.t, children, blank)
