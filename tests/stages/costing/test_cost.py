"""Cost by hand: sheets, packs, missing and example prices, area."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright.canon import encode, settle
from boardwright.plan.model import Ring
from boardwright_stages.costing.lines import cost_line
from boardwright_stages.costing.settings import CostingSettings, Price
from boardwright_stages.costing.stages import cost
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_timber.model import (
    Board,
    BoardHardware,
    Cost,
    Cut,
    CutSheet,
    CuttingPlan,
    HardwareLine,
    Unplaced,
)

D = Decimal
PLY = StockSheet(name="ply", material="birch ply", thickness_mm=12.0, price=D("59.99"))


def board(id_: str, ring: Ring, wells: tuple[Ring, ...] = ()) -> Board:
    return Board(
        id=id_,
        outline="O1",
        level_mm=0.0,
        ring=ring,
        wells=wells,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=1200.0,
        width_mm=600.0,
    )


def rectangle(x: float, y: float, length: float, width: float) -> Ring:
    return ((x, y), (x + length, y), (x + length, y + width), (x, y + width))


def sheets(number: int) -> CuttingPlan:
    return CuttingPlan(
        sheets=tuple(
            CutSheet(
                id=f"birch-ply-12-{n:02d}",
                stock="ply",
                material="birch ply",
                thickness_mm=12.0,
                length_mm=2440.0,
                width_mm=1220.0,
                kerf_mm=3.0,
                trim_mm=10.0,
            )
            for n in range(1, number + 1)
        )
    )


def needs(board_id: str, **items: float) -> BoardHardware:
    return BoardHardware(
        board=board_id,
        lines=tuple(
            HardwareLine(item=i.replace("_", "-"), says=i, quantity=q, unit="piece", why="counted")
            for i, q in items.items()
        ),
    )


def costed(
    plan: CuttingPlan,
    hardware: dict[str, BoardHardware],
    boards: dict[str, Board],
    stock: StockSheet = PLY,
    prices: dict[str, Price] | None = None,
    notes: Notes | None = None,
) -> Cost:
    return cost(
        plan,
        hardware,
        boards,
        StockSettings(sheets=(stock,)),
        CostingSettings(prices=prices or {}),
        notes if notes is not None else Notes(),
    )


def test_a_layout_by_hand() -> None:
    boards = {
        "A": board("A", rectangle(0, 0, 1200, 600)),
        "B": board("B", rectangle(1200, 0, 1000, 600), (rectangle(1400, 100, 500, 400),)),
    }
    answer = costed(
        sheets(3),
        {"A": needs("A", screw_4x50=130, nut_M8=4), "B": needs("B", screw_4x50=90)},
        boards,
        prices={
            "screw-4x50": Price(price=D("8.5"), holds=200, called="box of 200"),
            "nut-M8": Price(price=D("0.125")),
        },
    )
    assert [(c.item, c.quantity, c.unit, c.price, c.total) for c in answer.lines] == [
        ("ply", D(3), "sheet", D("59.99"), D("179.97")),
        ("nut-M8", D(4), "piece", D("0.13"), D("0.52")),  # 0.125 is shown, and counted, as 0.13
        ("screw-4x50", D(2), "box of 200", D("8.50"), D("17.00")),  # 130 + 90 = 220 → two boxes
    ]
    assert answer.lines[2].says == "screw_4x50 (220 needed)"
    assert answer.total == D("197.49")
    assert answer.area_m2 == D("1.1200")  # 0.72 + 0.6 - 0.2
    assert answer.per_square_metre == D("176.33")  # 197.49 / 1.12 = 176.330…
    assert answer.complete
    assert answer.currency == "EUR"


def test_a_missing_price_makes_the_total_partial_and_says_so() -> None:
    notes = Notes()
    free = StockSheet(name="ply", material="birch ply", thickness_mm=12.0)
    answer = costed(
        sheets(2),
        {"A": needs("A", bolt_M10x70=4, nut_M8=10)},
        {"A": board("A", rectangle(0, 0, 1000, 1000))},
        stock=free,
        prices={"nut-M8": Price(price=D("0.10"))},
        notes=notes,
    )
    assert not answer.complete
    assert answer.total == D("1.00")
    assert [line.price for line in answer.lines] == [None, None, D("0.10")]
    assert [(f.code, f.where[0].item) for f in notes.findings] == [
        ("BW-COST-001", "ply"),
        ("BW-COST-001", "bolt-M10x70"),
    ]


def test_example_prices_are_named_as_examples() -> None:
    notes = Notes()
    costed(sheets(1), {"A": needs("A", nut_M8=4)}, {"A": board("A", rectangle(0, 0, 1, 1))}, notes=notes)
    assert [f.code for f in notes.findings] == ["BW-COST-002"]
    assert "nut-M8" in notes.findings[0].says
    assert "ply," not in notes.findings[0].says  # this sheet's price is the user's own


def test_a_wire_of_any_colour_has_its_size_s_price_a_pack_a_colour() -> None:
    """12 m of red and 3 m of blue are two reels of 25 m, not one; blue at its own price of 1.00."""
    lines = tuple(
        HardwareLine(item=f"wire-1-{c}", says=c, quantity=metres, unit="m", why="", priced_as="wire-1")
        for c, metres in (("red", 12.0), ("blue", 3.0))
    )
    notes = Notes()
    answer = costed(
        CuttingPlan(),
        {"A": BoardHardware(board="A", lines=lines)},
        {},
        prices={"wire-1": Price(price=D("8.00"), holds=25), "wire-1-blue": Price(price=D("1.00"), holds=25)},
        notes=notes,
    )
    assert [(x.item, x.quantity, x.total) for x in answer.lines] == [
        ("wire-1-blue", 1, D("1.00")),
        ("wire-1-red", 1, D("8.00")),
    ]
    assert notes.findings == []
    costed(CuttingPlan(), {"A": BoardHardware(board="A", lines=lines)}, {}, notes=notes)
    assert [f.says for f in notes.findings] == ["1 prices are examples, not your merchant's: wire-1."]


def test_nothing_costs_nothing() -> None:
    answer = costed(CuttingPlan(), {}, {})
    assert (answer.total, answer.area_m2, answer.per_square_metre) == (D(0), D(0), D(0))
    assert answer.complete


@settings(deadline=None, max_examples=100, derandomize=True)
@given(quantity=st.integers(0, 10_000), cents=st.decimals(0, 9999, places=4))
def test_a_line_is_quantity_times_price_half_up(quantity: int, cents: Decimal) -> None:
    line = cost_line("hardware", "x", "x", quantity, "piece", cents)
    assert line.price is not None
    assert line.price.as_tuple().exponent == -2
    assert abs(line.price - cents) <= D("0.005")
    assert line.total == quantity * line.price  # whole quantities of whole cents need no rounding


@pytest.mark.parametrize(("price", "shown"), [("0.125", "0.13"), ("0.135", "0.14"), ("2.675", "2.68")])
def test_half_a_cent_is_rounded_up(price: str, shown: str) -> None:
    assert cost_line("hardware", "x", "x", 1, "piece", D(price)).total == D(shown)


def test_bytes_do_not_depend_on_how_a_price_is_written() -> None:
    boards = {"A": board("A", rectangle(0, 0, 1000, 1000))}
    a, b = (
        costed(
            sheets(1), {}, boards, StockSheet(name="ply", material="birch ply", thickness_mm=12.0, price=D(p))
        )
        for p in ("60", "60.000")
    )
    assert encode(a) == encode(b)
    assert settle(a, Cost)[0] == a


@pytest.mark.parametrize(("number", "words"), [(0, None), (1, "1 part fits"), (2, "2 parts fit")])
def test_parts_without_a_sheet_make_the_cost_incomplete(number: int, words: str | None) -> None:
    plan = CuttingPlan(
        sheets=sheets(1).sheets,
        unplaced=tuple(Unplaced(part=f"A-{n}", why="too long") for n in range(number)),
    )
    notes = Notes()
    answer = costed(plan, {}, {"A": board("A", rectangle(0, 0, 1000, 500))}, notes=notes)
    told = [f for f in notes.findings if f.code == "BW-COST-003"]
    assert (answer.complete, answer.unsheeted, len(told)) == (number == 0, number, min(number, 1))
    assert all(words and words in f.says and "A-0" in str(f.where[0]) for f in told)


# -- what is owned, delivered, sawn for money ------------------------------------------------------------


def bill(hardware: dict[str, BoardHardware], how: CostingSettings, plan: CuttingPlan, notes: Notes) -> Cost:
    square = {"A": board("A", rectangle(0, 0, 1000, 1000))}
    return cost(plan, hardware, square, StockSettings(sheets=(PLY,)), how, notes)


def sawn(cuts: int, times: int) -> CuttingPlan:
    one = Cut(
        step=1,
        piece="sheet",
        along="length",
        at_mm=1.0,
        from_mm=0.0,
        to_mm=1.0,
        setting_mm=1.0,
        from_edge="bottom",
        says="",
    )
    (sheet,) = sheets(1).sheets
    return CuttingPlan(sheets=(msgspec.structs.replace(sheet, cuts=(one,) * cuts, times=times),))


def test_what_is_owned_is_taken_off_before_packs_are_counted() -> None:
    """250 screws needed, 60 owned: 190 are one box of 200, not two."""
    how = CostingSettings(
        prices={"screw-4x50": Price(price=D(9), holds=200, called="box")}, owned={"screw-4x50": 60}
    )
    notes = Notes()
    (line,) = bill({"A": needs("A", **{"screw-4x50": 250})}, how, sheets(0), notes).lines
    assert (line.quantity, line.total) == (D(1), D("9.00"))
    assert line.says.endswith("(250 needed, 60 owned)")
    (line,) = bill({"A": needs("A", **{"screw-4x50": 50})}, how, sheets(0), notes).lines
    assert (line.quantity, line.total) == (D(0), D("0.00"))


def test_enough_owned_needs_no_price_and_too_little_does() -> None:
    gadget = {"A": needs("A", gadget=3)}
    enough = bill(gadget, CostingSettings(owned={"gadget": 3}), sheets(0), Notes())
    assert enough.complete
    notes = Notes()
    few = bill(gadget, CostingSettings(owned={"gadget": 2}), sheets(0), notes)
    assert not few.complete
    assert few.lines[0].quantity == D(1)
    assert "BW-COST-001" in [f.code for f in notes.findings]


def test_something_owned_that_nobody_needs_is_told() -> None:
    notes = Notes()
    bill({}, CostingSettings(owned={"scerw-4x50": 60}), sheets(0), notes)
    assert [f.code for f in notes.findings] == ["BW-COST-004"]


def test_delivery_and_saw_cuts_are_lines_of_their_own() -> None:
    """Two sheets alike, 7 cuts each at 0.75, and 35.50 to bring them: 119.98 + 10.50 + 35.50 = 165.98."""
    how = CostingSettings(delivery=D("35.50"), charge_per_cut=D("0.75"))
    answer = bill({}, how, sawn(7, 2), Notes())
    assert [(x.group, x.item, x.quantity, x.total) for x in answer.lines] == [
        ("sheets", "ply", D(2), D("119.98")),
        ("services", "saw-cuts", D(14), D("10.50")),
        ("services", "delivery", D(1), D("35.50")),
    ]
    assert answer.total == D("165.98")


def test_no_service_is_charged_that_was_not_asked_for() -> None:
    assert [x.group for x in bill({}, CostingSettings(), sawn(7, 2), Notes()).lines] == ["sheets"]


@pytest.mark.parametrize("field", ["delivery", "charge_per_cut"])
@pytest.mark.parametrize("price", ["-0.01", "NaN", "Infinity"])
def test_a_charge_that_is_no_price_is_refused(field: str, price: str) -> None:
    with pytest.raises(ValueError, match="0 or more"):
        CostingSettings(**{field: D(price)})
