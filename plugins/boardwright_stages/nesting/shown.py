"""Figures in sentences, as a tape is read and a spreadsheet shows them."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal


def shown(value: float) -> str:
    """To a tenth, halves up; whole numbers without one.

    >>> shown(820.45), shown(564.0)
    ('820.5', '564')
    """
    tenths = Decimal(repr(round(value, 6))).quantize(Decimal("0.1"), ROUND_HALF_UP)
    text = str(tenths).removesuffix(".0")
    return "0" if text == "-0" else text
