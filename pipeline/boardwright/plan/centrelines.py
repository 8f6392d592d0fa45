"""Assembles continuous track centrelines from loose pieces, and finds where tracks part.

Glossary
    piece     one drawn line, arc, spline or polyline, flattened
    node      where ends of pieces meet: ends no farther apart than the gap
    outward   direction of a piece as it leaves a node, radians
    kink      angle between one piece's direction and the next one's; 0 runs straight on
    leg       the run of track that leaves a node by one end

Tangents decide: of the ends at a node those that run on most smoothly are joined, two and two, and what kinks
by more than ``MOST_KINK_DEG`` is not joined at all. An end in the middle of another piece parts that piece.

Lines that cross go on as they were, whether or not they were parted at the crossing (``crossings``).

What this does not know: roles.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise
from typing import Any

import msgspec

from . import crossings, rings
from .crossings import Crossing
from .model import Point

MOST_KINK_DEG = 25.0
"""Rails that turn more sharply than this in one place are no track. Common practice, no source."""

MOST_ENDS = 12
"""More ends than this in one place are a sketch or a pattern, no trackwork: nothing is joined there."""
MOST_NEIGHBOURS = 40
"""On average. Denser pieces are hatching, not track."""

MOST_PARTINGS = 2_000
"""More places than this where track parts are no layout's. Common practice, no source."""

PORTION = 500
BIT_MM, MOST_BITS = 250.0, 32
MOST_PIECES = 10_000

type End = tuple[int, int]
"""(number of the piece, 0 for its start or -1 for its end)"""


class TooDenseError(Exception):
    """The pieces are so many, or lie so thick, that they cannot be track."""


class Line(msgspec.Struct, frozen=True):
    """One continuous centreline. ``members`` are positions in the pieces given, in order along it."""

    points: tuple[Point, ...]
    members: tuple[int, ...]


class Parting(msgspec.Struct, frozen=True):
    """A node where three ends or more meet and some leave nearly side by side. ``member``: a piece."""

    at: Point
    legs: tuple[tuple[Point, ...], ...]
    member: int


class Centrelines(msgspec.Struct, frozen=True, kw_only=True):
    """``gaps``: (where, width) of each gap closed; ``doubles``: pieces drawn twice, of which one is used.

    ``crossings`` are between lines.
    """

    lines: tuple[Line, ...] = ()
    partings: tuple[Parting, ...] = ()
    gaps: tuple[tuple[Point, float], ...] = ()
    doubles: tuple[int, ...] = ()
    crossings: tuple[Crossing, ...] = ()


def assemble(pieces: Sequence[Sequence[Point]], gap_mm: float, leg_mm: float) -> Centrelines:
    """Join pieces end to end across gaps up to ``gap_mm``. Legs are followed ``leg_mm`` from each parting.

    Raises TooDenseError when the pieces lie too thick to be track.
    """
    if len(pieces) > MOST_PIECES:
        raise TooDenseError
    seen: dict[tuple[Point, ...], int] = {}
    doubles, runs, owners = [], [], []
    for i, piece in enumerate(pieces):
        run = rings.run(piece)
        if len(run) < 2:
            continue
        if min(run, run[::-1]) in seen:
            doubles.append(i)
            continue
        seen[min(run, run[::-1])] = i
        runs.append(run)
        owners.append(i)
    runs, owners = _part(runs, owners, max(gap_mm, 1e-6))
    net = _Net(runs, max(gap_mm, 1e-6))
    lines = tuple(
        Line(points, tuple(dict.fromkeys(owners[k] for k in members))) for points, members in net.walk()
    )
    partings = tuple(Parting(at, legs, owners[k]) for at, legs, k in net.partings(leg_mm))
    crossing = crossings.find([line.points for line in lines], max(gap_mm, 1e-6), leg_mm)
    if crossing is None:
        raise TooDenseError
    return Centrelines(
        lines=lines,
        partings=partings,
        gaps=net.gaps(),
        doubles=tuple(doubles),
        crossings=tuple(crossing),
    )


def outward(run: Sequence[Point]) -> float:
    """Direction at the start of a run, of the arc its first two pieces lie on if they turn gently."""
    (ax, ay), (bx, by) = run[0], run[1]
    first = math.atan2(by - ay, bx - ax)
    if len(run) < 3:
        return first
    cx, cy = run[2]
    turn = _turn(first, math.atan2(cy - by, cx - bx))
    one, two = math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by)
    return first - turn * one / (one + two) if abs(turn) < math.radians(15) else first


def _turn(a: float, b: float) -> float:
    return (b - a + math.pi) % (2 * math.pi) - math.pi


