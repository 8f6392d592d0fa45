"""How many packs to buy, rounded up; money rounded half up to the cent.

Timber that is sawn to pieces is bought in lengths that give every piece whole, the longest sawn first, a kerf
between them (common practice, no source; now and then one length more than the best cutting needs). Where a
pack holds less than the longest piece its price is taken for one by measure, as of a metre: all pieces and
their kerfs are added up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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


type Pieces = Sequence[tuple[float, int]]
"""Lengths, mm, and how many of each."""


def cheapest_lengths(
    pieces: Pieces, kerf_mm: float, owned_mm: float, price: Price
) -> tuple[int, str, Decimal]:
    """The same for what is sawn to pieces; of what is owned whole lengths count."""
    packs = _lengths(pieces, kerf_mm, owned_mm, price.holds)
    if price.smaller is not None:
        small = _lengths(pieces, kerf_mm, owned_mm, price.smaller_holds)
        if small * cents(price.smaller) < packs * cents(price.price):
            return small, price.smaller_called, price.smaller
    return packs, price.called, price.price


def _lengths(pieces: Pieces, kerf_mm: float, owned_mm: float, long_mm: float) -> int:
    if max(mm for mm, _ in pieces) > long_mm + 1e-6:
        whole = sum((mm + kerf_mm) * number for mm, number in pieces)
        return max(math.ceil((whole - owned_mm) / long_mm - 1e-9), 0)
    return max(lengths_for(pieces, long_mm, kerf_mm) - math.floor(owned_mm / long_mm + 1e-9), 0)


def lengths_for(pieces: Pieces, long_mm: float, kerf_mm: float) -> int:
    """Lengths that give all pieces, none of which is longer: the longest first, each from the first that has
    room for it.

    >>> lengths_for([(885, 4), (454, 2)], 2400, 3)   # 885 + 885 + 454 and two kerfs: 2230
    2
    >>> lengths_for([(800, 3)], 2400, 3)             # three need 2406
    2
    """
    if min((mm for mm, _ in pieces), default=1.0) <= 0:
        raise ValueError(f"a piece of no length among {pieces}")
    room: list[float] = []  # in each length begun, a kerf more than it has
    for mm, number in sorted(pieces, reverse=True):
        left, takes = number, mm + kerf_mm
        for n, free in enumerate(room):
            here = min(left, int(free / takes + 1e-9))
            room[n] -= here * takes
            left -= here
        each = int((long_mm + kerf_mm) / takes + 1e-9)
        while left > 0:
            here = min(left, each)
            room.append(long_mm + kerf_mm - here * takes)
            left -= here
    return len(room)


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
