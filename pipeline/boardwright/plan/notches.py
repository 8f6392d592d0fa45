"""Wells that touch the edge, or come as near to it as a gap: they are notches in the edge, not wells.

Glossary
    notch   a well one side of which lies on the edge: the edge goes round it
    web     the strip of nothing between such a well and the edge; it is left out

What this does not know: wells that reach over the edge; those are told as edges that overlap.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import msgspec

from . import rings
from .model import Ring

_HAIR_MM = 1e-6
LEAST_MM = 1.0
"""A well that touches the edge along less than this touches it in a point."""


class Cut(msgspec.Struct, frozen=True):
    """What is left of one surface, each with its wells; ``notches`` and ``points``: wells of either sort."""

    left: tuple[tuple[Ring, tuple[Ring, ...]], ...]
    notches: tuple[Ring, ...] = ()
    points: tuple[Ring, ...] = ()


def cut(ring: Ring, wells: Sequence[Ring], within_mm: float) -> Cut:
    """Make notches of the wells that come within a distance of the edge or of each other."""
    import shapely

    within = max(within_mm, _HAIR_MM)
    surface = shapely.Polygon(ring)
    apart: list[Ring] = []
    notches: list[Ring] = []
    points: list[Ring] = []
    for well in sorted(wells, key=lambda w: shapely.distance(shapely.LinearRing(w), surface.boundary)):
        if shapely.distance(shapely.LinearRing(well), surface.boundary) > within:
            apart.append(well)
            continue
        moved = _onto(well, surface, within)
        shared = shapely.intersection(moved.boundary, surface.boundary.buffer(within)).length
        side = shared > LEAST_MM + 5 * within
        (notches if side else points).append(well)
        if side:
            surface = shapely.difference(surface, moved.buffer(_HAIR_MM, join_style="mitre"))
    if not notches:
        return Cut(((ring, tuple(sorted(wells))),), (), tuple(points))
    left = []
    for part in shapely.get_parts(surface):
        if isinstance(part, shapely.Polygon) and not part.buffer(-within).is_empty:
            inside = [w for w in (*apart, *points) if part.contains(shapely.Polygon(w))]
            own = [rings.ring(hole.coords, clockwise=True) for hole in part.interiors]
            left.append((rings.ring(part.exterior.coords), tuple(sorted(w for w in (*inside, *own) if w))))
    return Cut(tuple(sorted(left)), tuple(notches), tuple(points))


def _onto(well: Ring, surface: Any, within: float) -> Any:
    """The well with what lies near the surface's edge moved onto it."""
    import shapely
    from shapely.ops import nearest_points

    edge = surface.boundary
    corners = []
    for x, y in well:
        p = shapely.Point(x, y)
        near = nearest_points(edge, p)[0]
        corners.append((near.x, near.y) if math.dist((x, y), (near.x, near.y)) <= within else (x, y))
    return shapely.make_valid(shapely.Polygon(corners))
