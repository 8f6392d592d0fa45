"""Planed timber: cut to length only, one-dimensional, kerf and end trim counted, proven."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.source import SourceFile
from boardwright_outputs.nest.files import nest_files
from boardwright_outputs.offcuts.stock_file import stock_file
from boardwright_stages.nesting.nest import nest
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_stages.nesting.stock_file import read_stock
from boardwright_timber.model import BoardParts, Part


def bar(width: float, length: float = 2400.0) -> StockSheet:
    return StockSheet(
        name=f"bar {width:g}",
        material="softwood",
        thickness_mm=18.0,
        length_mm=length,
        width_mm=width,
        price=Decimal("4.80"),
        bar=True,
    )


STOCK = StockSettings(sheets=(bar(70.0), bar(95.0)))


@pytest.fixture
def rail(part: Callable) -> Callable[..., Part]:
    return lambda id_, length, width=70.0: replace(
        part(id_, length, width), material="softwood", thickness_mm=18.0
    )


def plan_of(parts: list[Part], **how: float) -> tuple:
    notes = Notes()
    boards = {"A": BoardParts(board="A", parts=tuple(parts))}
    return cutting(boards, STOCK, CuttingSettings(**how), notes), notes


def test_four_pieces_from_a_bar_and_not_five(rail: Callable, saw: Callable, sawn_right: Callable) -> None:
    # 2400 less 10 at each end is 2380: 4 × 592 + 3 × 3 = 2377 fit; 5 need a second bar
    four, notes = plan_of([rail(f"R{n}", 592.0) for n in range(4)])
    (one,) = four.sheets
    assert (one.bar, one.id, one.width_mm) == (True, "softwood-18x70-01", 70.0)
    assert four.lower_bounds == (("softwood", 18.0, 1),)
    assert {c.along for c in one.cuts} == {"width"}  # never ripped
    assert [c.says.split()[1] for c in one.cuts if c.says.startswith("Trim")] == ["the", "the"]
    assert {p.y_mm for p in one.parts} == {0.0}
    pieces = saw(one)
    assert sum(box[2] - box[0] == pytest.approx(592.0) for box in pieces.values()) == 4
    five, _ = plan_of([rail(f"R{n}", 592.0) for n in range(5)])
    assert (len(five.sheets), five.lower_bounds) == (2, (("softwood", 18.0, 2),))
    assert "BW-CUT-010" in [f.code for f in notes.findings]


def test_each_width_comes_from_its_own_bars_and_the_bounds_add_up(rail: Callable) -> None:
    plan, _ = plan_of([rail("R", 2000.0), rail("S", 2000.0, 95.0)])
    assert sorted(s.stock for s in plan.sheets) == ["bar 70", "bar 95"]
    assert plan.lower_bounds == (("softwood", 18.0, 2),)


def test_a_width_nobody_planes_is_a_fault(rail: Callable) -> None:
    plan, notes = plan_of([rail("R", 500.0, 80.0)])
    assert [u.part for u in plan.unplaced] == ["R"]
    (fault,) = [f for f in notes.findings if f.code == "BW-CUT-001"]
    assert "a bar just as wide" in fault.mend


def test_the_end_of_a_bar_is_kept_as_a_bar(rail: Callable) -> None:
    plan, _ = plan_of([rail("R", 1500.0)])
    text = stock_file(plan.sheets)
    stock, _ = read_stock(SourceFile("offcuts.toml", text))
    (left,) = stock.sheets
    assert (left.bar, left.width_mm) == (True, 70.0)
    assert left.length_mm == pytest.approx(2380.0 - 1500.0 - 3.0)


def test_a_stock_file_may_hold_bars() -> None:
    stock = (
        '[[sheet]]\nmaterial = "softwood"\nthickness_mm = 18\nlength_mm = 2400\nwidth_mm = 70\nbar = true\n'
    )
    rows = "id,material,thickness_mm,length_mm,width_mm,quantity\nrail,softwood,18,592,70,8\n"
    nested = nest(SourceFile("parts.csv", rows.encode()), SourceFile("stock.toml", stock.encode()), Notes())
    assert len(nested.plan.sheets) == 2
    assert all(s.bar for s in nested.plan.sheets)
    files = nest_files(nested)
    assert [path for path in files if path.startswith("dxf/")] == ["dxf/bars/softwood-18x70-01.dxf"]
    assert b"Bar softwood-18x70-01: softwood 18 mm, 2400" in files["dxf/bars/softwood-18x70-01.dxf"]
    assert b"2 bars; fewer is impossible" in files["nest.json"]
