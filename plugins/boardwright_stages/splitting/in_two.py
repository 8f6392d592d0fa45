"""A piece cut in two along a foot first, each part solved by itself: for wide places at shelves and wells.

Glossary
    foot   a line through a corner that points inwards, along or square to a main direction

The foot of a wide place parts it from the shelf it stands on. What lies on either side is often a row, or
goes round a well, and is then solved exactly, though the whole, with joints that end on the foot, is not.

Claim: the way found is sound: the second part keeps from the ends of joints the first has on the foot. What
this does not know: feet that are not among the best few by the estimate, and joints that cross the foot.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from boardwright_timber.model import Proof

from . import chords, healing, lines, worth
from .floors import least
from .piece import Cut, Piece
from .search import Search, State
from .tracks import BREACH_BOARDS

FEET = 4  # tried
MOST_BOARDS = 24.0  # hoped for; a larger piece takes too long

type Solve = Callable[[Piece, tuple[Cut, ...]], State]


def best_in_two(piece: Piece, search: Search, below: float, solve: Solve) -> State | None:
    """The cheapest way with a foot cut first, if it costs less than ``below``; None: there is none."""
    if search.hoped(piece) > MOST_BOARDS:
        return None
    normals, offsets = lines.structure(piece)
    found = chords.find(piece, normals, offsets) if len(offsets) else None
    found = search.clear(found) if found is not None and len(found) else None
    if found is None or not len(found):
        return None
    left, right = worth.sides(found, search.settings)
    edges = search.beside(piece, search.before)
    cost, togo, _ = search.judge(found, edges)
    apart = (right.area > worth.TINY_MM2) & search.parts(piece, left, right, no_shards=True)
    floor = cost + least(left, search.settings) + least(right, search.settings)
    best: State | None = None
    for k in np.argsort(np.where(apart, cost + togo, np.inf), kind="stable")[:FEET]:
        if not apart[k] or cost[k] >= BREACH_BOARDS or floor[k] >= below:
            continue
        made = _in_two(piece, *piece.cut(*found.nodes(int(k))), float(cost[k]), search, solve)
        if made is not None and made.total < below:
            best, below = made, made.total
    return best


def _in_two(
    piece: Piece, parts: tuple[Piece, ...], cut: Cut, cost: float, search: Search, solve: Solve
) -> State | None:
    if len(parts) != 2 or not all(healing.sound(p) for p in parts):
        return None
    one = solve(parts[0], (*search.before, cut))
    if one.stuck:
        return None
    other = solve(parts[1], (*search.before, cut, *one.cuts))
    if other.stuck:
        return None
    return State(
        done=(*one.done, *other.done),
        open=(),
        stuck=(),
        cuts=(cut, *one.cuts, *other.cuts),
        spent=cost + one.spent + other.spent,
        total=cost + one.total + other.total,
        proof=Proof.NONE,
    )
