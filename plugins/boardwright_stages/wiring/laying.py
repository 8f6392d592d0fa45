"""Laying nets one after another: each the shortest that the holes still have room for.

Claim: a net's way is the shortest by metres plus ``hole_detour_mm`` for every hole no wire goes through yet.
The last empty hole of a joint is kept spare while another will do. A hole that would be filled over its limit
is closed; if no way is left, the net is laid as if all were open, and the overfull holes are told.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

import msgspec

from boardwright.plan.model import Point
from boardwright_timber.model import WireKind
from boardwright_timber.reference import Conductor, fill_limit, ohm_per_metre

from .conductors import named
from .legs import Piece, drops, pieces
from .nets import Net
from .network_settings import WireSettings
from .tree import shortest_tree
from .underside import Underside
from .ways import Edge, direct, edge, spread


class Laid(msgspec.Struct, frozen=True, kw_only=True):
    """A net on its way. ``drop_v`` includes ``extra_v``, what is lost after the bus (in a dropper)."""

    net: Net
    wire: Conductor
    tree: tuple[Edge, ...]
    pieces: tuple[Piece, ...]
    far: str
    drop_v: float
    fits: bool


LEAST_LIMIT = min(fill_limit(n) for n in (1, 2, 3))
BUSY = LEAST_LIMIT / 2


class Bundles:
    """What goes through every hole so far, and the graph as the next net sees it: fresh holes dearer."""

    def __init__(self, graph: Underside, detour_mm: float) -> None:
        self._graph = graph
        self._detour_mm = detour_mm
        self.squares: dict[Edge, float] = dict.fromkeys(graph.holes, 0.0)
        self.cores: dict[Edge, int] = dict.fromkeys(graph.holes, 0)
        self._least_mm = min((h.hole.diameter_mm for hs in graph.holes.values() for h in hs), default=0.0)
        self._busy: set[Edge] = set()  # holes filled so far that more could be too much
        self.runs: dict[Edge, list[str]] = {e: [] for e in graph.holes}
        self._beside: dict[str, list[Edge]] = {}  # the holes of a joint
        for e, holes in graph.holes.items():
            if holes[0].hole.joint is not None:
                self._beside.setdefault(holes[0].hole.joint, []).append(e)
        self._spare: dict[str, Edge] = {}  # the last hole of a joint that is still empty
        self.seen = [dict(near) for near in graph.near]
        for a, b in graph.holes:
            self._set(a, b, graph.near[a][b] + detour_mm)

    def _set(self, a: int, b: int, length_mm: float) -> None:
        self.seen[a][b] = self.seen[b][a] = length_mm

    def has_room(self, at: Edge, cores: int, outer_mm: float) -> bool:
        hole = min(h.hole.diameter_mm for h in self._graph.holes[at])
        wanted = self.squares[at] + cores * outer_mm**2
        return wanted <= fill_limit(self.cores[at] + cores) * hole**2 + 1e-9

    def take(self, at: Edge, cores: int, outer_mm: float, run: str) -> None:
        self.squares[at] += cores * outer_mm**2
        self.cores[at] += cores
        self.runs[at].append(run)
        hole = min(h.hole.diameter_mm for h in self._graph.holes[at])
        if self.squares[at] > BUSY * hole**2:
            self._busy.add(at)
        self._set(*at, self._graph.near[at[0]][at[1]])
        joint = self._graph.holes[at][0].hole.joint
        if joint is not None:
            empty = [e for e in self._beside[joint] if not self.cores[e]]
            self._spare.pop(joint, None)
            if len(empty) == 1:
                self._spare[joint] = empty[0]

    def close(self, cores: int, outer_mm: float, spare: bool) -> dict[Edge, float]:
        """Close every hole these cores have no room in; what was closed, for ``reopen``.

        With ``spare`` the last empty hole of every joint that others go through is closed, too.
        """
        few = cores * outer_mm**2 <= (LEAST_LIMIT - BUSY) * self._least_mm**2
        asked = sorted(self._busy) if few else list(self.cores)
        closed = {e: self.seen[e[0]][e[1]] for e in asked if not self.has_room(e, cores, outer_mm)}
        if spare:
            closed |= {e: self.seen[e[0]][e[1]] for e in self._spare.values()}
        for a, b in closed:
            self._set(a, b, math.inf)
        return closed

    def reopen(self, closed: dict[Edge, float]) -> None:
        for (a, b), length in closed.items():
            self._set(a, b, length)


def limit_v(settings: WireSettings) -> float:
    """Most that may be lost in the wire, volts."""
    return settings.volts * settings.drop_percent / 100


def lay_net(
    graph: Underside,
    bundles: Bundles,
    net: Net,
    label: str,
    name: str,
    sizes: list[Conductor],
    settings: WireSettings,
) -> Laid:
    """Lay a net in the thinnest conductor that will do, thick enough for a bus if it is one."""
    is_bus = net.kind is not WireKind.CONTROL
    least = named(settings.bus_least, "wires.bus_least") if is_bus else None
    extra = 0.0
    if net.kind is WireKind.POWER:
        extra = dropper_drop_v(net, named(settings.dropper, "wires.dropper"), settings)
    wires = from_least(sizes, least)
    return lay(graph, bundles, net, label, name, wires, limit_v(settings), extra, settings)


def lay(
    graph: Underside,
    bundles: Bundles,
    net: Net,
    label: str,
    name: str,
    sizes: list[Conductor],
    limit_v: float,
    extra_v: float,
    settings: WireSettings,
) -> Laid:
    """Route a net, choose its conductor, book its holes in the run's ``name``; splices carry its label."""
    laid, tree, fits = None, None, True
    for wire in sizes:
        if tree is None or (fits and not _still_fits(bundles, tree, net, wire)):  # thicker fits no better
            tree = _route(graph, bundles, net, wire, False)
            fits = tree is not None
            tree = tree if tree is not None else _route(graph, bundles, net, wire, True) or ()
        laid = _measured(graph, net, label, wire, tree, extra_v, fits, settings)
        flowing = max((p.amps for p in laid.pieces), default=0.0)
        if flowing <= wire.amps and laid.drop_v <= limit_v:
            break
    assert laid is not None
    for at in laid.tree:
        if at in graph.holes:
            bundles.take(at, net.cores, laid.wire.outer_mm, name)
    return laid


