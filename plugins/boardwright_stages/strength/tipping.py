"""What tips boards that stand on legs of their own: a push sideways at the deck, a hand on an edge.

Claim: boards bolted together are one rigid body on the hull of their feet, which stand straight below their
supports, those of bolted legs at the inner faces of the members that these carry. About an edge of that hull,
mass × distance of its middle holds against push × height, or against a load × its distance beyond the edge
(statics). The body is bare wood: what stands on it only helps.

What this does not know: feet that slide, floors that slope, legs that fold or lean, wind, a child's weight.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardParts, BoardStrength, StandingGroup

from .loads import G_N_KG

EDGE_MM = 60.0  # a support farther in than this is under no side or end
NO_INSETS: Mapping[str, float] = MappingProxyType({})


class Body(NamedTuple):
    """Feet and edge in plan coordinates; ``mass`` in kg with its middle; ``height_mm`` of the deck."""

    feet: list[Point]
    rim: list[Point]
    mass_kg: float
    middle: Point
    height_mm: float


def joined(
    boards: Mapping[str, Board], strengths: Mapping[str, BoardStrength] = MappingProxyType({})
) -> list[tuple[str, ...]]:
    """Groups of boards that are bolted together or stand on each other by posts, in name order; a lift-out is
    bolted to nothing."""
    beside: dict[str, set[str]] = {name: set() for name in boards}
    for name, board in boards.items():
        for other in (n for j in board.joints if not j.lift_out for n in j.boards):
            beside[name].add(other)
        for other in {p.on for p in strengths[name].points if p.on} if name in strengths else ():
            beside[name].add(other)
            beside[other].add(name)
    left, groups = set(boards), []
    while left:
        group, queue = set(), [min(left)]
        while queue:
            name = queue.pop()
            if name in group:
                continue
            group.add(name)
            queue += sorted(beside[name] & left)
        left -= group
        groups.append(tuple(sorted(group)))
    return groups


def body_of(
    names: Sequence[str],
    boards: Mapping[str, Board],
    strengths: Mapping[str, BoardStrength],
    parts: Mapping[str, BoardParts],
    floor_below_mm: float,
    insets: Mapping[str, float] = NO_INSETS,
) -> Body:
    """``insets``: half the side of the legs of each board whose legs stand at the inner faces of members."""
    import shapely

    feet = [
        foot(boards[n], (p.x_mm, p.y_mm), insets.get(n, 0.0))
        for n in names
        for p in strengths[n].points
        if not p.on
    ]
    masses = [parts[n].mass_kg for n in names]
    middles = [shapely.Polygon(boards[n].ring, boards[n].wells).centroid for n in names]
    whole = sum(masses)
    x = sum(m * c.x for m, c in zip(masses, middles, strict=True)) / whole
    y = sum(m * c.y for m, c in zip(masses, middles, strict=True)) / whole
    height = floor_below_mm + max(boards[n].level_mm for n in names)
    return Body(feet, [p for n in names for p in boards[n].ring], whole, (x, y), height)


def foot(board: Board, at: Point, inset_mm: float) -> Point:
    """Where a leg's middle is in the plan: its place is the middle of the member it carries, and it stands at
    that member's inner face, so by half the member and half itself further in."""
    x, y = board.to_plan(at)
    if not inset_mm:
        return x, y
    ring = board.ring
    off, (nx, ny) = min(
        (_beside((x, y), a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True) if a != b),
        key=lambda found: found[0],
    )
    if off > EDGE_MM:
        return x, y  # a girder or a joist: on either face
    return x + nx * (off + inset_mm), y + ny * (off + inset_mm)


def _beside(p: Point, a: Point, b: Point) -> tuple[float, Point]:
    """How far a point is from a side of a ring, and which way is in (rings run anticlockwise)."""
    long = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    along = min(max(ux * (p[0] - a[0]) + uy * (p[1] - a[1]), 0.0), long)
    return math.dist(p, (a[0] + ux * along, a[1] + uy * along)), (-uy, ux)


def tipping(body: Body) -> tuple[float, float | None]:
    """The least push sideways and the least load on an edge that tip a body (N); 0: it does not stand."""
    import shapely

    hull = shapely.MultiPoint(body.feet).convex_hull
    if hull.geom_type != "Polygon" or not hull.contains(shapely.Point(body.middle)):
        return 0.0, 0.0
    weight = body.mass_kg * G_N_KG
    corners = list(hull.exterior.coords)
    push, edge = math.inf, math.inf
    for (ax, ay), (bx, by) in pairwise(corners):
        ux, uy = (bx - ax) / math.hypot(bx - ax, by - ay), (by - ay) / math.hypot(bx - ax, by - ay)
        inside = [ux * (y - ay) - uy * (x - ax) for x, y in (body.middle, *body.rim)]
        turn = 1.0 if inside[0] > 0 else -1.0
        arm = turn * inside[0]
        push = min(push, weight * arm / body.height_mm)
        beyond = max(-turn * off for off in inside[1:])
        if beyond > 1e-6:
            edge = min(edge, weight * arm / beyond)
    return push, None if math.isinf(edge) else edge


def group_of(
    names: tuple[str, ...],
    boards: Mapping[str, Board],
    strengths: Mapping[str, BoardStrength],
    parts: Mapping[str, BoardParts],
    floor_below_mm: float,
    insets: Mapping[str, float] = NO_INSETS,
) -> StandingGroup:
    body = body_of(names, boards, strengths, parts, floor_below_mm, insets)
    push, edge = tipping(body)
    return StandingGroup(
        boards=names,
        mass_kg=round(body.mass_kg, 6),
        height_mm=round(body.height_mm, 3),
        push_n=math.floor(push * 10) / 10,
        edge_n=None if edge is None else math.floor(edge * 10) / 10,
    )
