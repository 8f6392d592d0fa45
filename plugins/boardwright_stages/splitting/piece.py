"""A piece of a layout on its way to becoming a board, and how one chord cuts it.

Glossary
    rings    the outer ring anticlockwise, then each well clockwise: the piece always lies on the left
    chord    a straight line through the piece from edge to edge
    slit     a chord from the outer ring to a well: it opens the well, and the ring then runs along both sides
    node     a place on the boundary: edge index and fraction along that edge

Cutting only copies vertices and adds the two nodes, so both pieces hold the very same numbers and pieces tile
their outline. What this does not know: why a cut is made.
"""

from __future__ import annotations

import math
from functools import cached_property
from itertools import accumulate
from typing import Any

import msgspec
import numpy as np
import shapely

from boardwright.plan.model import Point, Ring

from .directions import Array, Truths, corners, distinct, main_directions

SNAP_MM = 1e-4  # a node this near a vertex is that vertex
FIT_MM = 0.01  # a piece this much over a limit still fits


def rounded(x: float) -> float:
    """The stored form of a coordinate: 1e-6 mm, and no negative zero."""
    return round(float(x), 6) + 0.0


class Node(msgspec.Struct, frozen=True):
    ring: int
    edge: int  # index within the ring
    fraction: float


class Cut(msgspec.Struct, frozen=True):
    """One chord that was cut, in plan coordinates; ``drawn`` is the id of the drawn joint it obeys.

    ``held``: it stays for the sake of what is made.
    """

    start: Point
    end: Point
    drawn: str = ""
    held: bool = False


class Piece(msgspec.Struct, frozen=True, eq=False, dict=True):
    rings: tuple[Array, ...]

    @cached_property
    def xy(self) -> Array:
        """All vertices, ring after ring."""
        return np.concatenate(self.rings) if len(self.rings) > 1 else self.rings[0]

    @cached_property
    def follows(self) -> np.ndarray[Any, np.dtype[np.intp]]:
        """Index of the vertex after each vertex."""
        after = np.arange(1, len(self.xy) + 1)
        for start, ring in zip(self.ring_starts, self.rings, strict=True):
            after[start + len(ring) - 1] = start
        return after

    @cached_property
    def ring_starts(self) -> list[int]:
        return list(accumulate((len(r) for r in self.rings[:-1]), initial=0))

    @cached_property
    def extent(self) -> tuple[float, float, float, float]:
        """Lowest and highest x and y: x, y, x, y."""
        (x, y), (right, top) = self.xy.min(axis=0).tolist(), self.xy.max(axis=0).tolist()
        return x, y, right, top

    def may_meet(self, p: Point, q: Point, within_mm: float) -> bool:
        """False when the stretch p – q is surely farther than this from the piece."""
        x, y, right, top = self.extent
        return (
            min(p[0], q[0]) <= right + within_mm
            and max(p[0], q[0]) >= x - within_mm
            and min(p[1], q[1]) <= top + within_mm
            and max(p[1], q[1]) >= y - within_mm
        )

    @cached_property
    def key(self) -> bytes:
        return b"|".join(r.tobytes() for r in self.rings)

    @cached_property
    def area(self) -> float:
        a, b = self.xy, self.xy[self.follows]
        return float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2)

    @cached_property
    def perimeter(self) -> float:
        d = self.xy[self.follows] - self.xy
        return float(np.hypot(d[:, 0], d[:, 1]).sum())

    @cached_property
    def doubled(self) -> bool:
        """Does the boundary pass some point twice (a slit, or two corners that touch)?"""
        return len(set(map(tuple, self.xy.tolist()))) < len(self.xy)

    @cached_property
    def main_directions(self) -> Array:
        """Angles of the piece's main directions (see ``directions``)."""
        return main_directions(self.xy[self.follows] - self.xy)

    @cached_property
    def corners(self) -> tuple[Array, Array]:
        """Corners of all rings and the turn there (see ``directions``)."""
        found = [corners(r) for r in self.rings]
        return np.concatenate([f[0] for f in found]), np.concatenate([f[1] for f in found])

    @cached_property
    def boxes(self) -> list[tuple[float, float, float]]:
        """Length, width and angle (degrees) of the smallest rectangles round the piece: mostly one."""
        return smallest_boxes(self.rings[0])

    @property
    def box(self) -> tuple[float, float, float]:
        return self.boxes[0]

    def fits(self, limits: tuple[float, float]) -> bool:
        return any(within(b, limits) for b in self.boxes)

    def node(self, index: int, fraction: float) -> Node:
        ring = max(r for r, s in enumerate(self.ring_starts) if s <= index)
        return Node(ring, index - self.ring_starts[ring], fraction)

    def at(self, node: Node) -> Array:
        """The point of a node: a vertex where one is within SNAP_MM."""
        ring = self.rings[node.ring]
        a: Array = ring[node.edge]
        b: Array = ring[(node.edge + 1) % len(ring)]
        p: Array = a + node.fraction * (b - a)
        if math.dist(p, a) < SNAP_MM:
            return a
        if math.dist(p, b) < SNAP_MM:
            return b
        rounded_p: Array = np.round(p, 6) + 0.0
        return rounded_p

    def cut(self, enter: Node, leave: Node, drawn: str = "") -> tuple[tuple[Piece, ...], Cut]:
        """Cut along the chord ``enter`` – ``leave``: two pieces (left one first), or one with a slit."""
        p, q = self.at(enter), self.at(leave)
        cut = Cut((float(p[0]), float(p[1])), (float(q[0]), float(q[1])), drawn)
        if enter.ring == leave.ring == 0:
            ring = self.rings[0]
            left = tidy([p, q, *_run(ring, leave.edge + 1, enter.edge)])
            right = tidy([q, p, *_run(ring, enter.edge + 1, leave.edge)])
            mine = [inside(left, w) for w in self.rings[1:]]
            return (
                Piece((left, *(w for w, m in zip(self.rings[1:], mine, strict=True) if m))),
                Piece((right, *(w for w, m in zip(self.rings[1:], mine, strict=True) if not m))),
            ), cut
        if leave.ring == 0:
            enter, leave, p, q = leave, enter, q, p
        if enter.ring != 0:
            raise ValueError("a chord between two wells opens neither")
        ring, well = self.rings[0], self.rings[leave.ring]
        slit = tidy(
            [
                *ring[: enter.edge + 1],
                p,
                q,
                *_run(well, leave.edge + 1, leave.edge),
                q,
                p,
                *ring[enter.edge + 1 :],
            ]
        )
        rest = tuple(w for i, w in enumerate(self.rings[1:], 1) if i != leave.ring)
        return (Piece((slit, *rest)),), cut


