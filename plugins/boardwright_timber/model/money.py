"""Money: decimal amounts in one currency."""

from __future__ import annotations

from decimal import Decimal

import msgspec


class CostLine(msgspec.Struct, frozen=True, kw_only=True):
    """``total`` = ``quantity`` × ``price`` rounded half up to the cent. ``price`` None: it is not known."""

    group: str
    item: str
    says: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    total: Decimal


class Cost(msgspec.Struct, frozen=True, kw_only=True):
    """``complete`` is False when a price is missing or parts have no sheet: the total is then partial.

    It is the cost of all ``copies`` of the layout together, and ``area_m2`` the area of all of them.
    ``unsheeted`` counts the parts that fit on no sheet; what they need is in no line.
    """

    currency: str
    lines: tuple[CostLine, ...] = ()
    total: Decimal
    complete: bool = True
    per_square_metre: Decimal
    area_m2: Decimal
    unsheeted: int = 0
    copies: int = 1
    per_copy: Decimal | None = None
