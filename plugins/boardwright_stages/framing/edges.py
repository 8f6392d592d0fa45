"""From a deck's ring to the fewest straight lines a frame can follow.

Claim: every stretch of the ring is given to exactly one straight edge, whose line lies on the deck's side of
all of that stretch and no further from any of it than the overhang allowed; among all ways to do so the
fewest edges too short for a member are taken, then the fewest edges, then the least overhanging area.

Glossary
    ring      points with the deck on the left of travel: outlines anticlockwise, wells clockwise
    long      a straight piece of ring that is no part of a curve: at least LONG_MM, or on a joint
    edge      a line of the frame and the stretch of ring, from vertex ``first`` to vertex ``last``, it serves
    spread    how far the stretch reaches across its line: the overhang

An edge that holds a long piece keeps its direction, and gives way (is moved inwards) only to a neighbour
too short for a member (a notch, a chamfer, a rounded corner), or by GIVE_MM to a curve that runs into it. An
edge with a joint on it stays where it is.

What this does not know: what happens at corners. Lines that meet badly are found by ``outline``.
"""

from __future__ import annotations

import itertools
import math

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import Line, line_through, meet

LONG_MM = 200.0  # longer pieces are straight edges, not steps of a curve
SMOOTH_DEG = 15.0  # a curve drawn in steps turns by less than this at each
STRAIGHT_MM = 0.5  # a straight edge may be bowed by this much, as drawn
GIVE_MM = 5.0  # less than half a usual member: not worth a member of its own
EXACT_MM = 0.01  # a member on a joint stands on it to within this
ON_JOINT_MM = 0.05  # a piece of ring this near a joint's line lies on it
CANDIDATE_MM = 20.0  # corners of a frame on a curve are tried at this distance
PARALLEL_SINE = 1e-3


class Edge(msgspec.Struct, frozen=True):
    """``on_joint_mm``: how much of it joints cover. ``cost``: too short (1 or 0), 1, overhang × length."""

    line: Line
    first: int
    last: int
    spread_mm: float
    on_joint_mm: float
    cost: tuple[int, int, float]


type Way = tuple[tuple[int, int, float], list[Edge]]  # cost so far, edges so far


class Limits(msgspec.Struct, frozen=True):
    """What an outline must keep: the deck's overhang over it, and the least length of a member."""

    overhang_mm: float
    shortest_mm: float


class Traced(msgspec.Struct, frozen=True):
    """A ring with what its pieces are: piece k runs from vertex k to vertex k + 1."""

    ring: Ring
    lengths: tuple[float, ...]
    on_joint: tuple[float, ...]
    turns: tuple[float, ...]

    def long(self, k: int) -> bool:
        return self.lengths[k] >= LONG_MM or self.on_joint[k] > 0

    def sharp(self, k: int) -> bool:
        """Is vertex k a corner or the end of a long piece, not a bend of a curve?"""
        return abs(self.turns[k]) > SMOOTH_DEG or self.long(k) or self.long(k - 1)

    def breaks(self, apart_mm: float) -> list[int]:
        """Vertices where an edge may begin: sharp ones, and between them equal parts of about ``apart_mm``.

        Every curve is parted in its middle, so that the straight edges beside a rounded corner can share it.
        """
        n = len(self.ring)
        sharp = [k for k in range(n) if self.sharp(k)] or [0]
        found: set[int] = set(sharp)
        for first, last in zip(sharp, [*sharp[1:], sharp[0] + n], strict=True):
            run = [k % n for k in range(first, last)]
            passed = list(itertools.accumulate(self.lengths[k] for k in run))
            parts = 2 * max(1, math.ceil(passed[-1] / apart_mm / 2))
            inner = list(zip(run[1:], passed, strict=False))
            for part in range(1, parts if inner else 0):
                wanted = passed[-1] * part / parts
                found.add(min(inner, key=lambda kp: (abs(kp[1] - wanted), kp[0]))[0])
        return sorted(found) if len(found) >= 3 else list(range(n))


def trace(ring: Ring, joints: tuple[tuple[Point, Point], ...] = ()) -> Traced:
    """What the pieces of a ring are. ``joints`` are in the ring's own coordinates."""
    n = len(ring)
    pieces = [line_through(ring[k], ring[(k + 1) % n]) for k in range(n)]
    return Traced(
        ring=ring,
        lengths=tuple(math.dist(ring[k], ring[(k + 1) % n]) for k in range(n)),
        on_joint=tuple(sum(_covered(j, ring[k], ring[(k + 1) % n]) for j in joints) for k in range(n)),
        turns=tuple(pieces[k - 1].turn_to(pieces[k]) for k in range(n)),
    )


