"""Inches beside millimetres in a worksheet: live, and nothing moved."""

from __future__ import annotations

import pytest

from boardwright.display import DisplaySettings
from boardwright_outputs.workbook.displayed import displayed
from boardwright_outputs.workbook.sheet import Column, Formula, Show, Table

TABLE = Table(
    name="Boards",
    purpose="",
    columns=(Column("Board"), Column("Length", Show.MM, "mm"), Column("Why it is here", Show.WRAPPED)),
    rows=(("B01", 1200.0, "19 mm off"), ("B02", None, "")),
    closing=(("All", Formula("SUM(B5:B6)", 1200.0)),),
)


def test_a_column_of_inches_is_a_formula() -> None:
    (table,) = displayed([TABLE], DisplaySettings(units="mm and in"))
    assert [c.heading for c in table.columns] == ["Board", "Length", "Why it is here", "Length"]
    assert table.columns[3] == Column("Length", Show.INCHES, "in")
    assert [row[:2] for row in table.rows] == [row[:2] for row in TABLE.rows]  # where they were
    assert table.rows[0][2] == '19 mm (3/4") off'
    assert table.rows[0][3] == Formula("B5/25.4", pytest.approx(1200 / 25.4))
    assert table.rows[1][3] is None
    assert table.closing[0] == ("All", Formula("SUM(B5:B6)", 1200.0), None, Formula("B8/25.4", 1200.0 / 25.4))
    assert not any(c.hidden for c in table.columns)


def test_inches_alone_hide_the_millimetres() -> None:
    (table,) = displayed([TABLE], DisplaySettings(units="in"))
    assert [c.hidden for c in table.columns] == [False, True, False, False]


def test_millimetres_change_nothing() -> None:
    assert displayed([TABLE], DisplaySettings()) == (TABLE,)
