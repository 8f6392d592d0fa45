"""The edge of a board in stretches: from corner to corner, broken where a joint lies on it.

Glossary
    stretch   a run of edge without a corner and without a joint, the board on its left; it may be curved
    corner    where the edge turns by more than CORNER_DEG at once
    closed    a stretch all round (a round board or well)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import (
    line_through,
    lower_left_first,
    oriented,
    path_length,
    snap_point,
    without_repeats,
)
from boardwright_timber.model import Board

from ..framing.edges import ON_JOINT_MM, SMOOTH_DEG, Traced, trace

CORNER_DEG = SMOOTH_DEG
IN_LINE_DEG = 0.01  # no bend at all
NEAR_END_MM = 0.5


class End(NamedTuple):
    """Where a stretch ends: at a joint (``turn_deg`` unset), or at a corner before or after another stretch
    of the same board."""

    turn_deg: float | None
    beside: int | None


class Stretch(NamedTuple):
    board: str
    well: bool
    path: tuple[Point, ...]
    before: End
    after: End
    closed: bool = False

    @property
    def length_mm(self) -> float:
        return path_length(self.path)

    @property
    def is_straight(self) -> bool:
        return len(self.path) == 2


def stretches(board: Board) -> list[Stretch]:
    """Of the outer edge from its lower left corner on, then of each well."""
    lines = [tuple(map(board.to_local, board.face(j))) for j in (*board.joints, *board.ends)]
    joints = [(a, b) for a, b in lines]
    found: list[Stretch] = []
    for n, ring in enumerate((board.ring, *board.wells)):
        points = without_repeats(snap_point(board.to_local(p)) for p in ring)
        edge = lower_left_first(oriented(points, anticlockwise=n == 0))
        on = joints if n == 0 else []
        found += _of(board.id, trace(_with_ends(edge, on), tuple(on)), n > 0, len(found))
    return found


def _with_ends(ring: Ring, joints: Sequence[tuple[Point, Point]]) -> Ring:
    """The ring with a point where a joint ends amid one of its pieces."""
    found: list[Point] = []
    for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
        line, long = line_through(a, b), math.dist(a, b)
        along = sorted(line.along(p) for joint in joints for p in joint if abs(line.left(p)) <= ON_JOINT_MM)
        found.append(a)
        found += [snap_point(line.at(s)) for s in along if NEAR_END_MM < s < long - NEAR_END_MM]
    return without_repeats(found)


def _of(board: str, traced: Traced, well: bool, first: int) -> list[Stretch]:
    n = len(traced.ring)
    on = [covered > 0 for covered in traced.on_joint]
    starts = [k for k in range(n) if on[k] != on[k - 1] or (not on[k] and abs(traced.turns[k]) > CORNER_DEG)]
    if not starts:
        if all(on):
            return []
        (ax, ay), (bx, by) = traced.ring[:2]
        middle = snap_point(((ax + bx) / 2, (ay + by) / 2))
        path = _bare((middle, *traced.ring[1:], traced.ring[0], middle))
        return [Stretch(board, well, path, End(None, None), End(None, None), closed=True)]
    spans = [(k, last) for k, last in zip(starts, [*starts[1:], starts[0] + n], strict=True) if not on[k]]
    begun = {k: first + m for m, (k, _) in enumerate(spans)}
    ended = {last % n: first + m for m, (_, last) in enumerate(spans)}
    return [
        Stretch(
            board,
            well,
            _bare(tuple(traced.ring[k % n] for k in range(begin, last + 1))),
            _end(traced, begin, ended),
            _end(traced, last % n, begun),
        )
        for begin, last in spans
    ]


def _end(traced: Traced, at: int, beside: dict[int, int]) -> End:
    other = beside.get(at)
    return End(None, None) if other is None else End(traced.turns[at], other)


def _bare(path: tuple[Point, ...]) -> tuple[Point, ...]:
    """Without points at which it does not bend."""
    kept = [path[0]]
    for p, after in pairwise(path[1:]):
        turn = line_through(kept[-1], p).turn_to(line_through(p, after))
        if abs(turn) > IN_LINE_DEG:
            kept.append(p)
    return (*kept, path[-1])
