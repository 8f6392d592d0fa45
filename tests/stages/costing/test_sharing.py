"""The total shared out, tax, and the time it takes."""

from __future__ import annotations

from decimal import Decimal as D

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.costing.packs import cheapest_packs
from boardwright_stages.costing.settings import EXAMPLE_PRICES, CostingSettings, Minutes, Price
from boardwright_stages.costing.sharing import stage_of
from boardwright_stages.costing.stages import cost
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_timber.model import (
    BoardHardware,
    BoardParts,
    Contour,
    Cost,
    Cut,
    CutSheet,
    CuttingPlan,
    Grain,
    HardwareLine,
    Part,
    PlacedPart,
    Placement,
)
from boardwright_timber.series import SeriesSettings

PLY = StockSheet(name="ply", material="birch ply", thickness_mm=9.0, price=D("100.00"))
CUT = Cut(
    step=1,
    piece="sheet",
    along="length",
    at_mm=1,
    from_mm=0,
    to_mm=1,
    setting_mm=1,
    from_edge="left",
    says="",
)


def part(id_: str, board: str, role: str, length: float, width: float) -> Part:
    return Part(
        id=id_,
        board=board,
        role=role,
        label=id_,
        material="birch ply",
        thickness_mm=9.0,
        length_mm=length,
        width_mm=width,
        grain=Grain.FREE,
        ring=((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)),
        area_mm2=length * width,
        mass_kg=0.0,
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


def layout(settings: CostingSettings, copies: int = 1, notes: Notes | None = None) -> Cost:
    made = [
        part("AD", "A", "deck", 500, 400),
        part("AS", "A", "side", 500, 100),
        part("BD", "B", "deck", 500, 500),
    ]
    sheet = CutSheet(
        id="s",
        stock="ply",
        material="birch ply",
        thickness_mm=9.0,
        length_mm=2440.0,
        width_mm=1220.0,
        kerf_mm=3.0,
        trim_mm=0.0,
        parts=tuple(
            PlacedPart(part=p.id, x_mm=0, y_mm=0, length_mm=p.length_mm, width_mm=p.width_mm) for p in made
        ),
        cuts=(CUT,) * 6,
        contours=(Contour(step=1, part="AD", kind="curve", says=""),),
        times=copies,
    )
    parts = {b: BoardParts(board=b, parts=tuple(p for p in made if p.board == b)) for b in "AB"}
    screws = {
        b: BoardHardware(
            board=b,
            lines=(HardwareLine(item="screw-4x50", says="", quantity=n, unit="piece", why=""),),
        )
        for b, n in (("A", 30.0), ("B", 10.0))
    }
    return cost(
        CuttingPlan(sheets=(sheet,), copies=copies),
        screws,
        {},
        StockSettings(sheets=(PLY,)),
        settings,
        notes or Notes(),
        SeriesSettings(copies=copies),
        parts,
    )


def test_boards_and_stages_each_bear_all_of_it() -> None:
    answer = layout(CostingSettings(prices={"screw-4x50": Price(price=D("4.00"), holds=100, called="box")}))
    # 100.00 of ply by area: A 200 000 + 50 000, B 250 000; 4.00 of screws by number: A 30, B 10
    assert [(s.of, s.amount) for s in answer.by_board] == [("A", D("53.00")), ("B", D("51.00"))]
    assert [(s.of, s.amount) for s in answer.by_stage] == [
        ("frames", D("10.00")),
        ("decks", D("90.00")),
        ("assembly", D("4.00")),
    ]


def test_cents_left_over_are_given_out() -> None:
    answer = layout(
        CostingSettings(prices={"screw-4x50": Price(price=D("0.01"), holds=100)}, delivery=D("0.01"))
    )
    for table in (answer.by_board, answer.by_stage):
        assert sum((s.amount for s in table), D(0)) == answer.total == D("100.02")


def test_tax_comes_on_top() -> None:
    answer = layout(
        CostingSettings(tax_percent=19.0, prices={"screw-4x50": Price(price=D("4.00"), holds=100)})
    )
    assert (answer.total, answer.tax, answer.total_with_tax) == (D("104.00"), D("19.76"), D("123.76"))


def test_time_is_counts_times_rates() -> None:
    answer = layout(
        CostingSettings(minutes=Minutes(cut=2, contour=10, hole=1, screw=0.5, board=60)), copies=2
    )
    assert [(t.number, t.minutes) for t in answer.work] == [(12, 24.0), (2, 20.0), (80, 40.0), (4, 240.0)]
    assert answer.per_copy == (answer.total / 2).quantize(D("0.01"))


@pytest.mark.parametrize(
    ("item", "stage"),
    [
        ("bolt-M8x40", "joints"),
        ("wire-0.5-red", "wiring"),
        ("wall-bracket", "supports"),
        ("wood-glue", "assembly"),
    ],
)
def test_hardware_belongs_to_a_stage(item: str, stage: str) -> None:
    assert stage_of(item) == stage


def test_few_screws_are_bought_in_a_bag() -> None:
    price = EXAMPLE_PRICES["screw-4x50"]  # 200 at 9.00, 25 at 2.00
    assert cheapest_packs(D(4), price) == (1, "bag of 25", D("2.00"))
    assert cheapest_packs(D(100), price) == (4, "bag of 25", D("2.00"))
    assert cheapest_packs(D(101), price) == (1, "box of 200", D("9.00"))
    assert cheapest_packs(D(4), replace(price, smaller=None)) == (1, "box of 200", D("9.00"))


@pytest.mark.parametrize(("least", "told"), [(None, False), (D(104), False), (D("104.01"), True)])
def test_an_order_too_small_is_told(least: D | None, told: bool) -> None:
    notes = Notes()
    prices = {"screw-4x50": Price(price=D("4.00"), holds=100)}
    layout(CostingSettings(minimum_order=least, prices=prices, delivery=D(9)), notes=notes)  # goods: 104.00
    assert ("BW-COST-005" in [f.code for f in notes.findings]) is told