def _part(
    runs: list[tuple[Point, ...]], owners: list[int], gap: float
) -> tuple[list[tuple[Point, ...]], list[int]]:
    """Part runs where an end of another lies on them away from their own ends."""
    import shapely

    if not runs:
        return runs, owners
    shapes = _shapes(runs)
    ends = shapely.points([r[e] for r in runs for e in (0, -1)])
    at_end, on_run = _ends_on(runs, ends, gap)
    places = shapely.line_locate_point(shapes[on_run], ends[at_end])
    lengths = shapely.length(shapes)
    cuts: dict[int, set[float]] = {}
    for e, k, along in zip(at_end, on_run, places.tolist(), strict=True):
        if e // 2 != k and gap < along < lengths[k] - gap:
            cuts.setdefault(k, set()).add(round(along, 6))
    if sum(map(len, cuts.values())) > 2 * MOST_PARTINGS:
        raise TooDenseError
    parted, whose = [], []
    for k, run in enumerate(runs):
        bits = _cut(run, sorted(cuts.get(k, ())), gap)
        parted += bits
        whose += [owners[k]] * len(bits)
    return parted, whose


def _shapes(runs: Sequence[Sequence[Point]]) -> Any:
    import shapely

    whose_point = [k for k, r in enumerate(runs) for _ in r]
    return shapely.linestrings([p for r in runs for p in r], indices=whose_point)


def _ends_on(runs: Sequence[tuple[Point, ...]], ends: Any, gap: float) -> tuple[list[int], list[int]]:
    """Every (end, run) no farther apart than the gap. Long lines in bits: their boxes hold much else."""
    bits: list[Sequence[Point]] = []
    whose: list[int] = []
    for k, run in enumerate(runs):
        count = min(MOST_BITS, math.ceil(math.dist(run[0], run[1]) / BIT_MM)) if len(run) == 2 else 1
        (ax, ay), (bx, by) = run[0], run[-1]
        spots = [(ax + (bx - ax) * n / count, ay + (by - ay) * n / count) for n in range(count + 1)]
        bits += list(pairwise(spots)) if count > 1 else [run]
        whose += [k] * count
    at_end, on_bit = _beside(_shapes(bits), ends, gap)
    pairs = sorted({(e, whose[b]) for e, b in zip(at_end, on_bit, strict=True)})
    return [e for e, _ in pairs], [k for _, k in pairs]


def _beside(shapes: Any, points: Any, gap: float) -> tuple[list[int], list[int]]:
    """Every (point, shape) no farther apart than the gap, asked in portions to spare memory."""
    import shapely

    tree, which, there, most = shapely.STRtree(shapes), [], [], MOST_NEIGHBOURS * len(points)
    for start in range(0, len(points), PORTION):
        found = tree.query(points[start : start + PORTION], predicate="dwithin", distance=gap)
        which += (found[0] + start).tolist()
        there += found[1].tolist()
        if len(which) > most:
            raise TooDenseError
    return which, there


