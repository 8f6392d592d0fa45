"""Legs against what stands where they run up: read from the pack's records, worked out anew.

Claim: no leg that runs up beside its member reaches by more than 0.1 mm into another member, a device's
keep-out, the room of a bolt's nut and spanner, of a dowel or of a wire, or another leg, unless a finding of
the pack names that leg.

A wire wants 10 mm round its hole and 20 mm before it, a dowel 20 mm (as the pack's own makers say, written
here once more); rooms of bolts and dowels are in the pack's settings.

What this does not know: how low devices hang below decks that climb (none is looked at there); wing nuts,
which want more room than the setting says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely
from shapely import Polygon

from .boards import local
from .opened import Opened, many
from .record import Board, Device, Leg, Member, Point

SLACK_MM = 0.1
WIRE_ROUND_MM, BEHIND_MM = 10.0, 20.0
ON_FACE_MM = 0.1
AREA_MM2 = 0.01
type Room = tuple[str, Polygon, float]


def check_legs(opened: Opened) -> Iterator[str]:
    told = [f.says for f in opened.pack.findings]
    legs = named = 0
    for board in opened.pack.boards:
        members = {m.id: m for m in board.frame.members}
        rooms = [*_wood(board), *_devices(opened, board), *_fixings(opened, board), *_wires(board, members)]
        before: list[Room] = []
        for leg in (leg for leg in board.legs if leg.lap_mm and not leg.on):
            legs += 1
            own = members[leg.member]
            square = _square(own, leg)
            met = [
                name
                for name, room, low in (*rooms, *before)
                if name != own.id and low < leg.top_mm and square.intersection(room).area > AREA_MM2
            ]
            before.append((leg.id, square, -math.inf))
            if met and any(f"{leg.id} " in says for says in told):
                named += 1
            elif met:
                opened.fault(
                    "BW-VERIFY-045",
                    f"board {board.id}: leg {leg.id} stands where room is wanted for {' and '.join(met)}, "
                    "and no finding tells of it",
                    board=board.id,
                    item=leg.id,
                )
    if legs:
        yield f"{many(legs, 'leg')} stand clear beside their members" + (
            f", but for {named} that findings tell of." if named else "."
        )


def _axes(member: Member) -> tuple[Point, Point]:
    """Along a member, and from its outer to its inner face."""
    (ax, ay), (bx, by), (cx, cy) = member.outer_start, member.outer_end, member.inner_start
    length = math.hypot(bx - ax, by - ay)
    u = ((bx - ax) / length, (by - ay) / length)
    left = u[0] * (cy - ay) - u[1] * (cx - ax) > 0
    return u, ((-u[1], u[0]) if left else (u[1], -u[0]))


def _laid(at: Point, axes: tuple[Point, Point], half: float, low: float, high: float) -> Polygon:
    """A rectangle ``half`` to both sides of a point, from ``low`` to ``high`` off it."""
    (ux, uy), (nx, ny) = axes
    return Polygon(
        [
            (at[0] + ux * a + nx * b, at[1] + uy * a + ny * b)
            for a, b in ((-half, low), (half, low), (half, high), (-half, high))
        ]
    )


def _square(member: Member, leg: Leg) -> Polygon:
    """A leg at its member's inner face, a little smaller than it is."""
    near, half = member.thickness_mm / 2, leg.side_mm / 2
    return _laid(
        (leg.x_mm, leg.y_mm), _axes(member), half - SLACK_MM, near + SLACK_MM, near + leg.side_mm - SLACK_MM
    )


def _wood(board: Board) -> Iterator[Room]:
    for m in board.frame.members:
        ring = (m.outer_start, m.outer_end, m.inner_end, m.inner_start)
        yield m.id, shapely.convex_hull(shapely.MultiPoint(ring)), m.top_mm - m.depth_mm


def _devices(opened: Opened, board: Board) -> Iterator[Room]:
    if any(panel.ways for panel in board.frame.deck):
        return
    for device in opened.pack.plan.devices:
        if device.level_mm in (None, board.level_mm) and device.depth_mm > 0:
            yield f"device {device.id}", _keep_out(board, device), -device.depth_mm


def _keep_out(board: Board, device: Device) -> Polygon:
    a = math.radians(device.angle_deg)
    axes = ((math.cos(a), math.sin(a)), (-math.sin(a), math.cos(a)))
    half, wide = (size / 2 + device.clearance_mm for size in (device.length_mm, device.width_mm))
    ring = _laid((device.x_mm, device.y_mm), axes, half, -wide, wide).exterior.coords
    return Polygon([local(board, (x, y)) for x, y in ring])


def _fixings(opened: Opened, board: Board) -> Iterator[Room]:
    rules = opened.pack.settings.get("joints", {})
    joints = {j.id: j for j in (*opened.pack.joints, *board.ends)}
    for fixing in opened.pack.fixings:
        joint = joints.get(fixing.joint)
        if not fixing.hole_diameter_mm or joint is None or board.id not in joint.boards:
            continue
        first = opened.boards.get(joint.boards[0], board)
        bolt = fixing.kind == "bolt"
        half = float(rules["spanner_room_mm" if bolt else "dowel_room_mm"]) / 2
        deep = float(rules["reach_mm"]) if bolt else BEHIND_MM
        at = local(board, (fixing.x_mm, fixing.y_mm))
        for m in board.frame.members:
            axes = (ux, uy), (nx, ny) = _axes(m)
            dx, dy = at[0] - m.outer_start[0], at[1] - m.outer_start[1]
            off, along = nx * dx + ny * dy, ux * dx + uy * dy
            length = math.dist(m.outer_start, m.outer_end)
            if abs(off + board.clear_mm) > ON_FACE_MM or not 0 < along < length:
                continue
            face = m.thickness_mm - off
            z = fixing.z_mm + first.level_mm - board.level_mm
            low = -math.inf if bolt else z - half  # a spanner comes from below
            yield f"{fixing.kind} {fixing.id}", _laid(at, axes, half, face, face + deep), low


def _wires(board: Board, members: dict[str, Member]) -> Iterator[Room]:
    for wire in board.wire_holes:
        m = members[wire.member]
        axes, half = _axes(m), wire.diameter_mm / 2 + WIRE_ROUND_MM
        ux, uy = axes[0]
        (ox, oy), (ix, iy) = m.outer_start, m.inner_start
        begins = min(0.0, ux * (ix - ox) + uy * (iy - oy))  # a hole is measured from the strip's long point
        along = begins + wire.along_mm
        at = (m.outer_start[0] + ux * along, m.outer_start[1] + uy * along)
        face, low = m.thickness_mm, wire.z_mm - half
        yield f"a wire hole of {m.id}", _laid(at, axes, half, face, face + BEHIND_MM), low
        if wire.joint is None:
            yield f"a wire hole of {m.id}", _laid(at, axes, half, -BEHIND_MM, 0.0), low
