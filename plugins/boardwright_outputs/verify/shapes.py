"""Rings, arcs and places: from records and drawings to polygons.

Glossary
    rounded     a ring whose pieces on one of its circles are followed round, as they are cut
    sagitta     how far a chord may stay inside its arc; arcs are compared by points this near
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import shapely
from shapely import Polygon
from shapely.ops import unary_union

from .dxf import Run
from .record import Board, Circle, Part, Point, Ring

SAGITTA_MM = 1e-4


def bulged(run: Run) -> list[Point]:
    """Points along a closed run, arcs divided. A bulge is the tangent of a quarter of the arc's angle (DXF
    reference, LWPOLYLINE group code 42; from memory)."""
    found: list[Point] = []
    for (ax, ay, bulge), (bx, by, _) in zip(run.corners, [*run.corners[1:], run.corners[0]], strict=True):
        found.append((ax, ay))
        if bulge and (ax, ay) != (bx, by):
            sweep = 4 * math.atan(bulge)
            chord = math.dist((ax, ay), (bx, by))
            # the centre lies on the chord's bisector, chord / 2 / tan(half the sweep) to the left
            off = chord / 2 / math.tan(sweep / 2) if abs(abs(sweep) - math.pi) > 1e-12 else 0.0
            centre = (
                (ax + bx) / 2 - (by - ay) / chord * off,
                (ay + by) / 2 + (bx - ax) / chord * off,
            )
            found += _between((ax, ay), centre, math.dist((ax, ay), centre), sweep)
    return found


def rounded(ring: Ring, circles: Sequence[Circle]) -> list[Point]:
    """With the pieces that follow a circle made round, two neighbours at least: one alone is cut straight."""
    pieces = list(zip(ring, [*ring[1:], *ring[:1]], strict=True))
    on = [next((n for n, c in enumerate(circles) if _follows(a, b, c)), None) for a, b in pieces]
    found: list[Point] = []
    for k, (a, b) in enumerate(pieces):
        found.append(a)
        if on[k] is not None and on[k] in (on[k - 1], on[(k + 1) % len(on)]):
            c = circles[on[k] or 0]
            ax, ay, bx, by = a[0] - c.x_mm, a[1] - c.y_mm, b[0] - c.x_mm, b[1] - c.y_mm
            sweep = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
            found += _between(a, (c.x_mm, c.y_mm), c.radius_mm, sweep)
    return found


def _follows(a: Point, b: Point, c: Circle) -> bool:
    off = max(abs(math.dist(p, (c.x_mm, c.y_mm)) - c.radius_mm) for p in (a, b))
    return off <= 1e-5 and math.dist(a, b) <= c.chord_mm * 1.001


def _between(a: Point, centre: Point, radius: float, sweep: float) -> list[Point]:
    half = math.acos(max(1 - SAGITTA_MM / radius, -1.0)) if radius > SAGITTA_MM else math.pi / 2
    steps = min(math.ceil(abs(sweep) / (2 * half)), 100_000)
    start = math.atan2(a[1] - centre[1], a[0] - centre[0])
    angles = (start + sweep * n / steps for n in range(1, steps))
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in angles]


def area(ring: Sequence[Point], wells: Iterable[Sequence[Point]] = ()) -> Polygon:
    """A polygon; raises ValueError where a ring is no ring or crosses itself."""
    if len(ring) < 3:
        raise ValueError("an edge has fewer than three corners")
    found = Polygon(ring, list(wells))
    if not found.is_valid:
        raise ValueError(shapely.is_valid_reason(found))
    return found


def part_shape(part: Part) -> Polygon:
    """A part as it is cut, slots not counted."""
    return area(rounded(part.ring, part.circles), [rounded(o, part.circles) for o in part.openings])


def size(shape: Polygon) -> tuple[float, float]:
    """How long and wide a shape is along its axes."""
    left, bottom, right, top = shape.bounds
    return right - left, top - bottom


def board_shape(board: Board) -> Polygon:
    """A board's deck edge as it is cut, plan axes."""
    return area(rounded(board.ring, board.circles), [rounded(w, board.circles) for w in board.wells])


def local(part: Part, x: float, y: float) -> tuple[float, float, float]:
    """Board axes and height of a point of a part's drawn face, by its placement."""
    p = part.placement
    a = math.radians(p.angle_deg)
    c, s = math.cos(a), math.sin(a)
    if p.stands:
        return p.x_mm + x * c, p.y_mm + x * s, p.z_mm + y
    return p.x_mm + x * c - y * s, p.y_mm + x * s + y * c, p.z_mm + part.thickness_mm


def to_plan(board: Board, u: float, v: float) -> Point:
    a = math.radians(board.angle_deg)
    c, s = math.cos(a), math.sin(a)
    return board.origin[0] + u * c - v * s, board.origin[1] + u * s + v * c


def in_plan(board: Board, part: Part, x: float, y: float) -> tuple[float, float, float]:
    """Plan axes and height above the layout's zero of a point of a part's drawn face."""
    u, v, z = local(part, x, y)
    return (*to_plan(board, u, v), board.level_mm + z)


def strip(part: Part, length: float) -> Polygon:
    """A standing part of this length seen from above, board axes: its thickness lies left of its x axis, its
    ends follow its bevels (positive: the drawn face is the longer)."""
    t = part.thickness_mm
    left, right = (t * math.tan(math.radians(b)) for b in (part.left_bevel_deg, part.right_bevel_deg))
    corners = (
        (max(-left, 0.0), 0.0),
        (length - max(-right, 0.0), 0.0),
        (length - max(right, 0.0), t),
        (max(left, 0.0), t),
    )
    a = math.radians(part.placement.angle_deg)
    c, s = math.cos(a), math.sin(a)
    return area(
        [(part.placement.x_mm + x * c - y * s, part.placement.y_mm + x * s + y * c) for x, y in corners]
    )


def together(shapes: Iterable[Polygon]) -> shapely.Geometry:
    return unary_union(list(shapes))


def off(one: shapely.Geometry, two: shapely.Geometry) -> float:
    """Area in which two shapes differ, mm²."""
    return float(one.symmetric_difference(two).area)
