"""Layouts to measure with, as many boards long as wanted."""

from __future__ import annotations

from pathlib import Path

import ezdxf

BOARD_MM = 1200


def shelf(folder: Path, boards: int) -> None:
    """A straight shelf of so many boards: two tracks, and a turnout, a motor and two feeds on each board."""
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    for layer in ("EDGE", "TRACK", "TURNOUT", "JOINT"):
        document.layers.add(layer)
    space = document.modelspace()
    length = boards * BOARD_MM
    edge = [(0, 0), (length, 0), (length, 500), (0, 500)]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "EDGE"})
    for n in range(1, boards):
        ends = (n * BOARD_MM, 0), (n * BOARD_MM, 500)
        space.add_line(*ends, dxfattribs={"layer": "JOINT"})
    for y in (200, 260):
        space.add_line((0, y), (length, y), dxfattribs={"layer": "TRACK"})
    block = document.blocks.new("POINT")
    block.add_line((0, 0), (180, 0))
    block.add_arc((0, 500), 500, 270, 290)
    for n in range(boards):
        space.add_blockref("POINT", (n * BOARD_MM + 300, 200), dxfattribs={"layer": "TURNOUT"})
    document.saveas(folder / "plan.dxf")
    list_devices(folder, boards)
    (folder / "layout.toml").write_text(
        '[drawing]\nfile = "plan.dxf"\nunits = "mm"\n'
        '[drawing.layers]\noutline = ["EDGE"]\ntracks = ["TRACK"]\n'
        'turnouts = ["TURNOUT"]\njoints = ["JOINT"]\n[devices]\nfile = "devices.csv"\n'
    )


def list_devices(folder: Path, boards: int, moved_mm: float = 0.0) -> None:
    """The device list; the motor of the middle board may be moved."""
    rows = ["id,kind,x_mm,y_mm"]
    for n in range(boards):
        x = n * BOARD_MM
        motor_at = x + 310 + (moved_mm if n == boards // 2 else 0.0)
        rows += [f"M{n},point_motor,{motor_at},200", f"FA{n},feed,{x + 600},200", f"FB{n},feed,{x + 900},260"]
    (folder / "devices.csv").write_text("\n".join(rows) + "\n")
