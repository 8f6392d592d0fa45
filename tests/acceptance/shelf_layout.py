"""Orchard Shelf: a small layout of our own with a yard, and a shelf above its rear half; drawn here."""

from __future__ import annotations

from pathlib import Path

import ezdxf

LONG_MM, DEEP_MM, SHELF_MM, SHELF_DEEP_MM = 1100.0, 600.0, 340.0, 280.0
PROJECT = f"""
[layout]
name = "Orchard Shelf"
[drawing]
file = "plan.dxf"
[drawing.layers]
outline = ["* edge"]
tracks = ["* track"]
[[drawing.levels]]
layers = ["Shelf *"]
height_mm = {SHELF_MM:g}
[[drawing.levels]]
layers = ["Yard *"]
height_mm = 0
"""


def draw(folder: Path, extra: str = "") -> Path:
    """The project in a folder; B01 is the yard, B02 the shelf, flush with it at the back."""
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    back = DEEP_MM - SHELF_DEEP_MM
    for level, low, track in (("Yard", 0.0, 150.0), ("Shelf", back, 460.0)):
        edge = [(0, low), (LONG_MM, low), (LONG_MM, DEEP_MM), (0, DEEP_MM)]
        space.add_lwpolyline(edge, close=True, dxfattribs={"layer": f"{level} edge"})
        space.add_line((0, track), (LONG_MM, track), dxfattribs={"layer": f"{level} track"})
    doc.saveas(folder / "plan.dxf")
    (folder / "layout.toml").write_text(PROJECT + extra)
    return folder
