"""The bill is live: every formula gives what the cost said, and follows a changed price or quantity.

The sums are worked by hand in ``two_boards``; the formulas are read by ``little_sums`` and, where the office
suite ``soffice`` is installed, by that too.
"""

from __future__ import annotations

import io
import shutil
import subprocess
from decimal import Decimal as D
from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest
import two_boards
from little_sums import Calculator


def formulas(book: Any) -> list[tuple[str, str]]:
    return [
        (ws.title, c.coordinate) for ws in book for row in ws.iter_rows() for c in row if c.data_type == "f"
    ]


def row_of(ws: Any, column: str, text: str) -> int:
    rows = [c.row for c in ws[column] if c.value == text]
    assert len(rows) == 1, f"{text!r} in {ws.title} {column}: rows {rows}"
    return int(rows[0])


def test_the_bill_is_the_one_worked_by_hand(book: Any) -> None:
    sums, cost = Calculator(book), book["Cost"]
    line_totals = {cost.cell(r, 2).value: sums.cell("Cost", f"G{r}") for r in range(5, 10)}
    assert line_totals == {
        "ply 9": D("63.00"),  # 2 × 31.50
        "ply 12": D("42.10"),
        "screw 4x50": D("0.84"),  # 24 × 0.035
        "glue": D("1.50"),  # 0.15 × 9.99 = 1.4985
        "=varnish": D("0.00"),
    }
    subtotals = {
        cost.cell(r, 1).value: sums.cell("Cost", f"G{r}")
        for r in range(10, cost.max_row + 1)
        if cost.cell(r, 3).value == "Subtotal"
    }
    assert subtotals == {"wood": D("105.10"), "hardware": D("2.34"), "finish": D(0)}
    assert sums.cell("Cost", f"G{row_of(cost, 'C', 'Total')}") == D("107.44")
    assert sums.cell("Cost", f"G{row_of(cost, 'C', 'Total per square metre')}") == D("119.38")


def test_every_formula_stands_beside_its_amount(book: Any, amounts: Any) -> None:
    sums, found = Calculator(book), formulas(book)
    assert len(found) > 15
    for sheet, cell in found:
        stored = amounts[sheet][cell].value
        worked = sums.cell(sheet, cell)
        if isinstance(worked, str):
            assert (stored or "") == worked, (sheet, cell)
        else:
            assert float(stored) == pytest.approx(float(worked), abs=1e-9), (sheet, cell)


def change(book: Any) -> None:
    """31.50 → 40.00 a sheet, and a price at last for the tin."""
    cost = book["Cost"]
    cost[f"F{row_of(cost, 'B', 'ply 9')}"].value = 40.00
    cost[f"F{row_of(cost, 'B', '=varnish')}"].value = 5.5
    book["Hardware by board"]["D5"].value = 20


def expected_after_change(book: Any) -> dict[tuple[str, str], Any]:
    cost, summary, hardware = book["Cost"], book["Summary"], book["Hardware"]
    total = row_of(cost, "C", "Total")
    return {
        ("Cost", f"G{total}"): D("129.94"),  # 107.44 + 2 × 8.50 + 5.50
        ("Cost", f"H{total}"): "",  # no price is missing now
        ("Cost", f"H{row_of(cost, 'B', '=varnish')}"): "",
        ("Summary", f"B{row_of(summary, 'A', 'Cost of materials, XYZ')}"): D("129.94"),
        ("Summary", f"C{row_of(summary, 'A', 'Cost of materials, XYZ')}"): "",
        ("Summary", f"B{row_of(summary, 'A', 'Cost per square metre, XYZ')}"): D("144.38"),  # 129.94 / 0.9
        ("Hardware", f"C{row_of(hardware, 'A', 'screw 4x50')}"): D(30),  # 20 + 10
    }


def test_a_changed_price_changes_every_total(book: Any) -> None:
    sums = Calculator(book)
    before = {at: sums.cell(*at) for at in expected_after_change(book)}
    change(book)
    after = expected_after_change(book)
    assert {at: sums.cell(*at) for at in after} == after
    assert all(before[at] != after[at] for at in after)


def test_tax_follows_on_the_first_sheet_as_on_that_of_the_cost(make: Any) -> None:
    """19 % of 107.44 is 20.41 to the cent; a dearer sheet raises both: 19 % of 129.94 is 24.69."""
    from two_bills import COST

    taxed = msgspec.structs.replace(
        COST, tax_percent=19.0, tax=D("20.41"), total_with_tax=COST.total + D("20.41")
    )
    book = openpyxl.load_workbook(io.BytesIO(make(cost=taxed)))
    at = ("Summary", f"B{row_of(book['Summary'], 'A', 'With 19 % tax, XYZ')}")
    there = ("Cost", f"G{row_of(book['Cost'], 'C', 'Total with tax')}")
    assert Calculator(book).cell(*at) == Calculator(book).cell(*there) == taxed.total_with_tax
    change(book)
    assert Calculator(book).cell(*at) == Calculator(book).cell(*there) == D("154.63")


