"""What boards are called: numbered as one meets them, walking along the layout from one end.

The walk begins at an end of the longest way through the joined boards (the one further left, then lower),
goes from board to neighbour, and visits a side board right after the board it hangs on. It looks only at the
boards, never at what lies on them, so a moved device renames none.

One board more or less renumbers those after it: from the plan alone a new board cannot be told from an old
one. Who has begun to build writes the names down (``splitting.names``): a board keeps the name of the point
it holds. Once parts are marked as made, the list of these remembers all names in the same way. Naming one
renames no other: the rest keep the numbers of their places in the walk, and only where such a number is given
to another board take one that nobody has.

Joints are called by their boards, so that one keeps its name as long as its boards keep theirs: J03 joins B03
to B04, J03-07 joins B03 to B07.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence

from boardwright.findings import Notes, Place
from boardwright.plan.model import Point

from .settings import NamedSpot


def named(
    count: int,
    spots: Sequence[NamedSpot],
    holds: Callable[[int, NamedSpot], bool],
    notes: Notes,
    remembered: Sequence[NamedSpot] = (),
) -> list[str]:
    """Names of boards in walking order; ``holds(i, spot)``: does the spot lie on board i?

    ``remembered`` gives way to ``spots``; of two on one board the first counts. One on no board keeps its
    name from others: old drawings bear it.
    """
    fixed: dict[int, NamedSpot] = {}
    for spot in spots:
        where = next((i for i in range(count) if holds(i, spot)), None)
        if where is None:
            _unused(spot, "lies on no board", notes)
        elif where in fixed:
            _unused(spot, f"lies on the board already named {fixed[where].name}", notes)
        elif spot.name in {s.name for s in fixed.values()}:
            _unused(spot, "is given to two boards", notes)
        else:
            fixed[where] = spot
    taken = {s.name for s in spots}
    for spot in remembered:
        where = next((i for i in range(count) if holds(i, spot)), None)
        if where is not None and where not in fixed and spot.name not in taken:
            fixed[where] = spot
    taken |= {s.name for s in remembered}
    digits = max(2, len(str(count)))
    own = [f"B{k:0{digits}d}" for k in range(1, count + len(taken) + 1)]
    names = [fixed[i].name if i in fixed else own[i] if own[i] not in taken else "" for i in range(count)]
    free = (n for n in own if n not in taken and n not in names)
    return [name or next(free) for name in names]


def joint_names(boards: Sequence[tuple[str, str]]) -> list[str]:
    """Names of joints by the two boards each joins; of several between the same two, the second is J03.2."""
    met: dict[str, int] = {}
    names = []
    for first, second in boards:
        one, other = _number(first), _number(second)
        follows = one.isdigit() and other.isdigit() and int(other) == int(one) + 1
        name = f"J{one}" if follows else f"J{one}-{other}"
        met[name] = met.get(name, 0) + 1
        names.append(name if met[name] == 1 else f"{name}.{met[name]}")
    return names


def _number(board: str) -> str:
    """The number of a board without its letter; a name given by the builder as it is."""
    return board[1:] if re.fullmatch(r"B\d+", board) else board


def _unused(spot: NamedSpot, why: str, notes: Notes) -> None:
    notes.caution(
        "BW-SPLIT-019",
        f"The name {spot.name} at {spot.x_mm:.0f}, {spot.y_mm:.0f} {why}; it was not used there",
        Place(key="splitting.names", x_mm=spot.x_mm, y_mm=spot.y_mm),
        "Move its point well inside the board it is meant for, or take it out of [[splitting.names]].",
    )


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
