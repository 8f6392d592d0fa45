"""Legs put back in their places beside the parts, and what else stands there.

Claim: each leg is looked at where its record has it, at the inner face of the part that it carries as that is
cut and placed; what it must keep off is read from the parts' own holes and from the devices, never from what
the legs were placed by. What a leg says itself that it meets does not count: a finding tells of it.

What this does not know: legs that end under the frame, posts, and legs of other boards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from boardwright.plan.model import Device, Point
from boardwright_timber.model import Board, BoardStand, HoleKind, Leg

from ..joints.bores import bolt_bore, dowel_bore
from ..joints.settings import JointSettings
from ..wiring.holes import BEHIND_MM, HAND_ROOM_MM
from .reassembly import Drilled, Solid

if TYPE_CHECKING:
    from shapely import Polygon

REACH_MM = 0.1  # so deep a leg may reach into a room: rounding


def legs_met(
    board: Board,
    stand: BoardStand,
    solids: Sequence[Solid],
    holes: Sequence[Drilled],
    devices: Sequence[Device],
    joints: JointSettings,
) -> Iterator[tuple[float, str]]:
    """For each leg beside a member: the largest area (mm²) of it in something that it does not name itself,
    and what that is. ``devices``: with how deep they hang below the board's level."""
    beside = [(leg, _square(board, leg, solids)) for leg in stand.legs if leg.lap_mm and not leg.on]
    wood = [(s, s.part.of or s.part.id) for s in solids if s.part.placement.stands]
    rooms = [(h, room, low) for h in holes for room, low in _rooms(board, h, joints)]
    for n, (leg, square) in enumerate(beside):
        top_mm = board.level_mm + leg.top_mm
        found = [(0.0, leg.id)]
        for part, id_ in wood:
            if id_ != leg.member and part.low_mm < top_mm and not _names(leg, id_):
                found.append((square.intersection(part.shape).area, f"{leg.id} and {part.part.id}"))
        for hole, room, low in rooms:
            kind = "wire hole" if hole.hole.kind is HoleKind.WIRE else hole.hole.kind.value
            if low < top_mm and not any(name.startswith(kind) for name in leg.meets):
                found.append((square.intersection(room).area, f"{leg.id} and a {kind} of {hole.part.id}"))
        for device in devices:
            if board.level_mm - device.depth_mm < top_mm and not _names(leg, device.id):
                area = square.intersection(_ring(device.keepout())).area
                found.append((area, f"{leg.id} and {device.id}"))
        for other, its in beside[:n]:
            if not _names(leg, other.id):
                found.append((square.intersection(its).area, f"{leg.id} and {other.id}"))
        yield max(found, key=lambda f: f[0])


def _names(leg: Leg, id_: str) -> bool:
    return any(name.endswith(f" {id_}") for name in leg.meets)


def _square(board: Board, leg: Leg, solids: Sequence[Solid]) -> Polygon:
    """A leg at the inner face of its member's parts: the farthest of them left of their drawn faces."""
    own = [s for s in solids if leg.member in (s.part.id, s.part.of)]
    turned = math.radians(board.angle_deg + own[0].part.placement.angle_deg)
    (ux, uy), (x, y) = (math.cos(turned), math.sin(turned)), board.to_plan((leg.x_mm, leg.y_mm))
    corners = [p for s in own for p in s.shape.exterior.coords]
    near = max(-uy * (a - x) + ux * (b - y) for a, b in corners) + REACH_MM
    half, far = leg.side_mm / 2 - REACH_MM, near + leg.side_mm - 2 * REACH_MM
    return _laid((x, y), (ux, uy), (-half, near), (half, far))


def _rooms(board: Board, hole: Drilled, joints: JointSettings) -> Iterator[tuple[Polygon, float]]:
    """What a bolt, dowel or wire wants behind the face that it comes out of, and how low that reaches."""
    part = hole.part
    if not part.placement.stands or part.placement.path:
        return
    turned = math.radians(board.angle_deg + part.placement.angle_deg)
    along, at, z, t = (math.cos(turned), math.sin(turned)), hole.plan, hole.at[2], part.thickness_mm
    if hole.hole.kind is HoleKind.BOLT:
        half = bolt_bore(joints).room_mm / 2
        yield _laid(at, along, (-half, t), (half, t + joints.reach_mm)), -math.inf
    elif hole.hole.kind is HoleKind.DOWEL:
        half = dowel_bore(joints).room_mm / 2
        yield _laid(at, along, (-half, t), (half, t + BEHIND_MM)), z - half
    elif hole.hole.kind is HoleKind.WIRE:
        half = hole.hole.diameter_mm / 2 + HAND_ROOM_MM
        yield _laid(at, along, (-half, t), (half, t + BEHIND_MM)), z - half
        if hole.hole.joint is None:
            yield _laid(at, along, (-half, -BEHIND_MM), (half, 0.0)), z - half


def _laid(at: Point, along: Point, low: Point, high: Point) -> Polygon:
    """A rectangle from ``low`` to ``high``, measured along a direction and to its left, from a point."""
    (x, y), (ux, uy) = at, along
    corners = (low, (high[0], low[1]), high, (low[0], high[1]))
    return _ring([(x + ux * a - uy * b, y + uy * a + ux * b) for a, b in corners])


def _ring(corners: Sequence[Point]) -> Polygon:
    import shapely

    return shapely.Polygon(corners)
