"""What is read, against another reader: GDAL's DXF driver (by pyogrio), on our fixtures and on drawn plates.

Compared: the area and the box of the outline, and the length and the box of the tracks. GDAL makes straight
pieces of curves by steps of an angle; 0.2° keeps the two within what is asserted.
"""

from __future__ import annotations

import math
import random
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ezdxf
import pyogrio
import pytest
import shapely
from ezdxf.math import Matrix44

from boardwright.findings import Notes
from boardwright.plan.model import TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings, LayerSettings
from boardwright.plan.source import SourceFile

ROOT = Path(__file__).parents[3]
GAPS_MM = {"branch-terminus": 0.2}  # its edge is drawn with a gap, for the reader to close
MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
CODES = {"mm": 4, "cm": 5, "m": 6, "in": 1}


@pytest.fixture(autouse=True)
def fine_steps() -> Iterator[None]:
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": 0.2})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


def by_gdal(file: Path) -> dict[str, list[Any]]:
    """Shapes by layer, in drawing units."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # some entities carry fields that GDAL speaks of
        _, _, shapes, fields = pyogrio.raw.read(file, columns=["Layer"])
    found: dict[str, list[Any]] = {}
    for layer, shape in zip(fields[0], shapes, strict=True):
        found.setdefault(layer, []).append(shapely.force_2d(shapely.from_wkb(shape)))
    return found


def surface(shapes: list[Any], gap: float) -> Any:
    """The area that lines enclose, wells taken out; ends within ``gap`` meet."""
    lines = [part for s in shapes for part in shapely.get_parts(s)]
    rings = [s.exterior if s.geom_type == "Polygon" else s for s in lines]
    grid = shapely.set_precision(shapely.node(shapely.MultiLineString(rings)), gap)
    areas = [
        shapely.Polygon(p.exterior)
        for p in shapely.get_parts(shapely.polygonize(list(shapely.get_parts(grid))))
    ]
    whole = shapely.Polygon()
    for area in sorted(areas, key=lambda a: -a.area):
        whole = shapely.symmetric_difference(whole, area)
    return whole


def plan_of(file: Path, unit: str, layers: LayerSettings) -> TrackPlan:
    settings = DrawingSettings(
        file=file.name, units=unit, layers=layers, chord_error_mm=0.005, find_turnouts=False
    )
    return read_plan(
        SourceFile(file.name, file.read_bytes()), None, settings, DeviceSettings(), "Test", Notes()
    )


def compare(file: Path, unit: str, layers: LayerSettings, gap_mm: float = 1e-4) -> None:
    """``gap_mm``: how far pieces of the edge may be apart; areas can differ by that much along the edge."""
    plan = plan_of(file, unit, layers)
    theirs = by_gdal(file)
    mm = MM[unit]
    edge = [s for layer in layers.outline for s in theirs.get(layer, [])]
    whole = shapely.affinity.scale(surface(edge, gap_mm / mm), mm, mm, origin=(0, 0))
    ours = shapely.union_all([shapely.Polygon(o.ring, o.wells) for o in plan.outlines])
    assert ours.area == pytest.approx(whole.area, rel=2e-5, abs=gap_mm * ours.length / 2)
    assert ours.bounds == pytest.approx(whole.bounds, abs=0.02 + gap_mm)
    tracks = [
        shapely.affinity.scale(s, mm, mm, origin=(0, 0)) for la in layers.tracks for s in theirs.get(la, [])
    ]
    lines = [shapely.LineString(t.points) for t in plan.tracks]
    assert sum(t.length for t in lines) == pytest.approx(sum(t.length for t in tracks), rel=2e-5)
    if lines:
        assert shapely.total_bounds(lines) == pytest.approx(shapely.total_bounds(tracks), abs=0.02)


def random_plate(seed: int, file: Path) -> str:
    """A plate with round corners, a well and tracks of lines, arcs, splines and inserts. Gives its unit."""
    rng = random.Random(seed)
    unit = rng.choice(list(MM))
    document = ezdxf.new(rng.choice(["R2000", "R2007", "R2010", "R2018"]), units=CODES[unit])
    space = document.modelspace()
    length, width = rng.uniform(900, 4000), rng.uniform(400, 900)
    bulges = [rng.choice([0.0, 0.2, 0.35, 1.0]) for _ in range(4)]
    corners = [(0, 0), (length, 0), (length, width), (0, width)]
    if rng.random() < 0.5:
        space.add_lwpolyline(
            [(*p, b) for p, b in zip(corners, bulges, strict=True)],
            "xyb",
            close=True,
            dxfattribs={"layer": "E"},
        )
    else:
        space.add_polyline2d(
            [(*p, b) for p, b in zip(corners, bulges, strict=True)],
            format="xyb",
            close=True,
            dxfattribs={"layer": "E"},
        )
    if rng.random() < 0.6:
        if rng.random() < 0.5:
            space.add_circle((length / 2, width / 2), width / 5, dxfattribs={"layer": "E"})
        else:
            space.add_ellipse((length / 2, width / 2), (width / 4, width / 9), 0.5, dxfattribs={"layer": "E"})
    y = width / 4
    space.add_line((0, y), (length / 3, y), dxfattribs={"layer": "T"})
    space.add_arc((length / 3, y + 800), 800, 270, 270 + rng.uniform(5, 12), dxfattribs={"layer": "T"})
    space.add_open_spline(
        [(0, 3 * y), (200, 3 * y), (400, 3.2 * y), (700, 3.4 * y)], dxfattribs={"layer": "T"}
    )
    block = document.blocks.new("PIECE")
    block.add_line((0, 0), (100, 0), dxfattribs={"layer": "T"})
    block.add_arc((100, 200), 200, 270, 290, dxfattribs={"layer": "T"})
    turned = {"rotation": rng.uniform(0, 40), "xscale": rng.choice([1, -1, 2]), "layer": "T"}
    turned["yscale"] = abs(turned["xscale"])
    space.add_blockref("PIECE", (length / 2, 2 * y), dxfattribs=turned)
    turn = Matrix44.z_rotate(rng.uniform(0, math.tau)) @ Matrix44.translate(rng.uniform(-500, 500), 90, 0)
    for entity in space:
        entity.transform(turn @ Matrix44.scale(1 / MM[unit]))
    document.saveas(file)
    return unit


@pytest.mark.parametrize("seed", range(24))
def test_plates_are_read_alike(tmp_path: Path, seed: int) -> None:
    file = tmp_path / "plan.dxf"
    unit = random_plate(seed, file)
    compare(file, unit, LayerSettings(outline=("E",), tracks=("T",)))


@pytest.mark.parametrize(
    "case", ["branch-terminus", "exhibition-module", "shed-three-walls", "real-terminus"]
)
def test_fixtures_are_read_alike(case: str) -> None:
    import tomllib

    project = next(iter(sorted((ROOT / "fixtures" / case).glob("*.toml"))))
    tables = tomllib.loads(project.read_text())["drawing"]
    named = {role: tuple(names) for role, names in tables["layers"].items() if role in ("outline", "tracks")}
    compare(
        project.parent / tables["file"],
        tables.get("units", "mm"),
        LayerSettings(**named),
        GAPS_MM.get(case, 1e-4),
    )
