"""Inches beside millimetres in a worksheet: live, and nothing moved."""

from __future__ import annotations

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
    # 1200 mm is 47.2441 in, nearest 47 8/32: the cell holds 47.25, shown as 47 1/4
    assert table.rows[0][3] == Formula("ROUND(B5/25.4*32,0)/32", 47.25)
    assert table.rows[1][3] is None
    total = Formula("ROUND(B8/25.4*32,0)/32", 47.25)
    assert table.closing[0] == ("All", Formula("SUM(B5:B6)", 1200.0), None, total)
    assert not any(c.hidden for c in table.columns)


def test_inches_alone_hide_the_millimetres() -> None:
    (table,) = displayed([TABLE], DisplaySettings(units="in"))
    assert [c.hidden for c in table.columns] == [False, True, False, False]


def test_millimetres_change_nothing() -> None:
    assert displayed([TABLE], DisplaySettings()) == (TABLE,)


def test_the_fraction_chosen_is_rounded_to() -> None:
    """1200 mm in eighths: 47.2441 · 8 = 377.95, so 378 / 8; -0.0 is nought."""
    (table,) = displayed([TABLE], DisplaySettings(units="in", inch_fraction=8))
    assert table.rows[0][3] == Formula("ROUND(B5/25.4*8,0)/8", 47.25)
    flat = Table(name="T", purpose="", columns=(Column("Rise", Show.MM, "mm"),), rows=((-0.0,),))
    (shown,) = displayed([flat], DisplaySettings(units="in"))
    assert str(shown.rows[0][1]) == str(Formula("ROUND(A5/25.4*32,0)/32", 0))
