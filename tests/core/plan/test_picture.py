"""The picture of `inspect --html` shows what was read; names from the drawing stay text."""

from __future__ import annotations

import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import msgspec
import pytest

from boardwright.cli import main
from boardwright.plan.picture import page
from boardwright.plan.report import Inspection, describe, inspect_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile

FIXTURES = Path(__file__).parents[3] / "fixtures"
CASES = ("branch-terminus", "exhibition-module", "shed-three-walls", "real-terminus")
SVG = "{http://www.w3.org/2000/svg}"


def inspected(case: str) -> Inspection:
    folder = FIXTURES / case
    tables = tomllib.loads((folder / "layout.toml").read_text())
    return inspect_plan(
        SourceFile("plan.dxf", (folder / "plan.dxf").read_bytes()),
        SourceFile("devices.csv", (folder / "devices.csv").read_bytes()),
        msgspec.convert(tables["drawing"], DrawingSettings),
        msgspec.convert(tables["devices"], DeviceSettings),
    )


def picture(text: str) -> ET.Element:
    """The first drawing of a page, as XML of its own."""
    start = text.index("<svg")
    drawing = text[start : text.index("</svg>", start) + 6]
    return ET.fromstring(drawing.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1))


def count(drawing: ET.Element, kind: str) -> int:
    return sum(e.get("class") == kind for e in drawing.iter())


@pytest.mark.parametrize("case", CASES)
def test_everything_read_is_in_the_picture(case: str) -> None:
    inspection = inspected(case)
    plan = inspection.reading.plan
    assert plan is not None
    drawing = picture(page(inspection))
    for kind, things in (
        ("outline", plan.outlines),
        ("tracks", plan.tracks),
        ("turnouts", plan.turnouts),
        ("devices", plan.devices),
        ("clearance", plan.devices),
        ("joints", plan.drawn_joints),
        ("obstacles", plan.obstacles),
        ("lift_outs", plan.lift_outs),
    ):
        assert count(drawing, kind) == len(things), kind
    titles = {t.text for t in drawing.iter(f"{SVG}title")}
    assert {t.id for t in plan.turnouts} <= titles
    x, y, width, height = map(float, drawing.attrib["viewBox"].split())
    for outline in plan.outlines:
        assert all(x < px < x + width and y < -py < y + height for px, py in outline.ring)


@pytest.mark.parametrize("case", CASES)
def test_the_report_fits_a_narrow_terminal(case: str) -> None:
    lines = describe(inspected(case), 50)
    assert [line for line in lines if len(line) > 50] == []
    assert any("tracks:" in line for line in lines)


def test_what_is_not_read_and_what_is_found_are_shown(to_bytes: Any, board: Any) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_line((0, 0), (500, 300), dxfattribs={"layer": "Dreams"})
        doc.modelspace().add_line((700, 250), (1100, 250), dxfattribs={"layer": "Tracks"})

    inspection = inspect_plan(SourceFile("a.dxf", to_bytes(draw)), None, DrawingSettings(), DeviceSettings())
    text = page(inspection)
    assert count(picture(text), "unread") == 1
    numbers = [t.text for t in picture(text).iter(f"{SVG}text")]
    order = [f.code for f in inspection.findings].index("BW-READ-071") + 1
    assert str(order) in numbers  # the track that runs off the layout, at its place
    assert "Dreams</td><td>not read</td><td>1</td>" in text


def test_a_drawing_that_cannot_be_used_is_shown_all_the_same(to_bytes: Any) -> None:
    data = to_bytes(lambda doc: doc.modelspace().add_line((0, 0), (900, 0), dxfattribs={"layer": "X"}))
    text = page(inspect_plan(SourceFile("a.dxf", data), None, DrawingSettings(), DeviceSettings()))
    assert "cannot be used" in text
    assert count(picture(text), "unread") == 1
    assert "BW-READ-008" in text


def test_names_from_the_drawing_stay_text(to_bytes: Any, board: Any) -> None:
    bad = "<script>alert(1)</script>"

    def draw(doc: Any) -> None:
        board(doc)
        doc.blocks.new("BOX").add_circle((0, 0), 10)
        insert = doc.modelspace().add_blockref("BOX", (100, 100), dxfattribs={"layer": "Devices"})
        insert.add_attrib("NAME", bad, (0, 0))
        insert.add_attrib("KIND", "servo", (0, 0))

    text = page(
        inspect_plan(SourceFile(bad + ".dxf", to_bytes(draw)), None, DrawingSettings(), DeviceSettings())
    )
    assert "<script" not in text
    assert "&lt;script&gt;" in text
    for load in ("http:", "https:", "src=", "url(", "@import", "<link"):
        assert load not in text


def test_the_page_is_written_over_its_like_only(tmp_path: Path, capsys: Any) -> None:
    plan, out = str(FIXTURES / "exhibition-module" / "plan.dxf"), tmp_path / "look.html"
    assert main(["inspect", plan, "--html", str(out)]) == 0
    first = out.read_bytes()
    assert main(["inspect", plan, "--html", str(out)]) == 0
    assert out.read_bytes() == first
    out.write_text("my own page")
    assert main(["inspect", plan, "--html", str(out)]) == 2
    assert out.read_text() == "my own page"
    assert "BW-PROJ-008" in capsys.readouterr().err
    assert main(["inspect", plan, "--html", str(tmp_path / "no" / "such" / "folder.html")]) == 2
