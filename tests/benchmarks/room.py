"""A layout of twelve boards to measure with, round three walls: bends, arcs, a well, no joints drawn."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
from ezdxf.layouts import Modelspace

LONG, DEEP, SHELF = 6000.0, 4000.0, 560.0
QUARTER = math.tan(math.pi / 8)  # bulge of a quarter of a circle
EIGHTH = math.tan(math.pi / 16)
OUTER, INNER, LOOP = 120.0, 180.0, 240.0  # tracks, from the wall
BEND = 700.0  # centres of the bends, from both walls


def room(folder: Path) -> None:
    """The plan, its list and its project file."""
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    for layer in ("EDGE", "TRACK", "TURNOUT", "COLUMN"):
        document.layers.add(layer)
    space = document.modelspace()
    _edge(space)
    _tracks(space)
    block = document.blocks.new("POINT")
    block.add_line((0, 0), (200, 0))
    block.add_arc((0, 600), 600, 270, 289)
    for x, y, turned in turnouts():
        space.add_blockref("POINT", (x, y), dxfattribs={"layer": "TURNOUT", "rotation": turned})
    document.saveas(folder / "plan.dxf")
    list_devices(folder)
    (folder / "layout.toml").write_text(
        '[drawing]\nfile = "plan.dxf"\nunits = "mm"\n'
        '[drawing.layers]\noutline = ["EDGE"]\ntracks = ["TRACK"]\nturnouts = ["TURNOUT"]\n'
        'obstacles = ["COLUMN"]\n[devices]\nfile = "devices.csv"\n'
        "[splitting]\nmax_length_mm = 1250\nmax_width_mm = 760\n"
    )


def _edge(space: Modelspace) -> None:
    """The wall first; a bay of arcs before the station, with a well in it; a column to keep clear of."""
    inner = SHELF + 380
    edge = [
        (0, 0, 0), (LONG, 0, 0), (LONG, DEEP, 0), (LONG - SHELF, DEEP, 0),
        (LONG - SHELF, inner, -QUARTER), (LONG - inner, SHELF, 0),
        (3650, SHELF, -EIGHTH), (3450, SHELF + 80, EIGHTH), (3250, SHELF + 160, 0),
        (2350, SHELF + 160, EIGHTH), (2150, SHELF + 80, -EIGHTH), (1950, SHELF, 0),
        (inner, SHELF, -QUARTER), (SHELF, inner, 0), (SHELF, DEEP, 0), (0, DEEP, 0),
    ]  # fmt: skip
    space.add_lwpolyline(edge, format="xyb", close=True, dxfattribs={"layer": "EDGE"})
    space.add_circle((2800, 520), 110, dxfattribs={"layer": "EDGE"})
    space.add_circle((70, 2500), 40, dxfattribs={"layer": "COLUMN"})


def _tracks(space: Modelspace) -> None:
    layer = {"layer": "TRACK"}
    for wall in (OUTER, INNER):
        r = BEND - wall
        space.add_line((wall, DEEP - 60), (wall, BEND), dxfattribs=layer)
        space.add_arc((BEND, BEND), r, 180, 270, dxfattribs=layer)
        space.add_line((BEND, wall), (LONG - BEND, wall), dxfattribs=layer)
        space.add_arc((LONG - BEND, BEND), r, 270, 360, dxfattribs=layer)
        space.add_line((LONG - wall, BEND), (LONG - wall, DEEP - 60), dxfattribs=layer)
    ends = [(1500, INNER), (1700, LOOP), (3900, LOOP), (4100, INNER)]
    space.add_lwpolyline(ends, dxfattribs=layer)
    siding = [(2000, LOOP), (2200, 310), (3400, 310)]
    space.add_spline(siding, dxfattribs=layer)


def turnouts() -> list[tuple[float, float, float]]:
    """Toe and angle of each."""
    return [
        (1480, INNER, 0), (4120, INNER, 180), (1980, LOOP, 0), (1080, OUTER, 0), (4560, INNER, 180),
        (INNER, 1900, 270), (OUTER, 1300, 90), (LONG - INNER, 1240, 90), (LONG - OUTER, 2000, 270),
        (INNER, 2900, 270), (LONG - INNER, 2700, 90), (2700, OUTER, 0),
    ]  # fmt: skip


def list_devices(folder: Path, moved_mm: float = 0.0) -> None:
    """The device list; the motor of one turnout may be moved."""
    rows = ["id,kind,x_mm,y_mm"]
    for k, (x, y, turned) in enumerate(turnouts()):
        on = 60 + (moved_mm if k == 5 else 0.0)
        x, y = x + on * math.cos(math.radians(turned)), y + on * math.sin(math.radians(turned))
        rows.append(f"M{k:02},point_motor,{x:.3f},{y:.3f}")
    for k in range(9):
        rows.append(f"FA{k},feed,{810 + 540 * k},{OUTER}")
        rows.append(f"FB{k},feed,{INNER if k % 2 else LONG - INNER},{840 + 310 * k}")
    rows += ["E1,electronics,2450,450", "E2,electronics,400,2300", f"E3,electronics,{LONG - 400},2300"]
    rows += ["P1,panel,3100,640", "PS1,power_supply,3350,480"]
    (folder / "devices.csv").write_text("\n".join(rows) + "\n")
