"""Pictures of sheets in the workbook: parts where they lie, as they are cut."""

from __future__ import annotations

import io
import re
import zipfile
from xml.etree import ElementTree

import msgspec
import pytest
from two_boards import nouns

from boardwright.plan.model import Track
from boardwright_outputs.workbook.cutting import stock
from boardwright_outputs.workbook.layout import seen_from_above
from boardwright_outputs.workbook.pictures import drawing_xml
from boardwright_outputs.workbook.sheet import Picture
from boardwright_timber.model import PlacedPart


def test_a_part_is_drawn_as_it_is_cut_and_not_as_its_blank() -> None:
    """A 400 × 200 part with a corner cut off, turned by a quarter: its ring is on the sheet, in the drawing
    6.2 points a centimetre (620 to the sheet's metre), y down from the top of its blank."""
    given = nouns()
    part = given["parts"]["A"].parts[0]
    ring = ((0.0, 0.0), (400.0, 0.0), (400.0, 200.0), (100.0, 200.0))
    cut = msgspec.structs.replace(part, id="P", ring=ring, length_mm=400.0, width_mm=200.0, openings=())
    boards = {"A": msgspec.structs.replace(given["parts"]["A"], parts=(cut,), tools=())}
    sheet = msgspec.structs.replace(
        given["cutting"].sheets[0],
        length_mm=1000.0,
        width_mm=600.0,
        parts=(PlacedPart(part="P", x_mm=50.0, y_mm=60.0, length_mm=200.0, width_mm=400.0, turned=True),),
    )
    cutting = msgspec.structs.replace(given["cutting"], sheets=(sheet,))
    (picture,) = stock(cutting, boards).pictures
    # turned anticlockwise about its blank's corner: (x, y) becomes (50 + 200 - y, 60 + x)
    assert picture.shapes == ((((250.0, 60.0), (250.0, 460.0), (50.0, 460.0), (50.0, 160.0)),),)
    path = drawing_xml([picture], 1).partition("<a:path ")[2].partition("</a:path>")[0]
    mm = 0.62 * 12700
    corners = [(200, 400), (200, 0), (0, 0), (0, 300)]
    assert re.findall(r'<a:pt x="(\d+)" y="(\d+)"/>', path) == [
        (f"{x * mm:.0f}", f"{y * mm:.0f}") for x, y in corners
    ]
    (blank,) = stock(cutting, {}).pictures
    assert blank.shapes == ((),)
    assert "<a:path " not in drawing_xml([blank], 1)


def test_each_cut_sheet_has_its_picture(saved: bytes) -> None:
    """A rectangle a part, on the scale of 620 points to the sheet's length, from its lower left corner."""
    with zipfile.ZipFile(io.BytesIO(saved)) as package:
        assert b"/xl/drawings/drawing1.xml" in package.read("[Content_Types].xml")
        root = ElementTree.fromstring(package.read("xl/drawings/drawing2.xml"))  # the first is the plan
    a, xdr = (
        f"{{http://schemas.openxmlformats.org/drawingml/2006/{n}}}" for n in ("main", "spreadsheetDrawing")
    )
    sheets = nouns()["cutting"].sheets
    groups = list(root.iter(f"{xdr}grpSp"))
    assert len(groups) == len(sheets)
    for group, sheet in zip(groups, sheets, strict=True):
        frame, *shapes = list(group.iter(f"{xdr}sp"))[1:]
        scale = 620 * 12700 / sheet.length_mm
        low = sum(
            int(n)
            for e in frame.iter()
            for k, n in e.attrib.items()
            if k == "cy" or (k, e.tag) == ("y", f"{a}off")
        )
        for shape, part in zip(shapes, sheet.parts, strict=True):
            at, size = shape.find(f".//{a}off"), shape.find(f".//{a}ext")
            assert at is not None
            assert size is not None
            assert "".join(shape.itertext()) == part.part
            assert int(at.get("x", 0)) == pytest.approx(part.x_mm * scale, abs=1)
            assert low - int(at.get("y", 0)) - int(size.get("cy", 0)) == pytest.approx(
                part.y_mm * scale, abs=2
            )
            assert int(size.get("cx", 0)) == pytest.approx(part.length_mm * scale, abs=1)


def test_boards_are_shown_as_they_lie_with_their_tracks() -> None:
    """A triangle 400 × 200 at (1000, 500) and a track: the picture begins at its lower left corner."""
    given = nouns()
    board = msgspec.structs.replace(
        next(iter(given["boards"].values())),
        level_mm=0.0,
        ring=((1000.0, 500.0), (1400.0, 500.0), (1400.0, 700.0)),
        wells=(),
    )
    track = Track(id="K1", points=((1000.0, 550.0), (1400.0, 550.0)))
    plan = msgspec.structs.replace(given["plan"], tracks=(track,), turnouts=())
    (picture,) = seen_from_above(plan, [board])
    assert (picture.width_mm, picture.height_mm) == (400.0, 200.0)
    assert picture.shapes == ((((0.0, 0.0), (400.0, 0.0), (400.0, 200.0)),),)
    assert picture.lines == (((0.0, 50.0), (400.0, 50.0)),)
    drawn = drawing_xml([picture], 1)
    mm = 620 / 400 * 12700
    line = drawn.partition('fill="none">')[2].partition("</a:path>")[0]
    assert re.findall(r'<a:pt x="(\d+)" y="(\d+)"/>', line) == [
        (f"{x * mm:.0f}", f"{y * mm:.0f}") for x, y in ((0, 150), (400, 150))
    ]
    assert "<a:close/>" not in line


def test_a_tall_picture_is_no_taller_than_a_page() -> None:
    picture = Picture(
        title="t", says="t", width_mm=100.0, height_mm=5000.0, boxes=((0.0, 0.0, 50.0, 50.0, "B"),)
    )
    sizes = [int(n) for n in re.findall(r'cy="(\d+)"', drawing_xml([picture], 1))]
    assert max(sizes) <= (430 + 18) * 12700
