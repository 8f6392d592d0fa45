"""Offcuts worth keeping: the right pieces, and a stock file that can be cut from again."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from boardwright.cli import main
from boardwright_outputs.offcuts.stock_file import stock_file
from boardwright_timber.model import CutSheet, Offcut

HEAD = "id,material,thickness_mm,length_mm,width_mm,quantity,grain\n"
STOCK = """[saw]
kerf_mm = 3
trim_mm = 10
[[sheet]]
name = "whole"
material = "birch ply"
thickness_mm = 12
length_mm = 2440
width_mm = 1220
price = 60
"""


def nest(folder: Path, parts: str, stock: str, out: str) -> Path:
    (folder / "parts.csv").write_text(HEAD + parts)
    (folder / "stock.toml").write_text(stock)
    done = main(
        ["nest", str(folder / "parts.csv"), "--stock", str(folder / "stock.toml"), "-o", str(folder / out)]
    )
    assert done == 0
    return folder / out


def test_what_is_left_of_a_sheet_is_kept_and_cut_from_next_time(tmp_path: Path) -> None:
    left = nest(tmp_path, "deck,birch ply,12,2000,700,1,length\n", STOCK, "first") / "offcuts.toml"
    sheets = tomllib.loads(left.read_text())["sheet"]
    # usable 2420 × 1200; the deck's strip of 700 leaves 1200 - 700 - 3 = 497 over the whole length,
    # and 2420 - 2000 - 3 = 417 beside the deck
    assert sorted((s["length_mm"], s["width_mm"]) for s in sheets) == [(417.0, 700.0), (2420.0, 497.0)]
    assert {(s["material"], s["thickness_mm"], s["quantity"], s["price"]) for s in sheets} == {
        ("birch ply", 12.0, 1, 0.0)
    }
    again = STOCK + left.read_text()
    out = nest(tmp_path, "shelf,birch ply,12,2200,400,1,length\n", again, "second")
    assert '"stock": "offcut ' in (out / "nest.json").read_text()


def test_slivers_are_not_kept(tmp_path: Path) -> None:
    left = nest(tmp_path, "deck,birch ply,12,2420,1120,1,length\n", STOCK, "out") / "offcuts.toml"
    assert tomllib.loads(left.read_text()) == {}  # 1200 - 1120 - 3 = 77 is narrower than 100
    assert "# None" in left.read_text()


@pytest.mark.parametrize("name", ['a "quoted" \\ name', "tab\tline\nend\x7f", "Sperrholz ähnlich 木"])
def test_any_name_survives_the_file(name: str) -> None:
    sheet = CutSheet(
        id="s-01",
        stock=name,
        material=name,
        thickness_mm=6.5,
        length_mm=100.0,
        width_mm=100.0,
        kerf_mm=3.0,
        trim_mm=0.0,
        offcuts=(Offcut(piece="2", x_mm=0.0, y_mm=0.0, length_mm=0.00001, width_mm=1e16),),
    )
    (read,) = tomllib.loads(stock_file([sheet]).decode())["sheet"]
    assert read["material"] == name
    assert read["name"] == f"offcut 2 of s-01, {name}"
    assert (read["length_mm"], read["width_mm"]) == (0.00001, 1e16)