def _covered(joint: tuple[Point, Point], a: Point, b: Point) -> float:
    """Length of the piece a–b that lies on a joint."""
    line = line_through(*joint)
    if max(abs(line.left(a)), abs(line.left(b))) > ON_JOINT_MM:
        return 0.0
    low, high = sorted((line.along(a), line.along(b)))
    covered = min(high, math.dist(*joint)) - max(low, 0.0)
    return covered if covered > 1.0 else 0.0


def edge_over(traced: Traced, first: int, count: int, overhang_mm: float, shortest_mm: float) -> Edge | None:
    """The one edge that serves ``count`` pieces from vertex ``first`` on; None: no single edge can."""
    ring, n = traced.ring, len(traced.ring)
    points = [ring[(first + i) % n] for i in range(count + 1)]
    pieces = [(first + i) % n for i in range(count)]
    held = [i for i, k in enumerate(pieces) if traced.long(k)]
    line = _line_of(traced, points, pieces, held)
    if line is None:
        return None
    if count > 1 and not _may_skip(traced, pieces, shortest_mm, overhang_mm):
        return None
    across = [line.left(p) for p in points]
    low, high = min(across), max(across)
    if high - low > max(overhang_mm, 1e-3 if count > 1 else 0.0) + 1e-9:
        return None
    for i in held:
        if abs(across[i] - across[i + 1]) > STRAIGHT_MM:
            return None
        if traced.on_joint[pieces[i]] > 0 and high - min(across[i], across[i + 1]) > EXACT_MM:
            return None
    if held and high - low > GIVE_MM and not _loose_ends_short(points, held, shortest_mm):
        return None
    length = line.along(points[-1]) - line.along(points[0])
    if length <= 0:
        return None
    on_joint = sum(traced.on_joint[k] for k in pieces)
    cost = (int(length < shortest_mm), 1, (high - low) * length)
    return Edge(line.moved_left(high), first, (first + count) % n, high - low, on_joint, cost)


def _line_of(traced: Traced, points: list[Point], pieces: list[int], held: list[int]) -> Line | None:
    """An edge's direction: its joint's, else a straight run's as a whole, else its longest piece's."""
    whole = line_through(points[0], points[-1]) if math.dist(points[0], points[-1]) > 1e-3 else None
    if not held:
        return whole
    main = max(held, key=lambda i: (traced.on_joint[pieces[i]] > 0, traced.lengths[pieces[i]], -i))
    if traced.on_joint[pieces[main]] == 0 and whole is not None:
        across = [whole.left(p) for p in points]
        if max(across) - min(across) <= STRAIGHT_MM:
            return whole
    return line_through(points[main], points[main + 1])


def _may_skip(traced: Traced, pieces: list[int], shortest_mm: float, overhang_mm: float) -> bool:
    """Only bends of a curve and ends of short pieces may vanish under an edge."""
    for before, k in itertools.pairwise(pieces):
        nearly_straight = abs(traced.turns[k]) <= (SMOOTH_DEG if overhang_mm > 0 else 1.0)
        if not nearly_straight and min(traced.lengths[before], traced.lengths[k]) >= shortest_mm:
            return False
    return True


def _loose_ends_short(points: list[Point], held: list[int], shortest_mm: float) -> bool:
    """Are the stretches before, between and after the long pieces too short for members?"""
    at = 0
    for i in [*held, len(points) - 1]:
        if math.dist(points[at], points[i]) >= shortest_mm:
            return False
        at = i + 1
    return True


def fewest_edges(
    traced: Traced, spread_mm: float, limits: Limits, *, every_vertex: bool = False
) -> list[Edge]:
    """The best way round the ring, from the lowest vertex number on. Empty: there is none.

    ``spread_mm``: the most spread of an edge, at most the overhang allowed. ``every_vertex``: edges may begin
    at any vertex of a curve, which takes longer.
    """
    breaks = list(range(len(traced.ring))) if every_vertex else traced.breaks(CANDIDATE_MM)
    return _best_round(traced, breaks, spread_mm, limits)


