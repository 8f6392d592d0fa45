"""The underside of a layout as a graph: hole mouths and devices, and the ways wires can lie between them.

Claim: every edge is a stretch a wire can lie on: straight across a bay where no wood or well is between, else
round its corners; through a drilled hole; or across a joint from one hole to its mate. So a wire that keeps
to the graph crosses no member without a hole.

Glossary
    mouth     an end of a hole, in the bay it opens into
    passage   a hole with its two mouths; a joint's passage goes through the holes of both boards

What this does not know: height. Wires lie at the height of the holes; nothing is said about what hangs there.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Device, Point
from boardwright_timber.model import Board, BoardPlan, BoardWiring, Frame, Joists, Member, WireHole

from .bays import Bays, mouths
from .ways import Edge, edge, spread, way

if TYPE_CHECKING:
    from shapely import Polygon

SAME_HOLE_MM = 0.01
HAIR_MM = 0.01


class Hole(msgspec.Struct, frozen=True):
    """A wire hole and the board it is in."""

    board: str
    hole: WireHole


class Underside:
    """Nodes are numbers; ``points`` are in plan coordinates, ``boards`` says on which board each lies."""

    def __init__(self) -> None:
        self.points: list[Point] = []
        self.boards: list[str] = []
        self.near: list[dict[int, float]] = []
        self.holes: dict[Edge, tuple[Hole, ...]] = {}
        self.corners: dict[Edge, tuple[Point, ...]] = {}
        self.terminals: dict[str, int] = {}

    def add(self, board: str, point: Point) -> int:
        self.points.append((round(point[0], 6), round(point[1], 6)))
        self.boards.append(board)
        self.near.append({})
        return len(self.points) - 1

    def join(self, a: int, b: int, length_mm: float) -> None:
        self.near[a][b] = self.near[b][a] = round(length_mm, 6)

    def line(self, nodes: list[int]) -> tuple[Point, ...]:
        """The way along these nodes in plan coordinates."""
        points = [self.points[nodes[0]]]
        for a, b in itertools.pairwise(nodes):
            between = self.corners.get(edge(a, b), ())
            points += between if a < b else between[::-1]
            points.append(self.points[b])
        return tuple(p for n, p in enumerate(points) if n == 0 or p != points[n - 1])


def underside(
    boards: Mapping[str, Board],
    plans: Mapping[str, BoardPlan],
    frames: Mapping[str, Frame],
    joists: Mapping[str, Joists],
    wiring: Mapping[str, BoardWiring],
    ends: Mapping[str, Device] = MappingProxyType({}),
) -> Underside:
    """The graph of all boards, nodes in order of board, hole and device; then ``ends``, terminals outside the
    holes of a module's own ends."""
    made = Underside()
    doors: dict[str, list[tuple[Hole, int]]] = {}
    for id_, board in boards.items():
        members = {m.id: m for m in (*frames[id_].members, *joists[id_].members)}
        bays = Bays(frames[id_], members.values())
        inside: dict[int, list[int]] = {}
        for hole in wiring[id_].holes:
            _add_hole(made, board, bays, inside, members[hole.member], hole, doors)
        for device in plans[id_].devices:
            if device.id in plans[id_].own_devices:
                _add_device(made, board, bays, inside, device)
        for bay, nodes in inside.items():
            _join_bay(made, board, bays.shapes[bay], nodes)
    for mates in doors.values():
        for n, (one, a) in enumerate(mates):
            for other, b in mates[n + 1 :]:
                apart = math.dist((one.hole.x_mm, one.hole.y_mm), (other.hole.x_mm, other.hole.y_mm))
                if one.board != other.board and apart <= SAME_HOLE_MM:
                    made.join(a, b, math.dist(made.points[a], made.points[b]))
                    made.holes[edge(a, b)] = (one, other)
    for board in boards.values():
        for end in board.ends:
            outside = ends.get(f"end {end.id}")
            if outside is not None and doors.get(end.id):
                _add_end(made, board, outside, doors[end.id])
    return made


def _add_end(made: Underside, board: Board, outside: Device, holes: list[tuple[Hole, int]]) -> None:
    """A terminal outside, at the end's middle, through the end's holes: those of one bay, so that it is no
    way from one bay to another."""
    node = made.add(board.id, (outside.x_mm, outside.y_mm))
    made.terminals[outside.id] = node
    _, first = holes[0]
    for hole, inside in holes:
        if inside == first or inside in made.near[first]:
            mouth = (hole.hole.x_mm, hole.hole.y_mm)
            way = math.dist(made.points[inside], mouth) + math.dist(mouth, made.points[node])
            made.join(inside, node, way)
            made.corners[edge(inside, node)] = (mouth,)
            made.holes[edge(inside, node)] = (hole,)


