"""The bill of several copies of a layout."""

from __future__ import annotations

from decimal import Decimal as D

from boardwright import Notes
from boardwright_stages.costing.settings import CostingSettings, Price
from boardwright_stages.costing.stages import cost
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_timber.model import Board, BoardHardware, Cost, CutSheet, CuttingPlan, HardwareLine
from boardwright_timber.series import SeriesSettings

BOARD = Board(
    id="A",
    outline="O1",
    level_mm=0.0,
    ring=((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0)),
    origin=(0.0, 0.0),
    angle_deg=0.0,
    length_mm=1200.0,
    width_mm=600.0,
)


def bill(copies: int, times: int) -> Cost:
    sheet = CutSheet(
        id="s-01",
        stock="ply",
        material="birch ply",
        thickness_mm=9.0,
        length_mm=2440.0,
        width_mm=1220.0,
        kerf_mm=3.0,
        trim_mm=10.0,
        times=times,
    )
    hardware = BoardHardware(
        board="A",
        lines=(HardwareLine(item="screw", says="screw", quantity=90, unit="piece", why="counted"),),
    )
    return cost(
        CuttingPlan(sheets=(sheet,), copies=copies),
        {"A": hardware},
        {"A": BOARD},
        StockSettings(sheets=(StockSheet(name="ply", material="birch ply", thickness_mm=9.0, price=D(50)),)),
        CostingSettings(prices={"screw": Price(price=D(8), holds=200, called="box of 200")}),
        Notes(),
        SeriesSettings(copies=copies),
    )


def test_boxes_and_sheets_are_bought_for_all_copies_together() -> None:
    """Twelve copies with 90 screws each need 1080: six boxes of 200, not twelve. Seven sheets at 50."""
    answer = bill(12, 7)
    assert [(line.item, line.quantity, line.total) for line in answer.lines] == [
        ("ply", D(7), D("350.00")),
        ("screw", D(6), D("48.00")),
    ]
    assert (answer.total, answer.copies, answer.per_copy) == (D("398.00"), 12, D("33.17"))
    assert answer.area_m2 == 12 * bill(1, 1).area_m2
