"""A small project that packs in seconds: one straight board, for tests of what is not about boards."""

from __future__ import annotations

from pathlib import Path

import ezdxf


def project(folder: Path, length: float, more: str = "") -> Path:
    """One straight board with a track, both its ends made to mate with the next module."""
    folder.mkdir(parents=True)
    drawing(folder / "plan.dxf", length)
    (folder / "layout.toml").write_text(
        f'[layout]\nname = "{folder.name}"\n[drawing]\nfile = "plan.dxf"\n[drawing.layers]\n'
        f'outline = ["EDGE"]\ntracks = ["TRACK"]\njoints = ["JOINT"]\n{more}'
    )
    return folder / "layout.toml"


def drawing(file: Path, length: float, ends: bool = True) -> None:
    """400 mm wide, a track along its middle; with ``ends``, both its short sides mate with other modules."""
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    space = document.modelspace()
    edge = [(0, 0), (length, 0), (length, 400), (0, 400)]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "EDGE"})
    space.add_line((0, 200), (length, 200), dxfattribs={"layer": "TRACK"})
    for x in (0, length) if ends else ():
        space.add_line((x, 0), (x, 400), dxfattribs={"layer": "JOINT"})
    document.saveas(file)
