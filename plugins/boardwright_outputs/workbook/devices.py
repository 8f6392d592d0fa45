"""Nouns to rows: every device, where it is on the plan and on its board.

The page shows the same rows. Nothing is worked out here beyond turning a place into the board's own axes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from boardwright.plan.model import Device, TrackPlan
from boardwright_timber.model import Board, BoardPlan

from .sheet import Column, Show, Table


class DeviceRow(msgspec.Struct, frozen=True, kw_only=True):
    """A device with its board ("" when it lies on none) and its place on it, in mm from the datum corner."""

    device: Device
    board: str = ""
    on_board: tuple[float, float] | None = None


def device_rows(
    plan: TrackPlan, boards: Mapping[str, Board], plans: Mapping[str, BoardPlan]
) -> Iterator[DeviceRow]:
    """Every device of the plan once, board by board, those on no board last."""
    own = {d: b for b, p in plans.items() for d in p.own_devices}
    order = {b: n for n, b in enumerate(boards)}
    for device in sorted(plan.devices, key=lambda d: (order.get(own.get(d.id, ""), len(order)), d.id)):
        board = boards.get(own.get(device.id, ""))
        if board is None:
            yield DeviceRow(device=device)
        else:
            place = board.to_local((device.x_mm, device.y_mm))
            yield DeviceRow(device=device, board=board.id, on_board=place)


def devices(plan: TrackPlan, boards: Mapping[str, Board], plans: Mapping[str, BoardPlan]) -> Table:
    rows = tuple(
        (
            r.device.id,
            r.device.kind,
            r.board or "none",
            r.device.x_mm,
            r.device.y_mm,
            r.device.angle_deg,
            r.on_board[0] if r.on_board else None,
            r.on_board[1] if r.on_board else None,
            r.device.length_mm,
            r.device.width_mm,
            r.device.depth_mm,
            r.device.clearance_mm,
        )
        for r in device_rows(plan, boards, plans)
    )
    return Table(
        name="Devices",
        purpose="What hangs below the decks. On the plan: as in your drawing. On the board: from the "
        "lower left corner of its drawing, seen from above. Depth is below the deck.",
        columns=(
            Column("Device"),
            Column("Kind"),
            Column("Board"),
            Column("x on plan", Show.MM, "mm"),
            Column("y on plan", Show.MM, "mm"),
            Column("Angle", Show.QUANTITY, "deg"),
            Column("x on board", Show.MM, "mm"),
            Column("y on board", Show.MM, "mm"),
            Column("Length", Show.MM, "mm"),
            Column("Width", Show.MM, "mm"),
            Column("Depth", Show.MM, "mm"),
            Column("Kept clear\nround it", Show.MM, "mm"),
        ),
        rows=rows,
        when_empty="The plan has no devices.",
    )
