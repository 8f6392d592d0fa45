"""Lists with headings and units of their own: the same devices, and every slip told by the heading's name."""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.findings import Notes, Severity
from boardwright.plan import device_list, devices
from boardwright.plan.column_names import COLUMNS, LENGTHS
from boardwright.plan.drawn import Drawn
from boardwright.plan.model import Device
from boardwright.plan.settings import ColumnSettings, DeviceSettings
from boardwright.plan.source import SourceFile

Draw = Callable[[Any], None]
OWN = {"id": "Name", "kind": "Type", "x_mm": "X (in)", "y_mm": "Y (in)"}


def test_the_settings_know_every_column() -> None:
    assert ColumnSettings.__struct_encode_fields__ == COLUMNS
    given = msgspec.convert({"from": "Start", "id": " "}, ColumnSettings)
    assert given.named() == {"from": "Start"}


def test_own_headings_in_inches(read: Any, board: Draw) -> None:
    rows = 'NAME,type,X  (IN),y(in)\nM1,servo,10,3 1/2\nM2,servo,"1\' 8""",3.5\n'
    case = read(board, rows, devices={"columns": OWN})
    # 10 × 25.4 = 254; 3.5 × 25.4 = 88.9; 20 × 25.4 = 508
    assert [(d.id, d.kind, d.x_mm, d.y_mm) for d in case.plan.devices] == [
        ("M1", "servo", 254, 88.9),
        ("M2", "servo", 508, 88.9),
    ]
    told = case.notes["BW-READ-089"]
    assert told.severity is Severity.NOTE
    assert "'X (IN)' in inches, 'y(in)' in inches" in told.says
    assert told.where[0].row == 1


def test_the_example_of_the_page_is_read_as_its_words_say(read: Any, board: Draw) -> None:
    page = (Path(__file__).parents[3] / "docs" / "devices.md").read_text()
    (example,) = re.findall(r"```toml\n(.+?)```", page, flags=re.DOTALL)
    setting = tomllib.loads(example)["devices"]
    rows = "Name,Type,East,North,Width in mm\nM1,servo,1' 8,12½,30\n"
    (servo,) = read(board, rows, devices=setting).plan.devices
    assert (servo.x_mm, servo.y_mm, servo.width_mm) == (508, 317.5, 30)  # 20 and 12.5 × 25.4


MM_IN = {"mm": "1", "cm": "10", "m": "1000", "in": "25.4", "ft": "304.8"}
SHAPES = ("{0}_{1}", "{0} ({1})", "{0}, {1}", "{0} [{1}]", "{0} in {1}", "{0}/{1}")


@given(
    st.lists(st.tuples(*[st.integers(1, 5000)] * 4), min_size=1, max_size=3),
    st.sampled_from(sorted(MM_IN)),
    st.sampled_from((*SHAPES, None)),
    st.booleans(),
    st.booleans(),
)
@settings(deadline=None, max_examples=40, derandomize=True)
def test_one_list_in_any_unit_and_words(
    rows: Any, unit: str, shape: str | None, own: bool, as_sheet: bool
) -> None:
    """A list in mm under our names is the same list in ``unit`` under other headings, to the last digit."""
    usual = ("x_mm", "y_mm", "width_mm", "depth_mm")
    words = ("East", "North", "Breadth", "Below") if own else ("X", "y", "WIDTH", "Depth")
    heads = [(shape or "{0}").format(word, unit) for word in words]
    columns = {"kind": "What"} | (dict(zip(usual, heads, strict=True)) if own else {})

    def table(factor: Decimal, head: list[str]) -> list[list[str]]:
        cells = [[str(Decimal(n) * Decimal("1.27") / factor) for n in row] for row in rows]
        return [head, *([f"M{i}", "servo", *row] for i, row in enumerate(cells))]

    ours = "\n".join(",".join(row) for row in table(Decimal(1), ["id", "kind", *usual]))
    # 1.27 mm is 0.05 in, 0.127 cm and 1/240 ft, which as a decimal is cut after 28 digits
    theirs = table(Decimal(MM_IN[unit]), ["id", "What", *heads])
    data = _sheet(theirs) if as_sheet else "\n".join(";".join(row) for row in theirs).encode()
    setting = {"columns": columns, "units": "auto" if shape else unit}
    assert _devices(data, setting) == _devices(ours.encode(), {})


def _devices(data: bytes, setting: dict[str, Any]) -> tuple[Device, ...]:
    """What a list alone gives, without a drawing; nothing may be wrong with it."""
    of, notes, problems = msgspec.convert(setting, DeviceSettings), Notes(), Notes()
    listed = device_list.read(SourceFile("devices.csv", data), of, notes, problems)
    drawn = Drawn(file="plan.dxf", units="mm", layers=())
    made = devices.devices(drawn, (), listed, of, notes, problems)
    assert not problems.findings
    return made


