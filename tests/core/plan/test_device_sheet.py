"""A device list in XLSX says the same as one in CSV, and strange files are refused in words."""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Callable
from typing import Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Severity

Draw = Callable[[Any], None]
HEAD = ("id", "kind", "x_mm", "y_mm", "note")


def sheet(*rows: tuple[Any, ...]) -> bytes:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in rows:
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def test_same_rows_same_devices(read: Any, board: Draw) -> None:
    rows: tuple[tuple[Any, ...], ...] = (
        HEAD,
        ("M1", "point motor", 200, 100.5, "left hand"),
        (None, None),
        (7, "servo", "300", "120", None),
    )
    text = "\n".join(",".join("" if c is None else str(c) for c in row) for row in rows)
    listed, typed = read(board, sheet(*rows)).plan.devices, read(board, text).plan.devices
    assert listed == typed
    assert [(d.id, d.x_mm, d.y_mm, d.note, d.place.row) for d in listed] == [
        ("7", 300, 120, "", 4),
        ("M1", 200, 100.5, "left hand", 2),
    ]


@pytest.mark.parametrize("cell", ["=1+1", '=HYPERLINK("x")', "=cmd|' /C calc'!A0"])
def test_a_formula_is_refused_and_its_row_named(read: Any, board: Draw, cell: str) -> None:
    problems = read(
        board, sheet(HEAD, ("M1", "servo", 10, 10, None), ("M2", "servo", cell, 20, None))
    ).problems
    assert problems["BW-READ-062"].where[0].row == 3
    assert "paste them as values" in problems["BW-READ-062"].mend


@pytest.mark.parametrize("above", [("Motors, May",), ("Club;",), ("x_mm", 3), ("kind", "of layout")])
def test_a_title_above_the_headings_is_passed_over_and_told(
    read: Any, board: Draw, above: tuple[Any, ...]
) -> None:
    case = read(board, sheet(above, (None,), HEAD, ("M1", "servo", 200, 100, None)))
    (device,) = case.plan.devices
    assert (device.id, device.x_mm, device.place.row) == ("M1", 200, 4)
    told = case.notes["BW-READ-096"]
    assert told.severity is Severity.MENDED
    assert "from row 3" in told.says
    assert repr(above[0]) in told.says


def test_a_title_in_a_csv_does_not_choose_the_sign_between_cells(read: Any, board: Draw) -> None:
    case = read(board, "Our motors\n\nid;kind;x_mm;y_mm\nM1;servo;200,5;100\n")
    assert [d.x_mm for d in case.plan.devices] == [200.5]


def test_headings_that_come_too_late_are_none(read: Any, board: Draw) -> None:
    rows = (("text",) for _ in range(21))
    assert "BW-READ-041" in read(board, sheet(*rows, HEAD, ("M1", "servo", 200, 100, None))).problems


@pytest.mark.parametrize("cell", [datetime.date(2024, 4, 2), "2.4.2024", "2/4/24"])
def test_a_number_that_became_a_date_is_told_as_that(read: Any, board: Draw, cell: Any) -> None:
    found = read(board, sheet(HEAD, ("M1", "servo", cell, 100, None))).problems["BW-READ-043"]
    assert found.mend.startswith("The spreadsheet took it for a date")


def test_an_open_document_is_named(read: Any, board: Draw) -> None:
    """Its first member tells the kind and is not packed (ODF 1.2, part 3)."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", "<a/>")
    assert "OpenDocument" in read(board, stream.getvalue()).problems["BW-READ-040"].says


def test_a_sheet_without_the_columns_says_which_are_wanted(read: Any, board: Draw) -> None:
    found = read(board, sheet(("name", "x_mm"), ("M1", 3))).problems["BW-READ-041"]
    assert "id, kind, x_mm, y_mm" in found.mend
    assert "There are: name, x_mm" in found.mend


def packed(**files: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return stream.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"\xd0\xcf\x11\xe0" + bytes(600),
        b"PK\x03\x04 and nothing more",
        packed(),
        packed(readme=b"not a workbook"),
        packed(big=bytes(60_000_000)),
    ],
    ids=["old format", "cut short", "empty", "another zip", "unpacks to 60 MB"],
)
def test_what_is_no_sheet_is_refused_in_words(read: Any, board: Draw, data: bytes) -> None:
    assert "XLSX or CSV" in read(board, data).problems["BW-READ-040"].mend


WHOLE = sheet(HEAD, ("M1", "servo", 10, 10, None), ("M2", "servo", 30, 20, "x"))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, len(WHOLE) - 1), st.integers(0, 255), st.integers(0, 40))
def test_damaged_sheets_never_break_the_reader(read: Any, board: Draw, at: int, byte: int, cut: int) -> None:
    data = WHOLE[:at] + bytes([byte]) + WHOLE[at + 1 : len(WHOLE) - cut]
    case = read(board, data)
    assert case.problems or case.plan.devices is not None
