"""Ways in a graph: shortest paths from one node or from many.

A graph is, for every node (a number from 0), its neighbours with the length of the edge to each. Of two ways
equally long the one whose last step comes from the lower node is taken, so that answers never depend on luck.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Mapping, Sequence

from boardwright.plan.model import Point

type Graph = Sequence[Mapping[int, float]]
type Edge = tuple[int, int]

SAME_MM = 1e-9


def edge(a: int, b: int) -> Edge:
    return (a, b) if a < b else (b, a)


def spread(
    graph: Graph, starts: Iterable[int], within_mm: float = math.inf, until: frozenset[int] | None = None
) -> tuple[dict[int, float], dict[int, int]]:
    """Distance to every node reached, and the node before it on the way.

    Stops beyond ``within_mm``, or at the first node of ``until`` (then the last one settled).
    """
    far = dict.fromkeys(sorted(starts), 0.0)
    before: dict[int, int] = {}
    queue = [(0.0, n) for n in far]
    heapq.heapify(queue)
    settled: dict[int, float] = {}
    while queue:
        d, node = heapq.heappop(queue)
        if node in settled:
            continue
        if d > within_mm:
            break
        settled[node] = d
        if until is not None and node in until:
            break
        for other, length in graph[node].items():
            if other in settled:
                continue
            reached = d + length
            known = far.get(other, math.inf)
            if reached < known - SAME_MM or (reached < known + SAME_MM and node < before.get(other, -1)):
                far[other] = reached if reached < known else known
                before[other] = node
                heapq.heappush(queue, (reached, other))
    return settled, before


def direct(graph: Graph, points: Sequence[Point], start: int, to: int) -> list[int] | None:
    """The nodes of the shortest way between two nodes; None: there is none.

    ``points`` says where the nodes are; no edge may be shorter than the straight line between its ends, so
    that what lies the wrong way need not be looked at.
    """
    far, before = {start: 0.0}, {start: -1}
    queue = [(math.dist(points[start], points[to]), start)]
    settled: set[int] = set()
    while queue:
        _, node = heapq.heappop(queue)
        if node in settled:
            continue
        settled.add(node)
        if node == to:
            del before[start]
            return way(before, to)
        for other, length in graph[node].items():
            reached = far[node] + length
            if other not in settled and reached < far.get(other, math.inf) - SAME_MM:
                far[other], before[other] = reached, node
                heapq.heappush(queue, (reached + math.dist(points[other], points[to]), other))
    return None


def way(before: Mapping[int, int], to: int) -> list[int]:
    """The nodes from where a spread began to ``to``."""
    nodes = [to]
    while nodes[-1] in before:
        nodes.append(before[nodes[-1]])
    return nodes[::-1]
