"""How many packs to buy, rounded up; money rounded half up to the cent."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from .settings import Price

CENT = Decimal("0.01")


def cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


def cheapest_packs(bought: Decimal, price: Price) -> tuple[int, str, Decimal]:
    """Number, name and price of the packs to buy, all of one kind; the larger kind when they cost the same.

    >>> from boardwright_stages.costing.settings import EXAMPLE_PRICES
    >>> cheapest_packs(Decimal(4), EXAMPLE_PRICES["screw-4x50"])   # not a box of 200 at 9.00
    (1, 'bag of 25', Decimal('2.00'))
    """
    packs = up(bought / price.holds)
    if price.smaller is not None:
        small = up(bought / price.smaller_holds)
        if small * cents(price.smaller) < packs * cents(price.price):
            return small, price.smaller_called, price.smaller
    return packs, price.called, price.price


def counted(number: Decimal, unit: str) -> str:
    """A quantity in words, rounded up: ``12``, ``300 ml``, ``54.2 m`` of what is measured in millimetres.

    >>> counted(Decimal("54192"), "mm"), counted(Decimal("420.5"), "mm"), counted(Decimal(12), "piece")
    ('54.2 m', '421 mm', '12')
    """
    if unit == "piece":
        return f"{up(number)}"
    if unit == "mm" and number >= 1000:
        return f"{(number / 1000).quantize(Decimal('0.1'), 'ROUND_CEILING')} m"
    return f"{up(number)} {unit}"


def up(number: Decimal) -> int:
    return int(number.to_integral_value("ROUND_CEILING"))