def _add_hole(
    made: Underside,
    board: Board,
    bays: Bays,
    inside: dict[int, list[int]],
    member: Member,
    hole: WireHole,
    doors: dict[str, list[tuple[Hole, int]]],
) -> None:
    outer, inner = mouths(member, hole.along_mm)
    here = Hole(board.id, hole)
    there = bays.at(inner)
    if hole.joint is not None:
        if there is not None:
            node = made.add(board.id, board.to_plan(inner))
            inside.setdefault(there, []).append(node)
            doors.setdefault(hole.joint, []).append((here, node))
        return
    ends = [(bay, point) for bay, point in ((bays.at(outer), outer), (there, inner)) if bay is not None]
    if len(ends) < 2:
        return
    nodes = []
    for bay, point in ends:
        nodes.append(made.add(board.id, board.to_plan(point)))
        inside.setdefault(bay, []).append(nodes[-1])
    a, b = nodes
    made.join(a, b, math.dist(outer, inner))
    made.holes[edge(a, b)] = (here,)


def _add_device(
    made: Underside, board: Board, bays: Bays, inside: dict[int, list[int]], device: Device
) -> None:
    import shapely

    bay = bays.under(tuple(board.to_local(p) for p in device.keepout()))
    if bay is None:
        return
    shape = bays.shapes[bay]
    at = board.to_local((device.x_mm, device.y_mm))
    if not shape.intersects(shapely.Point(at)):
        x, y = shapely.get_coordinates(shapely.shortest_line(shape.buffer(-1.0), shapely.Point(at)))[0]
        at = (float(x), float(y))
    node = made.add(board.id, board.to_plan(at))
    made.terminals[device.id] = node
    inside.setdefault(bay, []).append(node)


def _join_bay(made: Underside, board: Board, shape: Polygon, nodes: list[int]) -> None:
    """Every two points of a bay: straight, or round its corners."""
    import numpy
    import shapely

    local = [board.to_local(made.points[n]) for n in nodes]
    pairs = [(i, k) for i in range(len(nodes)) for k in range(i + 1, len(nodes))]
    if not pairs:
        return
    room = shape.buffer(HAIR_MM, join_style="mitre")
    if room.convex_hull.area - room.area <= 1.0:
        clear = [True] * len(pairs)
    else:
        shapely.prepare(room)
        clear = list(
            shapely.covers(room, shapely.linestrings(numpy.array([(local[i], local[k]) for i, k in pairs])))
        )
    hidden = []
    for (i, k), seen in zip(pairs, clear, strict=True):
        if seen:
            made.join(nodes[i], nodes[k], math.dist(local[i], local[k]))
        else:
            hidden.append((i, k))
    if hidden:
        _go_round(made, board, room, nodes, local, hidden)


def _go_round(
    made: Underside,
    board: Board,
    room: Polygon,
    nodes: list[int],
    local: list[Point],
    hidden: list[tuple[int, int]],
) -> None:
    """Shortest ways round the corners of a bay, for pairs that do not see each other."""
    import numpy
    import shapely

    corners = [(float(x), float(y)) for ring in (room.exterior, *room.interiors) for x, y in ring.coords[:-1]]
    points = [*local, *corners]
    every = [(i, k) for i in range(len(points)) for k in range(max(i + 1, len(local)), len(points))]
    lines = shapely.linestrings(numpy.array([(points[i], points[k]) for i, k in every]))
    near: list[dict[int, float]] = [{} for _ in points]
    for (i, k), seen in zip(every, shapely.covers(room, lines), strict=True):
        if seen:
            near[i][k] = near[k][i] = math.dist(points[i], points[k])
    for start in sorted({i for i, _ in hidden}):
        far, before = spread(near, (start,))
        for _, end in (pair for pair in hidden if pair[0] == start):
            if end in far:
                between = [board.to_plan(points[n]) for n in way(before, end)[1:-1]]
                made.join(nodes[start], nodes[end], far[end])
                run = tuple((round(x, 6), round(y, 6)) for x, y in between)
                a, b = nodes[start], nodes[end]
                made.corners[edge(a, b)] = run if a < b else run[::-1]
