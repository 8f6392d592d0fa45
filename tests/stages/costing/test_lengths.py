"""Timber sawn to pieces: the lengths that are bought give every piece whole, the kerfs allowed for."""

from __future__ import annotations

from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright_stages.costing.lines import Exchange, needs_of, of_hardware
from boardwright_stages.costing.packs import cheapest_lengths, lengths_for
from boardwright_stages.costing.settings import CostingSettings, Price
from boardwright_timber.model import BoardHardware, HardwareLine

BAR = Price(price=D("5.75"), holds=2400, called="length of 2.4 m")
LEGS = HardwareLine(
    item="leg-timber-44",
    says="Timber for legs",
    quantity=5 * 885 + 454 + 455,
    unit="mm",
    why="5 legs, 2 rails",
    pieces_mm=(885, 885, 885, 885, 885, 454, 455),
)


def bought(copies: int, **given: object) -> list[tuple[D, str, str]]:
    hardware = [BoardHardware(board="A", lines=(LEGS,))]
    money = CostingSettings(prices={"leg-timber-44": BAR}, **given)  # type: ignore[arg-type]  # any setting
    lines = of_hardware(needs_of(hardware, money, copies, Notes(), 3.0), Exchange("EUR", {}))
    return [(line.quantity, line.unit, line.says) for line in lines]


def test_ten_modules_need_more_lengths_than_their_metres() -> None:
    """53.34 m are 22.2 lengths of 2.4 m; but two legs of 885 go on one (a third would need 2661), with one
    rail (2 × 885 + 455 and two kerfs: 2231): 50 legs need 25, and all 20 rails find room on them."""
    says = "Timber for legs (53.4 m needed)"
    assert bought(10) == [(D(25), "length of 2.4 m", says)]
    # five legs: 2 + 2 + 1, and the rails beside them
    assert bought(1)[0][0] == 3


@pytest.mark.parametrize("mm", [0.0, -3.0, -5.0])
def test_a_piece_of_no_length_is_an_error_and_no_endless_loop(mm: float) -> None:
    with pytest.raises(ValueError, match="no length"):
        lengths_for([(885.0, 4), (mm, 2)], 2400, 3)


def test_of_what_is_owned_whole_lengths_count() -> None:
    """Five metres are two lengths and a piece."""
    assert bought(10, owned={"leg-timber-44": 5000.0})[0][0] == 23
    assert bought(1, owned={"leg-timber-44": 5000.0})[0][0] == 1
    assert bought(1, owned={"leg-timber-44": 9000.0})[0][0] == 0


def test_a_price_by_measure() -> None:
    """A metre is shorter than a leg of 1155: 4 legs and their kerfs make 4 × 1158 = 4632."""
    metre = Price(price=D("2.40"), holds=1000, called="metre")
    assert cheapest_lengths([(1155.0, 4)], 3.0, 0.0, metre) == (5, "metre", D("2.40"))
    assert cheapest_lengths([(1155.0, 4)], 3.0, 700.0, metre)[0] == 4


def test_the_cheaper_of_two_lengths_that_are_sold() -> None:
    """Three of 800 fit 2400 but for the kerfs (2406): two long ones at 5.75, or three short ones at 2.50."""
    both = Price(price=D("5.75"), holds=2400, called="long", smaller=D("2.50"), smaller_holds=1200)
    assert cheapest_lengths([(800.0, 3)], 3.0, 0.0, both) == (3, "", D("2.50"))
    assert cheapest_lengths([(800.0, 3)], 0.0, 0.0, both) == (1, "long", D("5.75"))


def fewest(pieces: list[int], long: int, kerf: int) -> int:
    """By trying: every way to put the pieces on lengths, a kerf between two."""
    best = len(pieces)

    def put(n: int, used: list[int]) -> None:
        nonlocal best
        if len(used) >= best:
            return
        if n == len(pieces):
            best = len(used)
            return
        for k in range(len(used)):
            if used[k] + kerf + pieces[n] <= long:
                put(n + 1, [*used[:k], used[k] + kerf + pieces[n], *used[k + 1 :]])
        put(n + 1, [*used, pieces[n]])

    put(0, [])
    return best


@settings(max_examples=150, deadline=None)
@given(st.lists(st.integers(50, 1000), min_size=1, max_size=7), st.integers(0, 5))
def test_never_too_few_and_hardly_too_many(pieces: list[int], kerf: int) -> None:
    """Longest first needs at most 11/9 of the fewest and 6/9 (Dósa 2007, from memory)."""
    counted = [(float(mm), pieces.count(mm)) for mm in set(pieces)]
    least = fewest(sorted(pieces, reverse=True), 1000, kerf)
    found = lengths_for(counted, 1000.0, float(kerf))
    assert least <= found <= (11 * least + 6) / 9


@pytest.mark.parametrize(("long", "needs"), [(2661.0, 1), (2660.9, 2)])
def test_a_kerf_is_between_two_pieces_and_not_after_the_last(long: float, needs: int) -> None:
    """3 × 885 and two kerfs of 3: 2661."""
    assert lengths_for([(885.0, 3)], long, 3.0) == needs