def _cut(run: tuple[Point, ...], places: Sequence[float], gap: float) -> list[tuple[Point, ...]]:
    """A run parted at distances along it; places nearer together than the gap are one."""
    bits, bit, done, left = [], [run[0]], 0.0, list(places)
    for a, b in pairwise(run):
        step = math.dist(a, b)
        while left and left[0] <= done + step:
            t = (left.pop(0) - done) / step
            at = rings.snap(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            if math.dist(bit[0], at) > gap or len(bit) > 2:
                bits.append((*bit, at) if bit[-1] != at else tuple(bit))
                bit = [at]
        done += step
        if bit[-1] != b:
            bit.append(b)
    return [b for b in (*bits, tuple(bit)) if len(b) > 1]


class _Net:
    """Pieces, the nodes their ends meet in, and which end runs on into which."""

    def __init__(self, runs: Sequence[tuple[Point, ...]], gap: float) -> None:
        self.runs = runs
        self.nodes = _nodes(runs, gap)
        self.node_of = {end: n for n, ends in enumerate(self.nodes) for end in ends}
        self.spot = [_middle([runs[i][e] for i, e in ends]) for ends in self.nodes]
        self.way = {end: outward(self._run(end)) for end in self.node_of}
        self.next: dict[End, End] = {}
        for ends in self.nodes:
            if len(ends) > MOST_ENDS:
                continue
            kinks = sorted((self._kink(a, b), a, b) for a, b in combinations(ends, 2))
            for kink, a, b in kinks:
                if kink <= math.radians(MOST_KINK_DEG) and a not in self.next and b not in self.next:
                    self.next[a], self.next[b] = b, a

    def _run(self, end: End) -> tuple[Point, ...]:
        """The piece as it leaves by this end."""
        run = self.runs[end[0]]
        return run if end[1] == 0 else run[::-1]

    def _kink(self, a: End, b: End) -> float:
        return math.pi - abs(_turn(self.way[a], self.way[b]))

    def gaps(self) -> tuple[tuple[Point, float], ...]:
        found = []
        for a, b in self.next.items():
            width = math.dist(self._run(a)[0], self._run(b)[0])
            if a < b and width > 1e-3:
                found.append((self.spot[self.node_of[a]], width))
        return tuple(sorted(found))

    def walk(self) -> list[tuple[tuple[Point, ...], list[int]]]:
        """Every line once: open ones from each end that runs on into nothing, then rings."""
        lines, used = [], set()
        ends = [(i, e) for i in range(len(self.runs)) for e in (0, -1)]
        for start in [*(e for e in ends if e not in self.next), *ends]:
            if start[0] in used:
                continue
            points, members, end = [self.spot[self.node_of[start]]], [], start
            while end[0] not in used:
                used.add(end[0])
                members.append(end[0])
                far = (end[0], -1 - end[1])
                points += [*self._run(end)[1:-1], self.spot[self.node_of[far]]]
                if far not in self.next:
                    break
                end = self.next[far]
            lines.append((rings.run(points), members))
        return [(points, members) for points, members in lines if len(points) > 1]

    def leg(self, end: End, length_mm: float) -> tuple[Point, ...]:
        """The track that leaves by this end, as far as it runs on, up to a length."""
        points, left, used = [self.spot[self.node_of[end]]], length_mm, set()
        while end[0] not in used and left > 0:
            used.add(end[0])
            for a, b in pairwise(self._run(end)):
                step = math.dist(a, b)
                if step >= left:
                    points.append((a[0] + (b[0] - a[0]) * left / step, a[1] + (b[1] - a[1]) * left / step))
                    return tuple(points)
                points.append(b)
                left -= step
            far = (end[0], -1 - end[1])
            if far not in self.next:
                break
            end = self.next[far]
        return tuple(points)

    def partings(self, leg_mm: float) -> list[tuple[Point, tuple[tuple[Point, ...], ...], int]]:
        """Raises TooDenseError when there are more than any layout has turnouts."""
        narrow = [(n, ends) for n, ends in enumerate(self.nodes) if self._parts(ends)]
        if len(narrow) > MOST_PARTINGS:
            raise TooDenseError
        found = [(self.spot[n], tuple(self.leg(e, leg_mm) for e in ends), ends[0][0]) for n, ends in narrow]
        return sorted(found)

    def _parts(self, ends: Sequence[End]) -> bool:
        """Whether track parts at a node of these ends: three or more, one runs on, two leave side by side."""
        if not 3 <= len(ends) <= MOST_ENDS or not any(e in self.next for e in ends):
            return False
        least = math.radians(2 * MOST_KINK_DEG)
        return any(math.pi - self._kink(a, b) < least for a, b in combinations(ends, 2))


def _nodes(runs: Sequence[tuple[Point, ...]], gap: float) -> list[list[End]]:
    """Ends grouped by nearness, the nearest first, so that a wide gap does not swallow a short piece."""
    import shapely

    ends: list[End] = [(i, e) for i in range(len(runs)) for e in (0, -1)]
    spots = [runs[i][e] for i, e in ends]
    root = list(range(len(ends)))

    def find(k: int) -> int:
        while root[k] != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    if spots:
        points = shapely.points(spots)
        near = zip(*_beside(points, points, gap), strict=True)
        pairs = [(math.dist(spots[a], spots[b]), a, b) for a, b in near if a < b]
        groups: dict[int, set[int]] = {k: {ends[k][0]} for k in root}
        for apart, a, b in sorted(pairs):
            ra, rb = sorted((find(a), find(b)))
            if ra == rb or (apart > 1e-6 and groups[ra] & groups[rb]):
                continue
            root[rb] = ra
            groups[ra] |= groups.pop(rb)
    grouped: dict[int, list[End]] = {}
    for k, end in enumerate(ends):
        grouped.setdefault(find(k), []).append(end)
    return list(grouped.values())


def _middle(points: Sequence[Point]) -> Point:
    return rings.snap(sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points))


def as_drawn(pieces: Sequence[Sequence[Point]]) -> Centrelines:
    """Every piece a line of its own."""
    runs = [(rings.run(piece), i) for i, piece in enumerate(pieces)]
    return Centrelines(lines=tuple(Line(run, (i,)) for run, i in runs if len(run) > 1))
