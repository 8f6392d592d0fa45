"""Near sizes from one box: worked by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from boardwright import Notes
from boardwright.plan.model import Ring
from boardwright_stages.costing.settings import CostingSettings, Price
from boardwright_stages.costing.stages import cost
from boardwright_stages.hardware.screwing import pilot_screws
from boardwright_stages.nesting.settings import StockSettings
from boardwright_timber.model import Board, BoardHardware, Cost, CuttingPlan, HardwareLine, Hole, HoleKind

D = Decimal
RING: Ring = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))
BOX = Price(price=D("6.00"), holds=200, called="box of 200", smaller=D("1.50"), smaller_holds=25)
PRICES = {f"screw-3.5x{n}": BOX for n in (30, 35, 40)} | {"bolt-M8x40": Price(price=D("0.42"))}


def screw(length: float, quantity: float, at_most_mm: float = 99.0) -> HardwareLine:
    return HardwareLine(
        item=f"screw-3.5x{length:g}",
        says=f"Wood screw 3.5 × {length:g}",
        quantity=quantity,
        unit="piece",
        why="w",
        at_most_mm=at_most_mm,
    )


def bill(*boards: tuple[HardwareLine, ...], **how: object) -> tuple[Cost, Notes]:
    notes = Notes()
    made = {f"B{n}": BoardHardware(board=f"B{n}", lines=lines) for n, lines in enumerate(boards)}
    drawn = {
        b: Board(
            id=b,
            outline="O",
            level_mm=0.0,
            ring=RING,
            wells=(),
            origin=(0.0, 0.0),
            angle_deg=0.0,
            length_mm=1000.0,
            width_mm=500.0,
        )
        for b in made
    }
    settings = CostingSettings(prices=PRICES, spare_screws_percent=0.0, **how)  # type: ignore[arg-type]  # named by the tests
    return cost(CuttingPlan(), made, drawn, StockSettings(), settings, notes), notes


def bought(made: Cost) -> list[tuple[str, int, tuple[str, ...]]]:
    return [(line.item, int(line.quantity), line.covers) for line in made.lines]


def test_two_bags_become_one() -> None:
    """10 of 30 mm and 12 of 35 mm: two bags of 25 at 1.50, or one with the 22."""
    made, notes = bill((screw(30, 10),), (screw(35, 12),))
    assert bought(made) == [("screw-3.5x35", 1, ("screw-3.5x30",))]
    assert made.total == D("1.50")
    assert "(12 needed, 10 more in place of screw-3.5x30)" in made.lines[0].says
    (told,) = [f for f in notes.findings if f.code == "BW-COST-007"]
    assert "screw-3.5x30 (10 needed) is bought as screw-3.5x35" in told.says
    assert "saves 1.50 EUR" in told.says
    # each board bears what it needs: 10 and 12 of 22 of 1.50
    assert [s.amount for s in made.by_board] == [D("0.68"), D("0.82")]


@pytest.mark.parametrize(
    ("lines", "how"),
    [
        ((screw(30, 10, 34.0), screw(35, 12)), {}),  # would come out of the wood
        ((screw(30, 10, 0.0), screw(35, 12)), {}),  # nothing is known of the wood
        ((screw(30, 10), screw(40, 12)), {}),  # 10 mm longer
        ((screw(30, 20), screw(35, 20)), {}),  # two bags either way: nothing is saved
        ((screw(30, 10), screw(35, 12)), {"share_boxes_mm": 0.0}),
        ((screw(30, 10), screw(35, 12)), {"owned": {"screw-3.5x30": 10.0}}),  # none of them is bought
    ],
)
def test_else_each_size_is_bought(lines: tuple[HardwareLine, ...], how: dict[str, object]) -> None:
    made, notes = bill(lines, **how)
    assert len(made.lines) == 2
    assert "BW-COST-007" not in [f.code for f in notes.findings]


def test_three_sizes_in_a_row_stay_two() -> None:
    """30 and 35, 35 and 40 are near; 30 and 40 are not: one of them goes with a neighbour."""
    made, _ = bill((screw(30, 5), screw(35, 5), screw(40, 5)))
    assert len(made.lines) == 2
    assert made.total == D("3.00")


def test_screws_into_end_grain_may_be_a_quarter_longer() -> None:
    hole = Hole(kind=HoleKind.PILOT, x_mm=10.0, y_mm=10.0, diameter_mm=3.0, screw=(4.0, 50.0))
    (line,) = pilot_screws([hole])
    assert line.at_most_mm == 62.5


def wire(size: str, colour: str, metres: float) -> HardwareLine:
    item = f"wire-{size}"
    return HardwareLine(
        item=f"{item}-{colour}", says=item, quantity=metres, unit="m", why="w", priced_as=item
    )


def choice(*lines: HardwareLine, **how: object) -> list[tuple[D, str]]:
    made, _ = bill(lines, **how)
    return [(c.saves, c.says) for c in made.choices if "thickness" in c.says]


def test_wire_of_a_colour_in_one_thickness_is_a_cheaper_choice() -> None:
    """Rolls of 25 m, examples: 6.00 (0.5 mm²), 7.50 (0.75), 9.00 (1). Green: 20 + 5 m are one roll of 0.75,
    6.00 saved. Red: 20 m of 0.5 and 8 of 1 are two rolls of 1, dearer. Blue stands alone."""
    lines = (wire("0.5", "green", 20), wire("0.75", "green", 5), wire("0.5", "red", 20), wire("1", "red", 8))
    ((saves, says),) = choice(*lines, wire("0.5", "blue", 3))
    assert saves == D("6.00")
    assert "wire-0.5-green as wire-0.75-green." in says
    # three thicknesses: 0.5 into 0.75, and both into 1: three rolls become one of 9.00
    ((saves, says),) = choice(wire("0.5", "red", 2), wire("0.75", "red", 3), wire("1", "red", 4))
    assert saves == D("6.00") + D("7.50")


def test_wire_more_than_twice_as_thick_is_no_choice_nor_what_is_owned() -> None:
    """AWG 20 is 0.52 mm², 1.5 and 0.22 are more than twice and less than half of it."""
    assert not choice(wire("0.22", "red", 2), wire("AWG20", "red", 2), wire("1.5", "red", 2))
    pair = wire("0.5", "green", 20), wire("0.75", "green", 5)
    assert choice(*pair)
    assert not choice(*pair, owned={"wire-0.5-green": 20.0})