def _best_round(traced: Traced, breaks: list[int], spread_mm: float, limits: Limits) -> list[Edge]:
    m, n = len(breaks), len(traced.ring)
    from_break: list[list[tuple[int, Edge]]] = []
    for b, first in enumerate(breaks):
        found: list[tuple[int, Edge]] = []
        count = misses = 0
        for step in range(1, m):
            count = (breaks[(b + step) % m] - first) % n
            edge = edge_over(traced, first, count, spread_mm, limits.shortest_mm)
            if edge is not None:
                found.append((step, edge))
                misses = 0
            elif step > 1:
                misses += 1
                if misses > 6:
                    break
        from_break.append(found)
    covering: list[set[int]] = [set() for _ in range(m)]
    for b, found in enumerate(from_break):
        for d in range(1, max((step for step, _ in found), default=0)):
            covering[(b + d) % m].add(b)
    at = min(range(m), key=lambda v: (len(covering[v]), v))
    rounds = [
        r for s in sorted({at, *covering[at]}) if (r := _round(traced, from_break, s, limits)) is not None
    ]
    if not rounds:
        return []
    best = min(rounds, key=lambda r: _rounded(r[0]))[1]
    start = min(range(len(best)), key=lambda i: best[i].first)
    return best[start:] + best[:start]


def _rounded(cost: tuple[int, int, float]) -> tuple[int, int, float]:
    return (cost[0], cost[1], round(cost[2], 3))


def _round(
    traced: Traced, from_break: list[list[tuple[int, Edge]]], start: int, limits: Limits
) -> Way | None:
    """Cheapest way round that begins a new edge at break ``start``."""
    m = len(from_break)
    arriving: list[list[Way]] = [[] for _ in range(m + 1)]
    arriving[0] = [((0, 0, 0.0), [])]
    for at in range(m):
        arriving[at].sort(key=lambda w: _rounded(w[0]))
        for step, edge in from_break[(start + at) % m]:
            if at + step > m:
                continue
            before = _cheapest(traced, arriving[at], edge, limits)
            if before is not None:
                cost, way = before
                total = (cost[0] + edge.cost[0], cost[1] + edge.cost[1], cost[2] + edge.cost[2])
                arriving[at + step].append((total, [*way, edge]))
    closed = [
        ((cost[0] + short, cost[1], cost[2]), way)
        for cost, way in arriving[m]
        if len(way) >= 3 and (short := _meeting(traced, way[-1], way[0], limits)) is not None
    ]
    return min(closed, key=lambda w: _rounded(w[0])) if closed else None


def _cheapest(traced: Traced, ways: list[Way], edge: Edge, limits: Limits) -> Way | None:
    """The cheapest of ``ways`` (cheapest first) that ``edge`` goes on from, edges made too short counted."""
    best: Way | None = None
    for cost, way in ways:
        if best is not None and _rounded(best[0]) <= _rounded(cost):
            break
        short = _meeting(traced, way[-1], edge, limits) if way else 0
        if short is None:
            continue
        counted = (cost[0] + short, cost[1], cost[2])
        if best is None or _rounded(counted) < _rounded(best[0]):
            best = (counted, way)
    return best


def _meeting(traced: Traced, a: Edge, b: Edge, limits: Limits) -> int | None:
    """How many of two neighbouring edges their corner makes too short; None: they do not meet well.

    The corner must lie ahead of where ``a`` begins and behind where ``b`` ends, and the vertex of the ring
    between them no further from the two than the overhang allowed.
    """
    if abs(a.line.dx * b.line.dy - a.line.dy * b.line.dx) < PARALLEL_SINE:
        return None
    corner = meet(a.line, b.line)
    if corner is None:
        return None
    ring, at = traced.ring, traced.ring[b.first]
    on_a, on_b = a.line.along(corner), b.line.along(corner)
    length_a = on_a - a.line.along(ring[a.first])
    length_b = b.line.along(ring[b.last]) - on_b
    if length_a <= 0 or length_b <= 0:
        return None
    away = math.dist(at, corner)
    if a.line.along(at) <= on_a:
        away = min(away, abs(a.line.left(at)))
    if b.line.along(at) >= on_b:
        away = min(away, abs(b.line.left(at)))
    if away > limits.overhang_mm + 1e-6:
        return None
    short_a = length_a < limits.shortest_mm and not a.cost[0]
    short_b = length_b < limits.shortest_mm and not b.cost[0]
    return int(short_a) + int(short_b)
