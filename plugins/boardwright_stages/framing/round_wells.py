"""Straight edges round a round well: two stand square to the board and two along it, so that joists and
noggins run past them.

Claim: the fewest edges, four or a multiple of it and all alike, that leave no more of the deck's edge
unsupported than the overhang allowed: r (1 - cos(π / n)) for n edges round a circle of radius r (geometry).

What this does not know: wells that are only round in part; they are traced like any other (``edges``).
"""

from __future__ import annotations

import math

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import line_through

from .edges import Edge

ROUND_MM = 0.05  # points of a circle are this near to it
LEAST_POINTS = 12
FEWEST, MOST = 4, 24  # by fours: two stand square to the board, two along it


def circle_of(ring: Ring) -> tuple[Point, float] | None:
    """Middle and radius of a ring that is a whole circle in small steps; None: it is none."""
    if len(ring) < LEAST_POINTS:
        return None
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    reach = [math.dist(middle, p) for p in ring]
    step = max(math.dist(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
    alike = max(reach) - min(reach) <= ROUND_MM
    return (middle, max(reach)) if alike and step < 4 * math.pi * max(reach) / LEAST_POINTS else None


def round_edges(ring: Ring, overhang_mm: float, shortest_mm: float) -> list[Edge]:
    """Edges round a well that is a circle, clockwise; empty where it is none, or they would be too short."""
    found = circle_of(ring)
    if found is None:
        return []
    (x, y), r = found
    spreads = {n: r * (1 - math.cos(math.pi / n)) for n in range(FEWEST, MOST + 1, FEWEST)}
    count = next((n for n, spread in spreads.items() if spread <= overhang_mm), 0)
    length = 2 * r * math.tan(math.pi / count) if count else 0.0
    if length < max(shortest_mm, ROUND_MM):
        return []
    edges = []
    for k in range(count):
        turn = -2 * math.pi * k / count
        at = (x + r * math.cos(turn), y + r * math.sin(turn))
        on = (at[0] + math.sin(turn), at[1] - math.cos(turn))
        first = min(range(len(ring)), key=lambda i: math.dist(ring[i], at))
        cost = 0, 1, spreads[count] * length
        edges.append(Edge(line_through(at, on), first, first, spreads[count], 0.0, cost))
    return edges