def _run(ring: Array, first: int, last: int) -> list[Array]:
    """Vertices from ``first`` on to ``last``, round the corner if need be."""
    n = len(ring)
    first %= n
    count = (last - first) % n + 1
    return [ring[(first + i) % n] for i in range(count)]


def tidy(points: list[Array]) -> Array:
    """Drop repeated points."""
    raw = np.array(points, dtype=float)
    if len(raw) > 1 and np.abs(raw - _next(raw)).max(axis=1).min() > 1e-5:
        return raw
    kept: list[Array] = []
    for p in points:
        if not kept or abs(p[0] - kept[-1][0]) > 1e-5 or abs(p[1] - kept[-1][1]) > 1e-5:
            kept.append(p)
    while len(kept) > 1 and np.all(np.abs(kept[0] - kept[-1]) <= 1e-5):
        kept.pop()
    return np.array(kept, dtype=float)


def _next(ring: Array) -> Array:
    """The vertex after each vertex."""
    return np.concatenate((ring[1:], ring[:1]))


def inside(ring: Array, well: Array) -> bool:
    """Does the ring go round the well? (Judged at a vertex of the well that does not touch the ring.)"""
    return bool(held(ring, (well + _next(well)) / 2).any())


def contains(ring: Array, p: Array | Point) -> bool:
    """``held`` of one point."""
    return bool(held(ring, np.array([p], dtype=float))[0])


def held(ring: Array, points: Array) -> Truths:
    """Even-odd rule; points on a shared edge belong to exactly one of the pieces that share it."""
    x, y = points[:, :1], points[:, 1:]
    a, b = ring, _next(ring)
    spans = (a[:, 1] > y) != (b[:, 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    inside: Truths = np.sum(spans & (x < cross), axis=1) % 2 == 1
    return inside


def smallest_boxes(points: Array) -> list[tuple[float, float, float]]:
    """Length, width and angle (0 ≤ angle < 180, along the length) of the smallest rectangle round points.

    Of several with the same area (a right-angled triangle has two) all are given, the longest first.
    """
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.linestrings(points)))[:-1]
    edges = _next(hull) - hull
    angles = distinct(np.round(np.arctan2(edges[:, 1], edges[:, 0]) % (math.pi / 2), 9))
    both = extents(hull, np.concatenate((angles, angles + math.pi / 2)))
    along, across = both[: len(angles)], both[len(angles) :]
    area = along * across
    found = []
    for i in np.flatnonzero(area <= float(area.min()) * (1 + 1e-6)):
        length, width, angle = float(along[i]), float(across[i]), float(angles[i])
        if width > length + 1e-6:
            length, width, angle = width, length, angle + math.pi / 2
        found.append((length, width, math.degrees(angle) % 180))
    return sorted(found, key=lambda b: (-round(b[0], 4), b[2]))


def within(box: tuple[float, float, float], limits: tuple[float, float]) -> bool:
    return box[0] <= limits[0] + FIT_MM and box[1] <= limits[1] + FIT_MM


def box_for(points: Array, limits: tuple[float, float]) -> tuple[float, float, float]:
    """The smallest box; of equal ones the one that is within the limits."""
    boxes = smallest_boxes(points)
    return next((b for b in boxes if within(b, limits)), boxes[0])


def extents(points: Array, angles: Array) -> Array:
    """How far the points reach in each direction (radians)."""
    reach = points @ np.vstack((np.cos(angles), np.sin(angles)))
    span: Array = reach.max(axis=0) - reach.min(axis=0)
    return span


def from_outline(ring: Ring, wells: tuple[Ring, ...]) -> Piece:
    """The whole outline as one piece."""
    rings = [_oriented(ring, True), *(_oriented(w, False) for w in wells)]
    return Piece(tuple(rings))


def _oriented(ring: Ring, anticlockwise: bool) -> Array:
    points = tidy([np.round(np.array(p, dtype=float), 6) + 0.0 for p in ring])
    a, b = points, np.roll(points, -1, axis=0)
    turned = float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])) > 0
    return points if turned == anticlockwise else np.ascontiguousarray(points[::-1])
