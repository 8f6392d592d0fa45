"""Reads a finished pack with nothing but json, ezdxf and shapely: no code of the tool under test."""

from __future__ import annotations

import json
import math
from functools import cached_property
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.document import Drawing
from ezdxf.math import bulge_to_arc
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

    @cached_property
    def true_outlines(self) -> list[Polygon]:
        """As ``outlines``, with what follows a circle made round."""
        return [
            Polygon(rounded(o["ring"], o["circles"]), [rounded(w, o["circles"]) for w in o["wells"]])
            for o in self.data["plan"]["outlines"]
        ]

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


#: Arcs are compared by points this near to them.
SAGITTA_MM = 1e-4


def closed_contours(document: Drawing, layer: str) -> list[list[tuple[float, float]]]:
    """Points along the closed polylines on a layer, arcs finely divided; fails on one that is open."""
    found = []
    for entity in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        assert entity.closed, f"open contour {entity.dxf.handle} on {layer}"
        corners = list(entity.get_points("xyb"))
        run = []
        for (ax, ay, bulge), (bx, by, _) in zip(corners, [*corners[1:], corners[0]], strict=True):
            run.append((ax, ay))
            if bulge:
                centre, _, _, radius = bulge_to_arc((ax, ay), (bx, by), bulge)
                run += between((ax, ay), (bx, by), (centre.x, centre.y), radius, 4 * math.atan(bulge))
        found.append(run)
    return found


def between(
    a: tuple[float, float], b: tuple[float, float], centre: tuple[float, float], radius: float, sweep: float
) -> list[tuple[float, float]]:
    """Points of an arc between its ends."""
    steps = math.ceil(abs(sweep) / (2 * math.acos(1 - SAGITTA_MM / radius)))
    start = math.atan2(a[1] - centre[1], a[0] - centre[0])
    angles = [start + sweep * n / steps for n in range(1, steps)]
    return [(centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in angles]


def rounded(ring: list[Any], circles: list[dict[str, Any]]) -> list[tuple[float, float]]:
    """A ring of the pack's data with the pieces that follow a circle made round."""
    run = []
    for a, b in zip(ring, [*ring[1:], ring[0]], strict=True):
        run.append((a[0], a[1]))
        for c in circles:
            centre = (c["x_mm"], c["y_mm"])
            off = max(abs(math.dist(p, centre) - c["radius_mm"]) for p in (a, b))
            if off <= 1e-5 and math.dist(a, b) <= c["chord_mm"] * 1.001:
                ax, ay, bx, by = a[0] - centre[0], a[1] - centre[1], b[0] - centre[0], b[1] - centre[1]
                sweep = math.atan2(ax * by - ay * bx, ax * bx + ay * by)
                run += between((a[0], a[1]), (b[0], b[1]), centre, c["radius_mm"], sweep)
                break
    return run


def part_area(part: dict[str, Any]) -> float:
    """Area of a part as it is cut, holes not counted."""
    rings = (part["ring"], *part["openings"])
    whole, *openings = (Polygon(rounded(r, part["circles"])).area for r in rings)
    return whole - sum(openings)


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
