"""In which order boards are named: as one meets them, walking along the layout from one end.

The walk begins at an end of the longest way through the joined boards (the one further left, then lower),
goes from board to neighbour, and visits a side board right after the board it hangs on. It looks only at the
boards, never at what lies on them.
"""

from __future__ import annotations

import math

from boardwright.plan.model import Point


def walk(centres: list[Point], joined: list[set[int]]) -> list[int]:
    """Indices of boards in walking order; ``joined[i]`` are the boards that touch board i."""
    left = set(range(len(centres)))
    order: list[int] = []
    while left:
        first = min(left, key=lambda i: _reading(centres[i]))
        group = _reached(first, joined)
        _visit(_end(sorted(group), centres, joined), centres, joined, order)
        left -= group
    return order


def _end(group: list[int], centres: list[Point], joined: list[set[int]]) -> int:
    """The left end of the longest shortest way within a group; of a closed ring, its lower left board."""
    if all(len(joined[i]) == 2 for i in group):
        return min(group, key=lambda i: (round(centres[i][0] + centres[i][1]), _reading(centres[i])))
    ways = {i: _distances(i, centres, joined) for i in group}
    longest = max(max(w.values()) for w in ways.values())
    ends = [i for i in group if max(ways[i].values()) > longest - 1.0]
    return min(ends, key=lambda i: _reading(centres[i]))


def _visit(start: int, centres: list[Point], joined: list[set[int]], order: list[int]) -> None:
    seen = set(order)
    waiting = [start]
    while waiting:
        here = waiting.pop()
        if here in seen:
            continue
        seen.add(here)
        order.append(here)
        ahead = [i for i in joined[here] if i not in seen]
        ahead.sort(key=lambda i: (len(_reached(i, joined, seen)), _reading(centres[i])))
        waiting.extend(reversed(ahead))


def _reached(start: int, joined: list[set[int]], closed: set[int] | None = None) -> set[int]:
    reached, waiting = {start}, [start]
    while waiting:
        for i in joined[waiting.pop()]:
            if i not in reached and (closed is None or i not in closed):
                reached.add(i)
                waiting.append(i)
    return reached


def _distances(start: int, centres: list[Point], joined: list[set[int]]) -> dict[int, float]:
    """Shortest ways from board centre to board centre, mm."""
    best = {start: 0.0}
    waiting = [start]
    while waiting:
        waiting.sort(key=lambda i: (-best[i], i))
        here = waiting.pop()
        for i in sorted(joined[here]):
            way = best[here] + math.dist(centres[here], centres[i])
            if way < best.get(i, math.inf) - 1e-9:
                best[i] = way
                waiting.append(i)
    return best


def _reading(p: Point) -> tuple[float, float]:
    return (round(p[0], 1), round(p[1], 1))
