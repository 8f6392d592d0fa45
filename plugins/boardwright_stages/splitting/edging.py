"""Joints drawn along the layout's edge: where it mates with the next module, or with another outline.

Claim: a drawn joint that parts no board and lies along a board's straight edge, where no joint is, makes that
stretch of the edge an end that mates with the next module. Where boards of two outlines lie on both sides of
it, it is a joint between the two, be they on one level or not.

What this does not know: which module comes next, and curved edges.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from msgspec.structs import replace

from boardwright.plan.model import DrawnJoint, Point
from boardwright_timber.model import Board, Joint

from .naming import joint_names
from .piece import rounded

ON_EDGE_MM = 1.0  # a line drawn this near an edge lies on it
SHORTEST_MM = 50.0  # a shorter stretch of an edge holds no bolt


def along_edges(
    boards: list[Board], joints: list[Joint], drawn: Iterable[DrawnJoint], reach_mm: float
) -> tuple[list[Board], list[Joint], set[str]]:
    """Boards with their ends, all joints, and the ids of the drawn ones that lie along an edge."""
    used: set[str] = set()
    ends: list[tuple[str, Point, Point]] = []
    met: list[tuple[tuple[str, str], Point, Point, float]] = []
    for joint in drawn:
        found = [
            (board, a, b)
            for board in boards
            if joint.level_mm in (None, board.level_mm)
            for a, b in _stretches(board, joint, reach_mm)
            if not _along_a_joint(board, a, b)
        ]
        if found:
            used.add(joint.id)
        for n, (board, a, b) in enumerate(found):
            faced = False
            for m, (other, c, d) in enumerate(found):
                shared = _shared((a, b), (d, c)) if other.outline != board.outline else None
                if shared is None:
                    continue
                faced = True
                if m > n:
                    met.append(_between(board, other, shared))
            if not faced:
                ends.append((board.id, a, b))
    made = list(joints)
    met.sort()
    called = joint_names([*(j.boards for j in joints), *(names for names, *_ in met)])
    for name, (names, start, end, drop) in zip(called[len(joints) :], met, strict=True):
        made.append(Joint(id=name, boards=names, start=start, end=end, drawn=True, drop_mm=drop))
    digits = max(2, len(str(len(ends))))
    own: dict[str, list[Joint]] = {}
    for k, (name, start, end) in enumerate(sorted(ends), 1):
        one = Joint(id=f"E{k:0{digits}d}", boards=(name, name), start=start, end=end, drawn=True)
        own.setdefault(name, []).append(one)
    fresh = made[len(joints) :]
    done = [
        replace(
            b,
            joints=(*b.joints, *(j for j in fresh if b.id in j.boards)),
            ends=tuple(own.get(b.id, ())),
        )
        for b in boards
    ]
    return done, made, used


def _stretches(board: Board, joint: DrawnJoint, reach_mm: float) -> Iterator[tuple[Point, Point]]:
    """Straight stretches of a board's edge along which a joint is drawn, the board on their left."""
    ring = _straightened(board.ring)
    for a, b in pairwise((*ring, ring[0])):
        length = math.dist(a, b)
        if length < SHORTEST_MM:
            continue
        ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
        places = []
        for x, y in (joint.start, joint.end):
            if abs(ux * (y - a[1]) - uy * (x - a[0])) > ON_EDGE_MM:
                break
            places.append(ux * (x - a[0]) + uy * (y - a[1]))
        else:
            low, high = max(min(places), 0.0), min(max(places), length)
            low = 0.0 if low <= reach_mm else low
            high = length if high >= length - reach_mm else high
            if high - low >= SHORTEST_MM:
                yield _at(a, ux, uy, low), _at(a, ux, uy, high)


def _along_a_joint(board: Board, a: Point, b: Point) -> bool:
    """Is a stretch of a board's edge where one of its joints is? Then a line drawn there is no end of it."""
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    near = ON_EDGE_MM + board.clear_mm
    for joint in board.joints:
        ends = [(p[0] - a[0], p[1] - a[1]) for p in (joint.start, joint.end)]
        if all(abs(ux * y - uy * x) <= near for x, y in ends):
            low, high = sorted(ux * x + uy * y for x, y in ends)
            if min(high, length) - max(low, 0.0) >= SHORTEST_MM:
                return True
    return False


def _straightened(ring: tuple[Point, ...]) -> list[Point]:
    """The ring without points that lie on a straight line between their neighbours."""
    kept = []
    for n, p in enumerate(ring):
        a, b = ring[n - 1], ring[(n + 1) % len(ring)]
        off = abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / max(math.dist(a, b), 1e-9)
        if off > 1e-3:
            kept.append(p)
    return kept or list(ring)


def _at(a: Point, ux: float, uy: float, along: float) -> Point:
    return (rounded(a[0] + along * ux), rounded(a[1] + along * uy))


def _shared(one: tuple[Point, Point], other: tuple[Point, Point]) -> tuple[Point, Point] | None:
    """What two stretches that run the same way have in common; None: nothing, or they run otherwise."""
    (a, b), (c, d) = one, other
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    if ux * (d[0] - c[0]) + uy * (d[1] - c[1]) <= 0:
        return None
    at = [ux * (p[0] - a[0]) + uy * (p[1] - a[1]) for p in (c, d)]
    low, high = max(at[0], 0.0), min(at[1], length)
    return (_at(a, ux, uy, low), _at(a, ux, uy, high)) if high - low >= SHORTEST_MM else None


def _between(
    board: Board, other: Board, shared: tuple[Point, Point]
) -> tuple[tuple[str, str], Point, Point, float]:
    """A joint of two outlines: its boards in name order, the first on its left, and how far the second lies
    below the first."""
    start, end = shared
    if board.id < other.id:
        return (board.id, other.id), start, end, rounded(board.level_mm - other.level_mm)
    return (other.id, board.id), end, start, rounded(other.level_mm - board.level_mm)
