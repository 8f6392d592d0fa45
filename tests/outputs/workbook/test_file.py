"""The file itself: the same bytes on every save, and nothing but text where text was given."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import textwrap
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import msgspec
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from two_boards import CONTROL, NASTY

from boardwright.display import IN_MM
from boardwright.errors import DefectError
from boardwright_outputs.workbook.formats import IN_ORDER, STYLES
from boardwright_outputs.workbook.inert import cell_text, header_text, visible
from boardwright_outputs.workbook.laying import laid_table, wrapped
from boardwright_outputs.workbook.package import finished
from boardwright_outputs.workbook.sheet import Column, Front, Show, Table, column_letter
from boardwright_outputs.workbook.style import named_styles
from boardwright_outputs.workbook.writer import blank_book

HERE = Path(__file__).parent
EMPTY = Table(name="Table", purpose="", columns=(Column("Name"),), rows=())


def test_letters_of_columns_are_the_library_s() -> None:
    assert [column_letter(n) for n in range(1, 1000)] == [
        openpyxl.utils.get_column_letter(n) for n in range(1, 1000)
    ]


def test_the_styles_are_made_in_the_order_in_which_they_are_numbered() -> None:
    """And every number leads to its style in a file that the library reads back."""
    assert tuple(style.name for style in named_styles()) == STYLES
    book = openpyxl.load_workbook(io.BytesIO(blank_book("x", (laid_table(EMPTY).frame,), IN_MM)))
    cell = book["Table"]["A1"]
    for number, (style, active) in enumerate(IN_ORDER, 1):
        cell._style = book._cell_styles[number]
        assert (cell.style, cell.quotePrefix) == (style, active)


def test_the_same_layout_gives_the_same_bytes_in_another_process_and_another_second(saved: bytes) -> None:
    asked = (
        "import sys; sys.path.insert(0, sys.argv[1]); import conftest as c; sys.stdout.buffer.write(c.made())"
    )
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": f"UTC{seed}"}
        run = subprocess.run(
            [sys.executable, "-c", asked, str(HERE)], check=True, capture_output=True, env=environment
        )
        assert run.stdout == saved


def test_no_date_but_the_fixed_one(saved: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(saved)) as file:
        assert {entry.date_time for entry in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        names = file.namelist()
        properties = file.read("docProps/core.xml").decode()
        every = b"".join(file.read(name) for name in names)
    assert names[0] == "[Content_Types].xml"
    assert names[1:] == sorted(names[1:])
    assert re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", properties) == ["1980-01-01T00:00:00Z"] * 2
    assert not re.search(rb"20[2-9]\d-\d\d-\d\d", every)


def test_every_part_is_well_formed(saved: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(saved)) as file:
        assert file.testzip() is None
        for name in file.namelist():
            ElementTree.fromstring(file.read(name))


def test_a_name_that_looks_like_a_formula_is_text(book: Any) -> None:
    cells = [c for ws in book for row in ws.iter_rows() for c in row]
    by_text = {c.value: c for c in cells if isinstance(c.value, str)}
    for text in (NASTY, "-1+1", "+plan.dxf, handle 1F\nlayer @layer", "=varnish", "A-=side"):
        assert by_text[text].data_type == "s", text
        assert by_text[text].quotePrefix == (text != "A-=side"), text
    formulas = {c.value for c in cells if c.data_type == "f"}
    assert not any("HYPERLINK" in f or "varnish" in f for f in formulas)


def test_control_characters_are_shown(book: Any) -> None:
    says = [c.value for c in book["Findings"]["C"]]
    assert visible(CONTROL) in says
    assert visible(CONTROL) == "bell␇ null␀ end\N{REPLACEMENT CHARACTER}"


def one_cell(text: str, *more: str) -> Any:
    """The text put through a whole workbook, as a cell of a table, a title and a footer; others below it."""
    from boardwright_outputs.workbook.build import built

    table = Table(name="Table", purpose=text, columns=(Column("Name", Show.WRAPPED),), rows=())
    table = msgspec.structs.replace(table, rows=tuple((t,) for t in (text, *more)))
    data = built(Front(name="Summary", title=text, purpose="", blocks=()), (table,))
    return openpyxl.load_workbook(io.BytesIO(data))


SUSPECT = ("=1+1", "#REF!", "_x0041_", " lead", "1E5", "2024-01-01", "TRUE", "a\r\nb", "&P&D", "'x")


@settings(max_examples=4, deadline=None, derandomize=True)
@given(st.lists(st.text(st.characters(), min_size=1, max_size=40), min_size=1, max_size=30))
def test_any_text_stays_text(texts: list[str]) -> None:
    """Whatever it is, in each row; the first in the title and the footer too, where one may be anything."""
    given = (*texts, *SUSPECT)
    sheet = one_cell(*given)["Table"]
    for row, text in enumerate(given, 5):
        assert sheet.cell(row, 1).data_type == "s"
        assert sheet.cell(row, 1).value == cell_text(text)


def test_any_suspect_text_may_be_the_title() -> None:
    for text in SUSPECT[:2]:
        assert one_cell(text)["Table"]["A5"].value == cell_text(text)


def test_text_escapes() -> None:
    assert cell_text("_x0041_") == "_x005F_x0041_"
    assert len(cell_text("y" * 40_000)) == 32_767
    assert cell_text("y" * 40_000).endswith("…")
    assert header_text("Salt & pepper\nline") == "Salt && pepper line"


def test_rows_that_have_no_place_are_a_defect(book: Any) -> None:
    kept = io.BytesIO()
    book.save(kept)  # its worksheets have rows already
    with pytest.raises(DefectError, match="sheet1"):
        finished(kept.getvalue(), {"xl/worksheets/sheet1.xml": laid_table(EMPTY)})
    with pytest.raises(DefectError, match="sheet1"):
        finished(kept.getvalue(), {})


def test_collecting_outputs_loads_no_spreadsheet_library() -> None:
    asked = (
        "import sys; from boardwright_outputs import plugin; list(plugin.boardwright_outputs()); "
        "print([m for m in ('openpyxl', 'ezdxf', 'jinja2', 'shapely') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True)
    assert run.stdout.strip() == "[]"


@settings(max_examples=200, deadline=None, derandomize=True)
@given(words=st.lists(st.text("ab.é", min_size=1, max_size=50), max_size=20), room=st.integers(4, 40))
def test_lines_of_wrapped_text_are_counted_as_python_wraps_them(words: list[str], room: int) -> None:
    """Against ``textwrap`` of the standard library (which may break at hyphens too)."""
    text = " ".join(words)
    assert wrapped(text, room) == max(len(textwrap.wrap(text, room)), 1)
