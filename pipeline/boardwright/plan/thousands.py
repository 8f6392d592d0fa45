"""Numbers with something between their thousands, as spreadsheets of many languages write them.

    1.100,5    1 100,5    1'100.5    1,100.5

They are never read: ``1.100`` is a little more than one for some and eleven hundred for others. In a list
whose decimals have commas it is asked about; elsewhere a point stands before decimals.

What this does not know: what a list is of.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

_DECIMAL_COMMA = re.compile(r"\s*-?\d+,\d+\s*")
_BY_POINTS = re.compile(r"-?\d{1,3}(?:\.\d{3})+")
_GROUPED = re.compile(r"(-?\d{1,3}(?:[ .,'’\u00a0\u202f]\d{3})+)([.,]\d+)?")

ASKED = "may be meant with thousands, since the list has decimal commas"


def has_decimal_commas(rows: Iterable[Iterable[str]]) -> bool:
    """Does a list write decimals with a comma? Then a point may part thousands."""
    return any(_DECIMAL_COMMA.fullmatch(cell) for cells in rows for cell in cells)


def may_be_grouped(text: str) -> bool:
    """Can it be a whole number with points between thousands?"""
    return bool(_BY_POINTS.fullmatch(text.strip()))


def ungrouped(text: str) -> str:
    """The mend of a number with something between its thousands; empty where there is nothing.

    >>> ungrouped("1.100,5"), ungrouped("12,5")
    ('Write it with nothing between thousands: 1100.5', '')
    """
    whole = _GROUPED.fullmatch(text.strip())
    if not whole:
        return ""
    plain = re.sub(r"[^\d-]", "", whole[1])
    return f"Write it with nothing between thousands: {plain}{(whole[2] or '').replace(',', '.')}"