def _sheet(rows: list[list[str]]) -> bytes:
    book, stream = openpyxl.Workbook(), io.BytesIO()
    assert book.active is not None
    for row in rows:
        book.active.append(row)
    book.save(stream)
    return stream.getvalue()


def test_units_of_headings_that_tell_none(read: Any, board: Draw) -> None:
    rows = "id,kind,x,y,hole_mm\nM1,servo,20,10,12\n"
    stated = read(board, rows, devices={"units": "in"})
    (servo,) = stated.plan.devices
    assert (servo.x_mm, servo.y_mm, servo.hole_mm) == (508, 254, 12)
    assert "'hole_mm' in millimetres; all other lengths in inches" in stated.notes["BW-READ-089"].says
    assumed = read(board, rows)
    (servo,) = assumed.plan.devices
    assert (servo.x_mm, servo.y_mm) == (20, 10)
    assert assumed.notes["BW-READ-090"].severity is Severity.MENDED
    assert "'x', 'y'" in assumed.notes["BW-READ-090"].says
    assert "units" in assumed.notes["BW-READ-090"].mend
    assert not {"BW-READ-089", "BW-READ-090"} & set(read(board, "id,kind,x_mm,y_mm\nM1,servo,20,10\n").notes)


def test_a_unit_that_every_heading_denies(read: Any, board: Draw) -> None:
    found = read(board, "id,kind,x_mm,y_mm\nM1,servo,20,10\n", devices={"units": "in"}).problems
    assert set(found) == {"BW-READ-092"}
    assert "'x_mm', 'y_mm'" in found["BW-READ-092"].says
    agreed = read(board, "id,kind,x_in,y_in\nM1,servo,20,10\n", devices={"units": "in"})
    assert not agreed.notes.keys() & {"BW-READ-089", "BW-READ-090"}


TWICE = [
    ("id,kind,X,x_mm,y_mm", {}, "'X' and 'x_mm'", 'x_mm = "X" or "x_mm"'),
    ("id,kind,x_mm,X mm,y_mm", {}, "'x_mm' and 'X mm'", "another heading"),
    ("Name,kind,name,x_mm,y_mm", {"id": "Name"}, "'Name' and 'name'", "another heading"),
]


@pytest.mark.parametrize(("head", "columns", "says", "mend"), TWICE)
def test_two_headings_for_one_column(
    read: Any, board: Draw, head: str, columns: dict[str, str], says: str, mend: str
) -> None:
    found = read(board, f"\n{head}\nM1,servo,1,2,3\n", devices={"columns": columns}).problems["BW-READ-091"]
    assert says in found.says
    assert mend in found.mend
    assert (found.where[0].file, found.where[0].row) == ("devices.csv", 2)


def test_an_own_heading_goes_before_the_usual_name(read: Any, board: Draw) -> None:
    case = read(board, "ID,Name,kind,x_mm,y_mm\n7,M1,servo,20,10\n", devices={"columns": {"id": "Name"}})
    assert [d.id for d in case.plan.devices] == ["M1"]
    assert case.notes["BW-READ-042"].says == "column 'ID' is not read: [devices] columns names another for id"


def test_slips_of_the_setting(read: Any, board: Draw) -> None:
    rows = "id,kind,East,y_mm\nM1,servo,20,10\n"
    gone = read(board, rows, devices={"columns": {"x_mm": "Eest"}}).problems["BW-READ-093"]
    assert "Did you mean 'East'?" in gone.mend
    assert gone.where[0].key == "[devices] columns.x_mm"
    both = read(board, rows, devices={"columns": {"x_mm": "East", "note": "east"}}).problems["BW-READ-093"]
    assert "two columns, x_mm and note" in both.says


def test_headings_that_are_wanted_are_suggested(read: Any, board: Draw) -> None:
    found = read(board, "Name,kind,x_mm,y_mm\nM1,servo,20,10\n").problems["BW-READ-041"]
    assert 'columns = { id = "Name" }' in found.mend


@pytest.mark.parametrize(
    ("heading", "meant"), [("Dpeth (in)", "depth_mm"), ("clearence", "clearance_mm"), ("Knd", "kind")]
)
def test_the_nearest_known_heading(read: Any, board: Draw, heading: str, meant: str) -> None:
    case = read(board, f"id,kind,x_mm,y_mm,{heading}\nM1,servo,20,10,3\n")
    assert case.notes["BW-READ-042"].mend == f"Did you mean '{meant}'?"


