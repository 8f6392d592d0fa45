"""One plate with a round end and one track, drawn every way a DXF file can: always the same plan.

Kinds of entity × releases of the format × text or binary × units; written by ezdxf, by GDAL (through pyogrio)
and by hand. The shape: 1000 × 500 mm, its right end a half circle of radius 250; a track along the middle.
"""

from __future__ import annotations

import io
import math
import struct
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf.math import Matrix44, rational_bspline_from_arc

#: Area of the shape: 1000 × 500 + π·250²/2 = 500 000 + 98 174.77 mm².
AREA = 598_174.77
EDGE, TRACK = {"layer": "Edge"}, {"layer": "Track"}
MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
CODES = {"mm": 4, "cm": 5, "m": 6, "in": 1, "ft": 2}
HALF_CIRCLE = [
    (1000 + 250 * math.sin(math.pi * i / 500), 250 - 250 * math.cos(math.pi * i / 500)) for i in range(501)
]
TRUE = shapely.Polygon([(0, 0), *HALF_CIRCLE, (0, 500)])
CORNERS = [(0, 0, 0), (1000, 0, 1), (1000, 500, 0), (0, 500, 0)]  # bulge 1: a half circle
STRAIGHT = [((1000, 500), (0, 500)), ((0, 500), (0, 0)), ((0, 0), (1000, 0))]


def pieces(space: Any) -> None:
    for a, b in STRAIGHT:
        space.add_line(a, b, dxfattribs=EDGE)
    space.add_arc((1000, 250), 250, 270, 90, dxfattribs=EDGE)


def old_polyline(space: Any) -> None:
    space.add_polyline2d(CORNERS, format="xyb", close=True, dxfattribs=EDGE)


def polyline_in_space(space: Any) -> None:
    space.add_polyline3d([(x, y, 12.5) for x, y in TRUE.exterior.coords[:-1]], close=True, dxfattribs=EDGE)


def light_polyline(space: Any) -> None:
    space.add_lwpolyline(CORNERS, format="xyb", close=True, dxfattribs=EDGE)


def seen_from_below(space: Any) -> None:
    """Drawn in a plane that looks down: its x axis runs the other way (DXF reference, arbitrary axis)."""
    mirrored = [(-x, y, -b) for x, y, b in CORNERS]
    space.add_lwpolyline(mirrored, format="xyb", close=True, dxfattribs=EDGE | {"extrusion": (0, 0, -1)})


def half_ellipse(space: Any) -> None:
    for a, b in STRAIGHT:
        space.add_line(a, b, dxfattribs=EDGE)
    space.add_ellipse((1000, 250), (0, 250), 1.0, math.pi, 2 * math.pi, dxfattribs=EDGE)


def spline(space: Any) -> None:
    for a, b in STRAIGHT:
        space.add_line(a, b, dxfattribs=EDGE)
    round_end = rational_bspline_from_arc((1000, 250), 250, start_angle=270, end_angle=90)
    space.add_spline(dxfattribs=EDGE).apply_construction_tool(round_end)


def hatch(space: Any) -> None:
    space.add_hatch(dxfattribs=EDGE).paths.add_polyline_path(CORNERS, is_closed=True)


def block_of(document: Any, name: str, draw: Callable[[Any], None], back: Matrix44) -> Any:
    """A block that holds the shape put through ``back``, so that its insert puts it right again."""
    block = document.blocks.new(name)
    draw(block)
    for entity in block:
        entity.transform(back)
    return block


def insert(space: Any) -> None:
    """Scaled by 2, turned by 30° and moved."""
    place = Matrix44.chain(
        Matrix44.scale(2, 2, 2), Matrix44.z_rotate(math.radians(30)), Matrix44.translate(70, -40, 0)
    )
    back = place.copy()
    back.inverse()
    block_of(space.doc, "PLATE", pieces, back)
    space.add_blockref(
        "PLATE", (70, -40), dxfattribs=EDGE | {"xscale": 2, "yscale": 2, "zscale": 2, "rotation": 30}
    )


def mirrored_in_another(space: Any) -> None:
    """A mirrored insert inside a block that is itself inserted."""
    block_of(space.doc, "HALF", pieces, Matrix44.scale(-1, 1, 1))
    whole = space.doc.blocks.new("WHOLE")
    whole.add_blockref("HALF", (100, 0), dxfattribs=EDGE | {"xscale": -1})
    space.add_blockref("WHOLE", (-100, 0), dxfattribs=EDGE)


def in_rows(space: Any) -> None:
    """Four inserts by one, of strips of 125 mm, below a lid that closes the shape."""
    strip = space.doc.blocks.new("STRIP")
    strip.add_line((0, 0), (0, 125), dxfattribs=EDGE)
    space.add_blockref("STRIP", (0, 0), dxfattribs=EDGE | {"row_count": 4, "row_spacing": 125})
    for a, b in (STRAIGHT[0], STRAIGHT[2]):
        space.add_line(a, b, dxfattribs=EDGE)
    space.add_arc((1000, 250), 250, 270, 90, dxfattribs=EDGE)


