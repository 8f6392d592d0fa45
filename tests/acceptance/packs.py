"""Reads a finished pack with nothing but json, ezdxf and shapely: no code of the tool under test."""

from __future__ import annotations

import json
import math
from functools import cached_property
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.document import Drawing
from ezdxf.path import make_path
from shapely import Polygon, affinity

CASES = ("branch-terminus", "exhibition-module", "shed-three-walls")
FIXTURES = Path(__file__).parents[2] / "fixtures"

type Place = tuple[float, float, float]


class Pack:
    """A delivered pack on disk."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.data: dict[str, Any] = json.loads((folder / "pack.json").read_text())

    @property
    def boards(self) -> dict[str, Any]:
        return {b["id"]: b for b in self.data["boards"]}

    @property
    def parts(self) -> dict[str, Any]:
        return {p["id"]: p for b in self.data["boards"] for p in b["parts"]}

    def setting(self, table: str, key: str) -> Any:
        return self.data["settings"][table][key]

    @cached_property
    def outlines(self) -> dict[str, Polygon]:
        return {o["id"]: Polygon(o["ring"], o["wells"]) for o in self.data["plan"]["outlines"]}

    def dxf(self, path: str) -> Drawing:
        return ezdxf.readfile(self.folder / path)

    def dxf_files(self, below: str) -> list[Path]:
        return sorted((self.folder / "dxf" / below).glob("*.dxf"))


def to_plan(board: dict[str, Any], part: dict[str, Any], x: float, y: float) -> Place:
    """Plan coordinates and height of a point of a part's drawn face, by the documented placement."""
    p = part["placement"]
    a = math.radians(p["angle_deg"])
    if p["stands"]:
        u, v, z = p["x_mm"] + x * math.cos(a), p["y_mm"] + x * math.sin(a), p["z_mm"] + y
    else:
        u = p["x_mm"] + x * math.cos(a) - y * math.sin(a)
        v = p["y_mm"] + x * math.sin(a) + y * math.cos(a)
        z = p["z_mm"] + part["thickness_mm"]
    b = math.radians(board["angle_deg"])
    ox, oy = board["origin"]
    return ox + u * math.cos(b) - v * math.sin(b), oy + u * math.sin(b) + v * math.cos(b), z


def closed_contours(document: Drawing, layer: str) -> list[list[tuple[float, float]]]:
    """Vertices of the closed polylines on a layer; fails on one that is open."""
    found = []
    for entity in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert entity.closed, f"open contour {entity.dxf.handle} on {layer}"
        found.append([(p.x, p.y) for p in make_path(entity).flattening(0.001)])
    return found


def circles(document: Drawing, layers: tuple[str, ...]) -> list[tuple[float, float, float]]:
    """(x, y, diameter) of every circle on the layers."""
    return [
        (c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius)
        for c in document.modelspace().query("CIRCLE")
        if c.dxf.layer in layers
    ]


def keepout(device: dict[str, Any]) -> Polygon:
    """A device's footprint grown by its clearance, turned and moved to its place."""
    x, y = device["length_mm"] / 2 + device["clearance_mm"], device["width_mm"] / 2 + device["clearance_mm"]
    box = Polygon([(-x, -y), (x, -y), (x, y), (-x, y)])
    return affinity.translate(
        affinity.rotate(box, device["angle_deg"], origin=(0, 0)), device["x_mm"], device["y_mm"]
    )