HEAD = "Name,Type,X (in),Y (in),Deep (in),Start\n"
COLUMNS_OF_HEAD = {**OWN, "depth_mm": "Deep (in)", "from": "Start"}
MESSAGES = [
    ("M1,servo,2o,10,,", "BW-READ-043", "'X (in)' of M1 is not a number", "inches, such as 12.5 or 12 1/2"),
    ("M1,servo,20,10,-1,", "BW-READ-043", "'Deep (in)' of M1 must not be", "inches"),
    (",servo,20,10,,", "BW-READ-044", "no 'Name'", "name"),
    ("M1,servo,20,,,", "BW-READ-047", "no 'Y (in)'", "both"),
    ("M1,servo,,,,", "BW-READ-047", "'X (in)' and 'Y (in)' are empty", "Fill 'X (in)' and 'Y (in)'"),
    ("M1,servo,90,10,,", "BW-READ-048", "not on the layout", "correct 'X (in)' and 'Y (in)'"),
]


@pytest.mark.parametrize(("row", "code", "says", "mend"), MESSAGES)
def test_messages_name_the_headings_of_the_list(
    read: Any, board: Draw, row: str, code: str, says: str, mend: str
) -> None:
    found = read(board, HEAD + row + "\n", devices={"columns": COLUMNS_OF_HEAD}).problems[code]
    assert says in found.says
    assert mend in found.mend
    assert found.where[0].row == 2


def test_cautions_name_them_too(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.blocks.new("TURNOUT").add_lwpolyline([(0, -15), (150, -15), (150, 30), (0, 15)], close=True)
        doc.modelspace().add_blockref("TURNOUT", (300, 200), dxfattribs={"layer": "Turnouts"})

    case = read(draw, HEAD + "M1,servo,20,10,,\nM2,lamp,0,10,,\n", devices={"columns": COLUMNS_OF_HEAD})
    assert "Correct 'X (in)' and 'Y (in)'" in case.notes["BW-READ-087"].mend
    assert "under 'Start'" in case.notes["BW-READ-087"].mend
    assert "length_mm and width_mm" in case.notes["BW-READ-049"].mend  # columns this list has not


@pytest.mark.parametrize(("x", "y"), [("x_mm", "y_mm"), ("X", "Y"), ("X (in)", "Y (in)")])
def test_the_mend_for_a_wrong_unit_does_mend(read: Any, x: str, y: str) -> None:
    """What the message says to write is read, and puts the devices on the layout."""
    feet = [(8, 1), (1, 2), (6, 1.5)]
    rows = "".join(f"M{n},lamp,{a},{b}\n" for n, (a, b) in enumerate(feet))

    def draw(doc: Any) -> None:
        corners = [(100, 100), (3000, 100), (3000, 700), (100, 700)]
        doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "Edge"})

    found = read(draw, f"id,kind,{x},{y}\n{rows}").problems["BW-READ-037"]
    assert "look like feet" in found.says
    if "x_ft and y_ft" in found.mend:
        mended = read(draw, f"id,kind,x_ft,y_ft\n{rows}")
    else:
        assert 'units = "ft"' in found.mend
        mended = read(draw, f"id,kind,{x},{y}\n{rows}", devices={"units": "ft"})
    assert [d.x_mm for d in mended.plan.devices] == [2438.4, 304.8, 1828.8]  # 8, 1 and 6 × 304.8


def test_a_level_in_words_is_no_height(read: Any, board: Draw) -> None:
    case = read(board, "id,kind,x_mm,y_mm,Level\nM1,servo,20,10,upper\n")
    assert case.notes["BW-READ-042"].mend == "Did you mean 'level_mm'?"
    told = read(
        board,
        "id,kind,x_mm,y_mm,Level\nM1,servo,20,10,5\n",
        devices={"columns": {"level_mm": "Level"}},
        levels=[{"layers": ["Edge"], "height_mm": 5}],
    )
    assert told.plan.devices[0].level_mm == 5


def test_every_length_may_be_in_inches(read: Any, board: Draw) -> None:
    bare = [c.removesuffix("_mm") for c in LENGTHS]
    head = ",".join(f"{c} (in)" for c in bare)
    raised = [{"layers": ["Edge"], "height_mm": 101.6}]
    text = f"id,kind,{head},Angle\nM1,servo,{','.join(['4'] * len(bare))},90\n"
    (servo,) = read(board, text, levels=raised).plan.devices
    sizes = (servo.x_mm, servo.y_mm, servo.length_mm, servo.width_mm, servo.depth_mm, servo.clearance_mm)
    assert {*sizes, servo.hole_mm, servo.slot_mm, servo.level_mm} == {101.6}  # 4 × 25.4
    assert servo.angle_deg == 90