OLD = (pieces, old_polyline, polyline_in_space, insert, mirrored_in_another, in_rows)
NEW = (light_polyline, seen_from_below, half_ellipse, spline, hatch)
RELEASES = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")
CASES = [
    (draw, release, binary, list(MM)[n % len(MM)])
    for n, (draw, release, binary) in enumerate(
        (draw, release, binary)
        for draw in (*OLD, *NEW)
        for release in RELEASES
        for binary in (False, True)
        if draw in OLD or release != "R12"
    )
]


def written(draw: Callable[[Any], None], release: str, binary: bool, unit: str) -> bytes:
    document = ezdxf.new(release, units=CODES[unit])
    draw(document.modelspace())
    document.modelspace().add_line((0, 250), (1250, 250), dxfattribs=TRACK)
    for entity in document.modelspace():
        entity.transform(Matrix44.scale(1 / MM[unit]))
        if entity.dxf.hasattr("row_spacing"):
            entity.dxf.row_spacing /= MM[unit]  # which the library leaves as it was
    stream: Any = io.BytesIO() if binary else io.StringIO()
    document.write(stream, fmt="bin" if binary else "asc")
    data: bytes = stream.getvalue() if binary else stream.getvalue().encode()
    return data


def check(plan: Any) -> None:
    (outline,) = plan.outlines
    found = shapely.Polygon(outline.ring)
    assert shapely.hausdorff_distance(found.exterior, TRUE.exterior) <= 0.01
    assert found.area == pytest.approx(AREA, abs=0.01 * 2 * 1500)
    (track,) = plan.tracks
    start, end = min(track.points), max(track.points)
    assert math.dist(start, (0, 250)) <= 0.01
    assert math.dist(end, (1250, 250)) <= 0.01


@pytest.mark.parametrize(
    ("draw", "release", "binary", "unit"),
    CASES,
    ids=[f"{d.__name__}-{r}-{'binary' if b else 'text'}-{u}" for d, r, b, u in CASES],
)
def test_drawn_any_way_it_is_one_plan(
    read: Any, draw: Callable[[Any], None], release: str, binary: bool, unit: str
) -> None:
    data = written(draw, release, binary, unit)
    stated = {"units": unit} if release == "R12" else {}  # R12 drawings declare none
    check(read(data, chord_error_mm=0.002, **stated).plan)


def by_gdal(folder: Path, unit: str) -> bytes:
    """The same by GDAL's own writer, which knows straight pieces only."""
    shapes = [
        shapely.LineString([(x / MM[unit], y / MM[unit]) for x, y in line])
        for line in (TRUE.exterior.coords, [(0, 250), (1250, 250)])
    ]
    file = folder / f"{unit}.dxf"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a drawing has no map projection, and GDAL says so
        pyogrio.raw.write(
            file,
            shapely.to_wkb(np.array(shapes, dtype=object)),
            [np.array(["Edge", "Track"], dtype=object)],
            ["Layer"],
            geometry_type="LineString",
            crs=None,
            driver="DXF",
        )
    return file.read_bytes()


@pytest.mark.parametrize("unit", list(MM))
def test_written_by_gdal(read: Any, tmp_path: Path, unit: str) -> None:
    check(read(by_gdal(tmp_path, unit), chord_error_mm=0.002, units=unit).plan)


def by_hand(unit: str) -> list[tuple[int, str]]:
    """Group codes and values of a smallest drawing (DXF reference, LINE and ARC; from memory)."""
    f = MM[unit]
    tags = [(0, "SECTION"), (2, "ENTITIES")]
    for layer, a, b in (*(("Edge", a, b) for a, b in STRAIGHT), ("Track", (0, 250), (1250, 250))):
        tags += [(0, "LINE"), (8, layer)]
        tags += [(10, repr(a[0] / f)), (20, repr(a[1] / f)), (11, repr(b[0] / f)), (21, repr(b[1] / f))]
    tags += [(0, "ARC"), (8, "Edge"), (10, repr(1000 / f)), (20, repr(250 / f)), (40, repr(250 / f))]
    return [*tags, (50, "270.0"), (51, "90.0"), (0, "ENDSEC"), (0, "EOF")]


@pytest.mark.parametrize("unit", list(MM))
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_written_by_hand(read: Any, unit: str, ends: str) -> None:
    text = "".join(f"{code:3d}{ends}{value}{ends}" for code, value in by_hand(unit))
    check(read(text.encode(), chord_error_mm=0.002, units=unit).plan)


def test_written_by_hand_in_binary(read: Any) -> None:
    """Binary: a sentinel, then each code in one byte; text ends with a zero, numbers are doubles."""
    data = b"AutoCAD Binary DXF\r\n\x1a\x00"
    for code, value in by_hand("mm"):
        number = 10 <= code < 60
        data += struct.pack("<B", code) + (
            struct.pack("<d", float(value)) if number else value.encode() + b"\0"
        )
    check(read(data, chord_error_mm=0.002, units="mm").plan)


def test_the_comparison_can_fail(read: Any) -> None:
    def draw(doc: Any) -> None:
        corners = [(0, 0, 0), (1000.02, 0, 1), (1000.02, 500, 0), (0, 500, 0)]
        doc.modelspace().add_lwpolyline(corners, format="xyb", close=True, dxfattribs=EDGE)
        doc.modelspace().add_line((0, 250), (1250, 250), dxfattribs=TRACK)

    with pytest.raises(AssertionError):
        check(read(draw, chord_error_mm=0.002).plan)
