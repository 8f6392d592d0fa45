"""Assembles closed rings from loose pieces whose ends nearly meet.

Glossary
    piece    an open run of points: one line, arc, spline or open polyline
    node     the place where ends of pieces meet: ends no farther apart than the gap tolerance
    loose    a chain that does not close

What this does not know: what the rings are for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import msgspec

from .model import Point

EXACT_MM = 1e-6
"""What is no farther apart is one point."""


class Chain(msgspec.Struct, frozen=True):
    """A run of pieces joined end to end. ``members`` are positions in the pieces given."""

    points: tuple[Point, ...]
    members: tuple[int, ...]


class Assembled(msgspec.Struct, frozen=True, kw_only=True):
    """``gaps`` are (where, width) of every gap closed; ``doubles`` pieces drawn twice; ``branches`` nodes
    where more than two pieces meet."""

    rings: tuple[Chain, ...] = ()
    loose: tuple[Chain, ...] = ()
    gaps: tuple[tuple[Point, float], ...] = ()
    doubles: tuple[int, ...] = ()
    branches: tuple[Point, ...] = ()


def assemble(pieces: Sequence[Sequence[Point]], gap_mm: float) -> Assembled:
    """Join pieces into rings. Ends up to ``gap_mm`` apart meet, at the middle of them; a piece without length
    is none."""
    doubles = _doubles(pieces, gap_mm)
    kept = [i for i, p in enumerate(pieces) if i not in doubles and _length(p) > EXACT_MM]
    ends = [(pieces[i][e], (i, e)) for i in kept for e in (0, -1)]
    node_of = _nodes(ends, gap_mm)
    members: dict[int, list[tuple[int, int]]] = {}
    for end, node in node_of.items():
        members.setdefault(node, []).append(end)
    spot = {n: _middle([pieces[i][e] for i, e in m]) for n, m in members.items()}
    branches = tuple(sorted(spot[n] for n, m in members.items() if len(m) > 2))
    gaps = []
    for n, m in sorted(members.items()):
        width = max(math.dist(pieces[i][e], pieces[j][f]) for i, e in m for j, f in m)
        if width > 1e-6 and len(m) == 2:
            gaps.append((spot[n], width))
    rings, loose = _walk(kept, pieces, node_of, members, spot)
    return Assembled(
        rings=tuple(rings),
        loose=tuple(loose),
        gaps=tuple(gaps),
        doubles=tuple(sorted(doubles)),
        branches=branches,
    )


def _middle(points: list[Point]) -> Point:
    if len(set(points)) == 1:
        return points[0]
    return (sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points))


def _doubles(pieces: Sequence[Sequence[Point]], gap: float) -> set[int]:
    """Pieces that lie on an earlier one: same ends, same length, same middle."""
    tolerance = max(gap, 1e-6)
    found: set[int] = set()
    seen: dict[tuple[int, int], list[int]] = {}
    for i, piece in enumerate(pieces):
        middle = _half_way(piece)
        cell = (math.floor(middle[0] / tolerance), math.floor(middle[1] / tolerance))
        near = [j for x in (-1, 0, 1) for y in (-1, 0, 1) for j in seen.get((cell[0] + x, cell[1] + y), ())]
        if any(_same(piece, pieces[j], middle, _half_way(pieces[j]), tolerance) for j in near):
            found.add(i)
        else:
            seen.setdefault(cell, []).append(i)
    return found


def _same(a: Sequence[Point], b: Sequence[Point], am: Point, bm: Point, tolerance: float) -> bool:
    if math.dist(am, bm) > tolerance or _length(a) <= 2 * tolerance:
        return False
    return any(
        math.dist(a[0], b[e]) <= tolerance and math.dist(a[-1], b[-1 - e]) <= tolerance for e in (0, -1)
    )


def _length(piece: Sequence[Point]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(piece))


def _half_way(piece: Sequence[Point]) -> Point:
    left = _length(piece) / 2
    for a, b in pairwise(piece):
        step = math.dist(a, b)
        if step >= left > 0:
            t = left / step
            return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
        left -= step
    return piece[0]


def _nodes(ends: list[tuple[Point, tuple[int, int]]], gap: float) -> dict[tuple[int, int], int]:
    """Group ends, the nearest two first, so that a wide tolerance does not swallow a short piece."""
    tolerance = max(gap, 1e-6)
    grid: dict[tuple[int, int], list[int]] = {}
    pairs = []
    for k, (p, _) in enumerate(ends):
        cell = (math.floor(p[0] / tolerance), math.floor(p[1] / tolerance))
        for x in (-1, 0, 1):
            for y in (-1, 0, 1):
                for j in grid.get((cell[0] + x, cell[1] + y), ()):
                    apart = math.dist(p, ends[j][0])
                    if apart <= tolerance and ends[j][1][0] != ends[k][1][0]:
                        pairs.append((apart, j, k))
        grid.setdefault(cell, []).append(k)
    root = list(range(len(ends)))
    size = [1] * len(ends)

    def find(k: int) -> int:
        while root[k] != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    for apart, j, k in sorted(pairs):
        a, b = sorted((find(j), find(k)))
        if a == b or (apart > EXACT_MM and (size[a] > 1 or size[b] > 1)):
            continue
        root[b] = a
        size[a] += size[b]
    return {end: find(k) for k, (_, end) in enumerate(ends)}


def _walk(
    kept: list[int],
    pieces: Sequence[Sequence[Point]],
    node_of: dict[tuple[int, int], int],
    members: dict[int, list[tuple[int, int]]],
    spot: dict[int, Point],
) -> tuple[list[Chain], list[Chain]]:
    rings: list[Chain] = []
    loose: list[Chain] = []
    left = set(kept)
    starts = [end for _, m in sorted(members.items()) if len(m) != 2 for end in m]
    for start in [*starts, *((i, 0) for i in kept)]:
        if start[0] not in left:
            continue
        first = node_of[start]
        points: list[Point] = [spot[first]]
        used: list[int] = []
        piece, end = start
        while True:
            left.discard(piece)
            used.append(piece)
            far = -1 if end == 0 else 0
            inner = pieces[piece][1:-1]
            points.extend(inner if end == 0 else reversed(inner))
            node = node_of[(piece, far)]
            points.append(spot[node])
            onward = [e for e in members[node] if e != (piece, far)]
            if node == first or len(members[node]) != 2 or onward[0][0] not in left:
                break
            piece, end = onward[0]
        closed = node == first and len(members[first]) == 2
        chain = Chain(tuple(points[:-1] if closed else points), tuple(used))
        (rings if closed else loose).append(chain)
    return rings, loose
