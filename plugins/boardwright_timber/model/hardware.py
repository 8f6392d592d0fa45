"""Screws, bolts, dowels and glue: what is bought by number or measure, not sawn."""

from __future__ import annotations

import msgspec


class HardwareLine(msgspec.Struct, frozen=True, kw_only=True):
    """``item`` is the key of the price table; ``why`` says what the quantity was counted from.

    ``priced_as`` names the item whose price holds where this one has none of its own (a wire of any colour).
    """

    item: str
    says: str
    quantity: float
    unit: str
    why: str
    priced_as: str = ""


class BoardHardware(msgspec.Struct, frozen=True, kw_only=True):
    """Hardware to build one board. A joint's hardware is counted by the first board of its name."""

    board: str
    lines: tuple[HardwareLine, ...] = ()