def test_an_office_suite_agrees_where_there_is_one(book: Any, tmp_path: Path) -> None:
    """The same change worked out by another program. Without one, the calculator above decides alone."""
    change(book)
    expected = {at: Calculator(book).cell(*at) for at in formulas(book)}
    assert expected
    soffice = shutil.which("soffice")
    if soffice:
        book.save(tmp_path / "changed.xlsx")  # this drops the stored amounts: they must be worked out anew
        asked = [soffice, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless"]
        asked += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "out")]
        subprocess.run([*asked, str(tmp_path / "changed.xlsx")], check=True, capture_output=True, timeout=120)
        worked = openpyxl.load_workbook(tmp_path / "out" / "changed.xlsx", data_only=True)
        for (sheet, cell), value in expected.items():
            theirs = worked[sheet][cell].value
            if isinstance(value, str):
                assert (theirs or "") == value, (sheet, cell)
            else:
                assert float(theirs) == pytest.approx(float(value), abs=1e-9), (sheet, cell)


def test_quantities_and_prices_are_the_boxed_cells(book: Any) -> None:
    boxed = {
        (ws.title, c.column_letter)
        for ws in book
        for row in ws.iter_rows()
        for c in row
        if c.style.endswith("-entry")
    }
    assert boxed == {("Cost", "D"), ("Cost", "F"), ("Hardware by board", "D")}


def test_an_entry_must_be_a_number(book: Any) -> None:
    boxed = {c.coordinate for row in book["Cost"].iter_rows() for c in row if c.style.endswith("-entry")}
    (rule,) = book["Cost"].data_validations.dataValidation
    assert (rule.type, rule.operator, rule.formula1) == ("decimal", "greaterThanOrEqual", "0")
    assert rule.showErrorMessage
    assert all(cell in rule.sqref for cell in boxed)


def test_names_that_differ_in_case_or_hold_wildcards_are_kept_apart(make: Any) -> None:
    from two_bills import COST, line

    lines = tuple(
        line(group, f"item {n}", "x", "1", "piece", "2.00", "2.00")
        for n, group in enumerate(("a*", "A*", "ab", ">0"))
    )
    import msgspec

    cost = msgspec.structs.replace(
        COST, lines=lines, total=D("8.00"), per_square_metre=D("8.89"), complete=True
    )
    book = openpyxl.load_workbook(io.BytesIO(make(cost=cost)))
    ws, sums = book["Cost"], Calculator(book)
    subtotals = {ws.cell(r, 1).value: sums.cell("Cost", f"G{r}") for r in range(10, 14)}
    assert subtotals == {"a*": D(2), "A*": D(2), "ab": D(2), ">0": D(2)}


def test_an_empty_bill_adds_up_to_nothing(make: Any) -> None:
    from boardwright_timber.model import Cost

    empty = Cost(currency="XYZ", total=D(0), per_square_metre=D(0), area_m2=D(0))
    book = openpyxl.load_workbook(io.BytesIO(make(cost=empty, hardware={})))
    sums = Calculator(book)
    assert sums.cell("Cost", f"G{row_of(book['Cost'], 'C', 'Total')}") == 0
    assert sums.cell("Cost", f"G{row_of(book['Cost'], 'C', 'Total per square metre')}") == 0
    assert book["Cost"]["A5"].value == "Nothing costs anything."


def test_wood_without_a_sheet_makes_the_total_incomplete(make: Any) -> None:
    """Two parts on no sheet: said beside the total and in front, with and without the missing price."""
    lacking = "INCOMPLETE: 2 parts fit on no sheet, their wood is not in the total"
    bill = msgspec.structs.replace(two_boards.COST, unsheeted=2)
    book = openpyxl.load_workbook(io.BytesIO(make(cost=bill)))
    total = row_of(book["Cost"], "C", "Total, INCOMPLETE")
    front = row_of(book["Summary"], "A", "Cost of materials, XYZ")
    both = f"{lacking}; partial: some lines have no price yet"
    sums = Calculator(book)
    assert (sums.cell("Cost", f"H{total}"), sums.cell("Summary", f"C{front}")) == (both, both)
    book["Cost"][f"F{row_of(book['Cost'], 'B', '=varnish')}"].value = 5.5
    assert (sums.cell("Cost", f"H{total}"), sums.cell("Summary", f"C{front}")) == (lacking, lacking)
    empty = msgspec.structs.replace(bill, lines=(), total=D(0))
    book = openpyxl.load_workbook(io.BytesIO(make(cost=empty)))
    assert book["Summary"][f"C{front}"].value == lacking
