"""DXF files read back with ezdxf: what the nouns say is what is in the file, to 1e-6 mm."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from itertools import pairwise
from types import SimpleNamespace

import ezdxf
import msgspec
import pytest
from ezdxf.document import Drawing as Document

from boardwright_outputs.drawings.drawing import (
    Align,
    Arc,
    Box,
    Circle,
    Drawing,
    Item,
    Polyline,
    Role,
    Text,
)
from boardwright_outputs.drawings.dxf import number, plain_text, write_dxf
from boardwright_outputs.drawings.layers import layer


def read(data: bytes) -> Document:
    return ezdxf.read(io.TextIOWrapper(io.BytesIO(data), encoding="utf-8"))


def drawn(*items: Item) -> Drawing:
    return Drawing(title="t", frame=Box(-10, -20, 300, 200), items=items)


def test_every_file_is_sound(drawings: dict[str, Drawing]) -> None:
    for name, drawing in drawings.items():
        doc = read(write_dxf(drawing))
        audit = doc.audit()
        assert (audit.errors, audit.fixes) == ([], []), name
        assert doc.dxfversion == "AC1024"  # R2010
        assert doc.header["$INSUNITS"] == 4  # millimetres
        assert doc.header["$MEASUREMENT"] == 1  # metric
        assert len(doc.modelspace()) == len(drawing.items)


def test_one_role_a_layer(drawings: dict[str, Drawing]) -> None:
    known = {layer(role) for role in Role}
    for drawing in drawings.values():
        doc = read(write_dxf(drawing))
        for entity, item in zip(doc.modelspace(), drawing.items, strict=True):
            assert entity.dxf.layer == layer(item.role)
            assert entity.dxf.layer in known
            assert entity.dxf.layer in doc.layers


def test_cut_layers_hold_closed_contours_and_circles_only(drawings: dict[str, Drawing]) -> None:
    seen = set()
    for drawing in drawings.values():
        for entity in read(write_dxf(drawing)).modelspace():
            if entity.dxf.layer == "THROUGH_CUT":
                assert entity.dxftype() == "LWPOLYLINE"
                assert entity.closed
            if entity.dxf.layer in ("HOLE", "POCKET", "BACK_HOLE"):
                assert entity.dxftype() == "CIRCLE"
            seen.add(entity.dxf.layer)
    assert {"THROUGH_CUT", "HOLE", "POCKET", "BACK_HOLE"} <= seen


def test_a_part_is_what_its_noun_says(layout: SimpleNamespace, drawings: dict[str, Drawing]) -> None:
    for part in (p for board in layout.parts.values() for p in board.parts):
        space = read(write_dxf(drawings[part.id])).modelspace()
        contours = [[p[:2] for p in e.get_points()] for e in space.query('LWPOLYLINE[layer=="THROUGH_CUT"]')]
        assert len(contours) == 1 + len(part.openings)
        for got, ring in zip(contours, (part.ring, *part.openings), strict=True):
            assert len(got) == len(ring)
            for point, wanted in zip(got, ring, strict=True):
                assert point == pytest.approx(wanted, abs=1e-6)
        circles = [e for e in space.query("CIRCLE") if e.dxf.layer in ("HOLE", "POCKET", "BACK_HOLE")]
        got_holes = sorted((e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius) for e in circles)
        wanted_holes = sorted((h.x_mm, h.y_mm, h.diameter_mm) for h in part.holes)
        assert len(got_holes) == len(wanted_holes)
        for hole, wanted_hole in zip(got_holes, wanted_holes, strict=True):
            assert hole == pytest.approx(wanted_hole, abs=1e-6)


def test_nothing_is_doubled_or_without_length(drawings: dict[str, Drawing]) -> None:
    for drawing in drawings.values():
        seen = set()
        for entity in read(write_dxf(drawing)).modelspace():
            match entity.dxftype():
                case "LINE":
                    ends = (entity.dxf.start.round(6), entity.dxf.end.round(6))
                    assert ends[0].distance(ends[1]) > 1e-6
                    key = (entity.dxf.layer, *sorted(tuple(e) for e in ends))
                case "CIRCLE":
                    assert entity.dxf.radius > 0
                    key = (entity.dxf.layer, tuple(entity.dxf.center.round(6)), round(entity.dxf.radius, 6))
                case "LWPOLYLINE":
                    points = [(round(p[0], 6), round(p[1], 6)) for p in entity.get_points()]
                    assert all(a != b for a, b in pairwise(points))
                    assert not entity.closed or points[0] != points[-1]
                    key = (entity.dxf.layer, tuple(sorted(points)), entity.closed)
                case _:
                    continue
            assert key not in seen, key
            seen.add(key)


def test_each_kind_of_item() -> None:
    doc = read(
        write_dxf(
            drawn(
                Polyline(role=Role.DIMENSION, points=((0.0, 0.0), (3.0, 4.0))),
                Polyline(role=Role.TRACK, points=((0.0, 0.0), (3.0, 4.0), (9.0, 4.0))),
                Polyline(role=Role.THROUGH_CUT, points=((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)), closed=True),
                Circle(role=Role.HOLE, x_mm=1.5, y_mm=2.25, radius_mm=12.5),
                Arc(role=Role.MARK, x_mm=1.0, y_mm=2.0, radius_mm=5.0, start_deg=10.0, end_deg=100.0),
                Text(role=Role.TEXT, x_mm=1.0, y_mm=2.0, height_mm=5.0, text="Prüfung"),
                Text(
                    role=Role.TEXT,
                    x_mm=7.0,
                    y_mm=8.0,
                    height_mm=5.0,
                    text="x",
                    align=Align.CENTRE,
                    angle_deg=90.0,
                ),
            )
        )
    )
    line, run, ring, circle, arc, text, turned = doc.modelspace()
    assert line.dxftype() == "LINE"
    assert line.dxf.end.isclose((3, 4, 0))
    assert run.dxftype() == "LWPOLYLINE"
    assert not run.closed
    assert ring.closed
    assert circle.dxf.radius == 12.5
    assert (arc.dxf.start_angle, arc.dxf.end_angle) == (10.0, 100.0)
    assert text.dxf.text == "Prüfung"
    assert turned.dxf.rotation == 90.0
    assert turned.get_placement()[0] == ezdxf.enums.TextEntityAlignment.CENTER
    assert turned.get_placement()[1].isclose((7, 8, 0))


def test_handles_are_unique_and_below_the_next_one(drawings: dict[str, Drawing]) -> None:
    data = write_dxf(drawings["B01"])
    lines = data.decode().split("\r\n")
    tags = list(zip(lines[::2], lines[1::2], strict=False))
    handles = [int(v, 16) for code, v in tags if code.strip() == "5"][1:]  # the first 5 is the seed itself
    assert len(handles) == len(set(handles))
    seed = next(int(v, 16) for code, v in tags if code.strip() == "5")
    assert max(handles) < seed


def test_the_extent_is_the_frame() -> None:
    doc = read(write_dxf(drawn()))
    assert tuple(doc.header["$EXTMIN"])[:2] == (-10, -20)
    assert tuple(doc.header["$EXTMAX"])[:2] == (300, 200)


def test_same_bytes_in_another_process(drawings: dict[str, Drawing]) -> None:
    """A second process with another hash seed writes the same file."""
    program = (
        "import sys; from boardwright_outputs.drawings.drawing import *\n"
        "from boardwright_outputs.drawings.dxf import write_dxf\n"
        "import msgspec; d = msgspec.json.decode(sys.stdin.buffer.read(), type=Drawing)\n"
        "sys.stdout.buffer.write(write_dxf(d))"
    )
    drawing = drawings["B02"]
    once = subprocess.run(
        [sys.executable, "-c", program],
        input=msgspec.json.encode(drawing),
        capture_output=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "77"},
    ).stdout
    assert once == write_dxf(drawing)


def test_text_cannot_become_tags() -> None:
    evil = "a\r\n  0\r\nLINE\r\n%%uB %%%%% ^J \u202e\x00 end"
    doc = read(write_dxf(drawn(Text(role=Role.TEXT, x_mm=0.0, y_mm=0.0, height_mm=5.0, text=evil))))
    (entity,) = doc.modelspace()
    assert entity.dxftype() == "TEXT"
    assert "%%" not in entity.dxf.text
    assert len(plain_text("x" * 9999)) == 250


def test_hostile_names_stay_text(hostile_drawings: dict[str, Drawing]) -> None:
    for drawing in hostile_drawings.values():
        doc = read(write_dxf(drawing))
        assert doc.audit().errors == []
        assert len(doc.modelspace()) == len(drawing.items)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0.0"),
        (-0.0000001, "0.0"),
        (1e-6, "0.000001"),
        (1200.0, "1200.0"),
        (1e7, "10000000.0"),
        (-3.25, "-3.25"),
    ],
)
def test_numbers_are_plain(value: float, text: str) -> None:
    assert number(value) == text
