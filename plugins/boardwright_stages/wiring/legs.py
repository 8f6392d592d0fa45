"""A routed tree cut into legs: what one board's piece of wire is, from splice or plug or device to the next.

Also what flows where, and what it costs in volts: ΔV = 2 × length × current × resistance (read), leg by leg.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

import msgspec

from boardwright_timber.model import WireLeg

from .network_settings import WireSettings
from .tree import links_of
from .underside import Underside
from .ways import Edge, edge


class Piece(msgspec.Struct, frozen=True, kw_only=True):
    """A leg with the tree nodes it runs between (``near`` is the one towards the source) and its current."""

    leg: WireLeg
    near: int
    far: int
    amps: float
    joint: str = ""


def pieces(
    graph: Underside,
    tree: tuple[Edge, ...],
    source: str,
    draws: Mapping[str, float],
    most_a: float,
    prefix: str,
    settings: WireSettings,
) -> list[Piece]:
    """Legs from the source outwards. ``draws``: amperes of every device on the tree."""
    root = graph.terminals[source]
    named = {graph.terminals[d]: d for d in sorted(draws, reverse=True)}
    named[root] = source
    links = links_of(tree)
    amps = _flowing(links, root, {graph.terminals[d]: 0.0 for d in draws}, graph, draws, most_a)
    splices: dict[int, str] = {}
    made: list[Piece] = []
    todo = [(root, step) for step in sorted(links.get(root, ()), reverse=True)]
    while todo:
        near, step = todo.pop()
        nodes = [near, step]
        while len(links[nodes[-1]]) == 2 and nodes[-1] not in named:
            nodes.append(next(n for n in links[nodes[-1]] if n != nodes[-2]))
        end = nodes[-1]
        for at in (near, end):
            if at not in named and at not in splices:
                splices[at] = f"splice {prefix}-S{len(splices) + 1}"
        words = {**splices, **named}
        made += _cut(graph, nodes, words, amps[end], settings)
        todo += [(end, n) for n in sorted(links[end] - {nodes[-2]}, reverse=True)]
    return made


def _flowing(
    links: Mapping[int, set[int]],
    root: int,
    empty: dict[int, float],
    graph: Underside,
    draws: Mapping[str, float],
    most_a: float,
) -> dict[int, float]:
    """Amperes arriving at every node, never more than the supply gives."""
    order, before = [root], {root: root}
    for node in order:
        for other in sorted(links.get(node, ())):
            if other not in before:
                before[other] = node
                order.append(other)
    sums = dict.fromkeys(order, 0.0) | empty
    for device, amps in draws.items():
        sums[graph.terminals[device]] += amps
    for node in reversed(order[1:]):
        sums[before[node]] += sums[node]
    return {node: min(total, most_a) for node, total in sums.items()}


def _cut(
    graph: Underside, nodes: list[int], words: Mapping[int, str], amps: float, settings: WireSettings
) -> list[Piece]:
    """One stretch between two ends, cut at every joint it crosses."""
    parts, current, joints = [], [nodes[0]], []
    for a, b in itertools.pairwise(nodes):
        if graph.boards[a] != graph.boards[b]:
            parts.append(current)
            joints.append(graph.holes[edge(a, b)][0].hole.joint or "")
            current = [b]
        else:
            current.append(b)
    parts.append(current)
    made = []
    passed = 0
    for n, part in enumerate(parts):
        reaching = list(itertools.pairwise(nodes[max(passed - 1, 0) : passed + len(part) + 1]))
        passed += len(part)
        through = [graph.near[x][y] for x, y in reaching]
        inside = [graph.near[x][y] for x, y in itertools.pairwise(part)]
        across = math.fsum(through) - math.fsum(inside)  # the ends' holes: half to each side
        route = math.fsum(inside) + across / 2
        holes = []
        for x, y in reaching:
            holes += [h for h in graph.holes.get(edge(x, y), ()) if h.board == graph.boards[part[0]]]
        leg = WireLeg(
            board=graph.boards[part[0]],
            start=f"plug {joints[n - 1]}" if n else words[nodes[0]],
            end=f"plug {joints[n]}" if n < len(joints) else words[nodes[-1]],
            route_mm=round(route, 3),
            length_mm=float(
                math.ceil(route * (1 + settings.slack_percent / 100) + 2 * settings.tail_mm - 1e-6)
            ),
            points=graph.line(part),
            holes=tuple((h.hole.member, h.hole.along_mm) for h in holes),
        )
        last = n == len(parts) - 1
        made.append(
            Piece(
                leg=leg,
                near=nodes[0] if n == 0 else parts[n][0],
                far=nodes[-1] if last else parts[n + 1][0],
                amps=amps,
                joint="" if last else joints[n],
            )
        )
    return made


def drops(made: list[Piece], root: int, ohm_per_m: float) -> dict[int, float]:
    """Volts lost on the way to every end of a leg and back."""
    lost = {root: 0.0}
    for piece in made:  # from the source outwards: the near end is known
        lost[piece.far] = lost[piece.near] + 2 * piece.leg.length_mm / 1000 * piece.amps * ohm_per_m
    return lost
