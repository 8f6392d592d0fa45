"""Loose pieces of an edge that meet in the middle of each other, overlap or overshoot.

``chains`` joins pieces end to end. What does not go that way is taken apart wherever pieces touch (*noded*),
and the outer boundary of each connected group of pieces is the edge. Ends that stick out are dropped.

Glossary
    node       a place where pieces are cut apart because they meet there
    overshoot  an end that goes on past the place where it meets another piece
    area       one of the closed areas that the pieces of a group enclose
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import msgspec

from .coincident import alongside
from .model import Circle, Point


class Group(msgspec.Struct, frozen=True, kw_only=True):
    """The outer boundary of pieces that hang together. ``members`` are positions in the pieces given.

    ``areas`` counts what they enclose; ``overshoots`` are (where, length) of ends that stuck out. ``circles``
    are those that overlapping pieces now follow together.
    """

    points: tuple[Point, ...]
    members: tuple[int, ...]
    areas: int
    circles: tuple[Circle, ...] = ()
    overshoots: tuple[tuple[Point, float], ...] = ()


def groups(
    pieces: Sequence[Sequence[Point]], gap_mm: float, circles: Sequence[Sequence[Circle]] = ()
) -> tuple[Group, ...]:
    """Groups that enclose something, in order of their first piece; ends ``gap_mm`` off a piece meet it.

    ``circles``: those that each piece follows.
    """
    import shapely

    lines, shared = alongside(pieces, circles, gap_mm)
    _reach(lines, max(gap_mm, 1e-6))
    drawn = [shapely.LineString(line) for line in lines]
    made = []
    for members in _connected(drawn):
        noded = shapely.node(shapely.MultiLineString([drawn[i] for i in members]))
        faces, cuts, dangles, _ = shapely.polygonize_full(list(shapely.get_parts(noded)))
        if shapely.is_empty(faces):
            continue
        whole = shapely.union_all(list(shapely.get_parts(faces)))
        outer = max(shapely.get_parts(whole), key=lambda a: (a.area, a.bounds))
        out = [
            (tuple(part.coords[0 if _touches(part.coords[-1], whole) else -1]), part.length)
            for part in (*shapely.get_parts(dangles), *shapely.get_parts(cuts))
            if part.length > max(gap_mm, 1e-6)
        ]
        made.append(
            Group(
                points=tuple((x, y) for x, y in outer.exterior.coords[:-1]),
                members=members,
                circles=shared,
                areas=sum(face.area > 1e-3 for face in shapely.get_parts(faces)),
                overshoots=tuple(sorted(out)),
            )
        )
    return tuple(made)


def _touches(p: Point, area: Any) -> bool:
    import shapely

    return bool(shapely.distance(area, shapely.Point(p)) < 1e-6)


def _reach(lines: list[list[Point]], gap: float) -> None:
    """Bring ends within the gap of another piece onto it, and give that piece a corner there."""
    import shapely

    sides = [(i, k) for i, line in enumerate(lines) for k in range(len(line) - 1)]
    tree = shapely.STRtree([shapely.LineString((lines[i][k], lines[i][k + 1])) for i, k in sides])
    corners: dict[int, list[tuple[int, float, Point]]] = {}
    for i, line in enumerate(lines):
        for end in (0, -1):
            p = line[end]
            near = tree.query(shapely.Point(p), predicate="dwithin", distance=gap)
            spots = [
                (*_nearest(p, lines[j][k], lines[j][k + 1]), j, k) for j, k in map(sides.__getitem__, near)
            ]
            others = sorted((away, spot, j, k) for away, spot, j, k in spots if j != i)
            if not others:
                continue
            _, spot, j, k = others[0]
            met = min((lines[j][0], lines[j][-1]), key=lambda q: math.dist(p, q))
            if math.dist(p, met) <= gap:  # end to end: one of the two moves
                if (j, met) > (i, p):
                    line[end] = met
                continue
            line[end] = spot
            corners.setdefault(j, []).append((k, math.dist(lines[j][k], spot), spot))
    for j, found in corners.items():
        for k, _, spot in sorted(found, reverse=True):
            if spot not in (lines[j][k], lines[j][k + 1]):
                lines[j].insert(k + 1, spot)


def _nearest(p: Point, a: Point, b: Point) -> tuple[float, Point]:
    """Distance from a point to the line piece a–b, and the place on it."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    t = 0.0 if square == 0 else min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square))
    spot = (a[0] + t * dx, a[1] + t * dy)
    return math.dist(p, spot), spot


def _connected(drawn: Sequence[Any]) -> list[tuple[int, ...]]:
    """Pieces that touch, directly or through others."""
    import shapely

    root = list(range(len(drawn)))

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    pairs = shapely.STRtree(drawn).query(drawn, predicate="dwithin", distance=1e-6)
    for i, j in zip(*pairs.tolist(), strict=True):
        a, b = sorted((find(i), find(j)))
        root[b] = a
    found: dict[int, list[int]] = {}
    for i in range(len(drawn)):
        found.setdefault(find(i), []).append(i)
    return [tuple(members) for _, members in sorted(found.items())]