def _still_fits(bundles: Bundles, tree: tuple[Edge, ...], net: Net, wire: Conductor) -> bool:
    return all(bundles.has_room(at, net.cores, wire.outer_mm) for at in tree if at in bundles.cores)


def _route(
    graph: Underside, bundles: Bundles, net: Net, wire: Conductor, all_open: bool
) -> tuple[Edge, ...] | None:
    root = graph.terminals[net.source]
    ends = sorted({graph.terminals[d.id] for d in net.devices} - {root})
    for spare in () if all_open else (True, False):
        closed = bundles.close(net.cores, wire.outer_mm, spare)
        try:
            found = _shortest(bundles.seen, graph.points, root, ends)
        finally:
            bundles.reopen(closed)
        if found is not None:
            return found
    return _shortest(bundles.seen, graph.points, root, ends) if all_open else None


def _shortest(
    seen: list[dict[int, float]], points: list[Point], root: int, ends: list[int]
) -> tuple[Edge, ...] | None:
    """None: not all can be reached."""
    if len(ends) > 1:
        reached, _ = spread(seen, (root,))
        return shortest_tree(seen, (root, *ends)) if all(e in reached for e in ends) else None
    nodes = direct(seen, points, root, ends[0]) if ends else [root]
    return None if nodes is None else tuple(sorted(edge(a, b) for a, b in pairwise(nodes)))


def _measured(
    graph: Underside,
    net: Net,
    label: str,
    wire: Conductor,
    tree: tuple[Edge, ...],
    extra_v: float,
    fits: bool,
    settings: WireSettings,
) -> Laid:
    draws = {d.id: d.current_ma / 1000 for d in net.devices}
    made = pieces(graph, tree, net.source, draws, net.most_a, label, settings)
    lost = drops(made, graph.terminals[net.source], ohm_per_metre(wire, settings.celsius))
    far = max((d.id for d in net.devices), key=lambda d: (round(_at(graph, lost, d), 9), d))
    return Laid(
        net=net,
        wire=wire,
        tree=tree,
        pieces=tuple(made),
        far=far,
        drop_v=round(_at(graph, lost, far) + extra_v, 6),
        fits=fits,
    )


def _at(graph: Underside, lost: dict[int, float], device: str) -> float:
    return lost.get(graph.terminals[device], math.inf)


def dropper_drop_v(net: Net, wire: Conductor, settings: WireSettings) -> float:
    """Volts lost in one dropper pair of the hungriest device."""
    amps = min(max((d.current_ma / 1000 for d in net.devices), default=0.0), net.most_a)
    return 2 * settings.dropper_mm / 1000 * amps * ohm_per_metre(wire, settings.celsius)


def from_least(sizes: Iterable[Conductor], least: Conductor | None) -> list[Conductor]:
    """Sizes by thickness; those thinner than the least left out (but never all of them)."""
    ranked = sorted(sizes, key=lambda c: (c.area_mm2, c.name))
    return [c for c in ranked if least is None or c.area_mm2 >= least.area_mm2 - 1e-9] or ranked[-1:]
