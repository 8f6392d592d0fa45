"""The workbook's money is driven by formulas and equals the engine's, on every fixture.

Worked out by the tests' own small calculator (``little_sums``) and, where the office suite ``soffice`` is
installed, by that too: an independent program recalculating the delivered file.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
from packs import Pack

sys.path.append(str(Path(__file__).parents[1] / "outputs" / "workbook"))

from little_sums import Calculator


def total_cell(sheet: Any) -> str:
    (row,) = [c.row for column in sheet.iter_cols(3, 3) for c in column if c.value == "Total"]
    return f"G{row}"


def test_total_is_a_formula_and_equals_the_engines(pack: Pack) -> None:
    book = openpyxl.load_workbook(pack.folder / "workbook.xlsx")
    cost = book["Cost"]
    at = total_cell(cost)
    assert cost[at].data_type == "f"
    total = Calculator(book).cell("Cost", at)
    assert total == Decimal(pack.data["cost"]["total"])
    # and once more from the lines of pack.json: quantity × price, rounded half up to the cent
    lines = [(Decimal(x["quantity"]), x["price"]) for x in pack.data["cost"]["lines"]]
    assert total == sum((q * Decimal(p)).quantize(Decimal("0.01"), "ROUND_HALF_UP") for q, p in lines if p)
    # a changed price changes the total
    row = next(c.row for column in cost.iter_cols(6, 6) for c in column if c.style.endswith("-entry"))
    quantity = Decimal(str(cost[f"D{row}"].value))
    cost[f"F{row}"].value = float(cost[f"F{row}"].value) + 1.0
    assert Calculator(book).cell("Cost", at) == total + quantity


def test_an_office_suite_agrees_where_there_is_one(pack: Pack, tmp_path: Path) -> None:
    book = openpyxl.load_workbook(pack.folder / "workbook.xlsx")
    at = total_cell(book["Cost"])
    stored = openpyxl.load_workbook(pack.folder / "workbook.xlsx", data_only=True)
    assert Decimal(str(stored["Cost"][at].value)) == Decimal(pack.data["cost"]["total"])
    soffice = shutil.which("soffice")
    if soffice:
        book.save(tmp_path / "bare.xlsx")  # this drops the stored amounts: they must be worked out anew
        words = [soffice, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless"]
        words += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "out")]
        subprocess.run([*words, str(tmp_path / "bare.xlsx")], check=True, capture_output=True, timeout=120)
        worked = openpyxl.load_workbook(tmp_path / "out" / "bare.xlsx", data_only=True)
        assert Decimal(str(round(worked["Cost"][at].value, 2))) == Decimal(pack.data["cost"]["total"])
        errors = [c.value for ws in worked for row in ws.iter_rows() for c in row if c.data_type == "e"]
        assert errors == []
