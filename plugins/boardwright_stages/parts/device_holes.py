"""Holes and slots through the deck over devices: a throw pin, a signal's rod, a feed's wires.

Claim: a device with ``hole_mm`` gets that hole over its middle; with a longer ``slot_mm`` a slot across its
length, the way a throw pin moves. Sizes come from the device's kind, row or block, and are common practice.

What this does not know: which side of the rail a dropper goes, how far a device's pin stands from its middle
(give the device's place so that its middle is the pin), and access openings in the deck.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from boardwright.plan.model import Device
from boardwright_timber.model import Board, BoardPlan, Hole, HoleKind, Member

LEAST_WEB_MM = 3.0


def device_holes(board: Board, device: Device) -> Iterator[Hole]:
    """The hole a device wants, in the board's local axes."""
    if device.hole_mm <= 0:
        return
    x, y = board.to_local((device.x_mm, device.y_mm))
    is_slot = device.slot_mm > device.hole_mm + 1e-6
    yield Hole(
        kind=HoleKind.DEVICE,
        x_mm=round(x, 6),
        y_mm=round(y, 6),
        diameter_mm=device.hole_mm,
        note=f"dropper of feed {device.id}" if device.kind == "feed" else f"over {named(device)}",
        slot_mm=device.slot_mm if is_slot else 0.0,
        slot_deg=round((device.angle_deg - board.angle_deg + 90.0) % 180.0, 6) if is_slot else 0.0,
    )


def named(device: Device) -> str:
    """A device within a sentence: ``point motor PM7``."""
    return f"{device.kind.replace('_', ' ')} {device.id}"


def holes_on_wood(
    board: Board, plan: BoardPlan, members: Iterable[Member]
) -> Iterator[tuple[Device, Member]]:
    """Own devices whose hole would come down on a frame member, and that member."""
    strips = tuple(members)
    for device in plan.devices:
        if device.id not in plan.own_devices:
            continue
        for hole in device_holes(board, device):
            r = hole.diameter_mm / 2
            for member in strips:
                if any(_over(member, at, r) for at in (*hole.ends, (hole.x_mm, hole.y_mm))):
                    yield device, member


def holes_too_close(board: Board, plan: BoardPlan) -> Iterator[tuple[Device, Device, float]]:
    """Pairs of own devices between whose holes too little wood is left, and how much (mm; below nought they
    run into each other). The smallest web is common practice, no source."""
    own = [d for d in plan.devices if d.id in plan.own_devices]
    drilled = [(d, hole) for d in own for hole in device_holes(board, d)]
    for n, (first, a) in enumerate(drilled):
        for second, b in drilled[n + 1 :]:
            reach = (max(a.slot_mm, a.diameter_mm) + max(b.slot_mm, b.diameter_mm)) / 2 + LEAST_WEB_MM
            if math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) >= reach:
                continue  # most pairs, without geometry
            wood = _apart(a, b) - (a.diameter_mm + b.diameter_mm) / 2
            if wood < LEAST_WEB_MM:
                yield first, second, wood


def _apart(a: Hole, b: Hole) -> float:
    """Between the middle lines of two holes or slots."""
    import shapely

    return float(shapely.LineString(a.ends).distance(shapely.LineString(b.ends)))


def _over(member: Member, at: tuple[float, float], r: float) -> bool:
    x, (dx, dy) = member.along(at), member.direction
    behind = dx * (at[1] - member.outer_start[1]) - dy * (at[0] - member.outer_start[0])
    return -r < x < member.length_mm + r and -r < behind < member.thickness_mm + r
