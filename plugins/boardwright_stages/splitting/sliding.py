"""Sliding single joints: of a way not proven, each joint moves to the best place between its two boards.

Claim: every step makes the way cheaper, and every way stays as sound as it was; what comes out has no joint
that would cost less elsewhere between its two boards, all others staying where they are (as ``places`` tells
it). What this does not know: moving two joints at once, and joints on which others end.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec.structs import replace

from . import junctions, worth
from .piece import Cut, Piece
from .places import chord_of, together
from .seams import seams
from .search import Search, State
from .tracks import BREACH_BOARDS

LEAST_GAIN = 1e-4  # boards
MOST_STEPS = 60
SAME_MM = 0.01


def slid(state: State, search: Search) -> State:
    """The way with every joint at its best place, one after the other until none moves."""
    if state.stuck or state.open or any(p.doubled for p in state.done):
        return state
    for _ in range(MOST_STEPS):
        better = _step(state, search)
        if better is None:
            return state
        state = better
    return state


def _step(state: State, search: Search) -> State | None:
    """The first joint, in the order of the cuts, that is cheaper elsewhere, moved to its best place."""
    pieces = list(state.done)
    for seam in seams(pieces, list(state.cuts)):
        at = next((k for k, c in enumerate(state.cuts) if _is(c, seam.start, seam.end)), None)
        if at is None:
            continue  # others end on it
        better = _moved(state, at, (seam.left, seam.right), search)
        if better is not None:
            return better
    return None


def _moved(state: State, at: int, sides: tuple[int, int], search: Search) -> State | None:
    own = state.cuts[at]
    both = together((state.done[sides[0]], state.done[sides[1]]))
    here = chord_of(own.start, own.end, both) if both is not None else None
    if both is None or here is None:
        return None
    others = (*state.cuts[:at], *state.cuts[at + 1 :])
    edges = search.beside(both, others)
    found = search.allowed(both, edges=edges)
    if not len(found):
        return None
    left, right = worth.sides(found, search.settings)
    whole = search.parts(both, left, right, no_shards=True)
    found = found.pick(left.fits & right.fits & whole)
    if not len(found):
        return None
    cost, togo, _ = search.judge(found, edges)
    cost_here, togo_here, _ = search.judge(here, edges)
    gain = worth.settled(cost_here + togo_here)[0] - worth.settled(cost + togo)
    for k in np.argsort(-gain, kind="stable"):
        if gain[k] < LEAST_GAIN or cost[k] >= max(BREACH_BOARDS, cost_here[0]):
            return None
        new, cut = both.cut(*found.nodes(int(k)))
        if all(worth.fits(p, search.settings) for p in new) and len(new) == 2:
            return _with(state, at, sides, new, cut, float(gain[k]), search)
    return None


def _with(
    state: State,
    at: int,
    sides: tuple[int, int],
    new: tuple[Piece, ...],
    cut: Cut,
    gain: float,
    search: Search,
) -> State | None:
    cuts = (*state.cuts[:at], cut, *state.cuts[at + 1 :])
    shortest = search.settings.shortest_joint_mm or 0.0
    was, now = (junctions.cost_of(c, search.before, shortest) for c in (state.cuts, cuts))
    if now > was:
        return None
    done = tuple(p for k, p in enumerate(state.done) if k not in sides)
    return replace(state, done=(*done, *new), cuts=cuts, total=state.total - gain)


def _is(cut: Cut, start: tuple[float, float], end: tuple[float, float]) -> bool:
    return any(
        math.dist(cut.start, a) < SAME_MM and math.dist(cut.end, b) < SAME_MM
        for a, b in ((start, end), (end, start))
    )
