"""Parts back in their places: only part and placement are used, never the frame they came from.

Everything is in plan coordinates, heights from the floor of the layout (a board's level is the underside of
its deck, z = 0 in its local axes).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Board, Hole, Part

if TYPE_CHECKING:
    from shapely import Polygon


class Solid(msgspec.Struct, frozen=True):
    """A part in its place: its plan shape between two heights."""

    part: Part
    shape: Polygon
    low_mm: float
    high_mm: float


class Drilled(msgspec.Struct, frozen=True):
    """A hole in its place: the point on the part's drawn face."""

    part: Part
    hole: Hole
    at: tuple[float, float, float]

    @property
    def plan(self) -> Point:
        return self.at[:2]


def solid(board: Board, part: Part) -> Solid:
    import shapely

    bottom = board.level_mm + part.placement.z_mm
    if part.placement.path:
        middle = shapely.LineString([board.to_plan(p) for p in part.placement.path])
        shape = middle.buffer(part.thickness_mm / 2, cap_style="flat", join_style="mitre")
        return Solid(part, shape, bottom, bottom + part.width_mm)
    if part.placement.stands:
        ring = tuple(_in_plan(board, part, x, depth) for x, depth in strip_plan(part))
        return Solid(part, shapely.Polygon(ring), bottom, bottom + part.width_mm)
    ring = tuple(_in_plan(board, part, *p) for p in part.ring)
    openings = [tuple(_in_plan(board, part, *p) for p in o) for o in part.openings]
    return Solid(part, shapely.Polygon(ring, openings), bottom, bottom + part.thickness_mm)


def drilled(board: Board, part: Part) -> tuple[Drilled, ...]:
    found = []
    for hole in part.holes:
        if part.placement.stands:
            x, y = _in_plan(board, part, hole.x_mm, 0.0)
            z = board.level_mm + part.placement.z_mm + hole.y_mm
        else:
            x, y = _in_plan(board, part, hole.x_mm, hole.y_mm)
            z = board.level_mm + part.placement.z_mm + part.thickness_mm
        found.append(Drilled(part, hole, (x, y, z)))
    return tuple(found)


def strip_plan(part: Part) -> Ring:
    """A standing part seen from above: (along, depth behind the drawn face), anticlockwise."""
    left, right = face_offsets(part)
    t, length = part.thickness_mm, part.length_mm
    return (
        (max(-left, 0.0), 0.0),
        (length - max(-right, 0.0), 0.0),
        (length - max(right, 0.0), t),
        (max(left, 0.0), t),
    )


def face_offsets(part: Part) -> tuple[float, float]:
    """How much longer the drawn face is than the far one, at the left and the right end."""
    t = part.thickness_mm
    return (
        t * math.tan(math.radians(part.left_bevel_deg)),
        t * math.tan(math.radians(part.right_bevel_deg)),
    )


def _in_plan(board: Board, part: Part, x: float, y: float) -> Point:
    """(x, y) of a lying part, or (along, behind) of a standing one, in plan coordinates."""
    a = math.radians(part.placement.angle_deg)
    c, s = math.cos(a), math.sin(a)
    return board.to_plan((part.placement.x_mm + x * c - y * s, part.placement.y_mm + x * s + y * c))
