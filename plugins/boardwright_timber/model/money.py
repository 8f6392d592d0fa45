"""Money: decimal amounts, all added up in one currency."""

from __future__ import annotations

from decimal import Decimal

import msgspec


class CostLine(msgspec.Struct, frozen=True, kw_only=True):
    """``total`` = ``quantity`` × ``price`` rounded half up to the cent. ``price`` None: it is not known.

    A price in another currency: ``listed`` is what the list says, in ``currency``, and ``price`` that times
    ``rate``, to the cent; else ``currency`` is empty. ``supplier``: who sells it, if said. ``covers``: items
    of near sizes that are bought with it, as this one."""

    group: str
    item: str
    says: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    total: Decimal
    supplier: str = ""
    listed: Decimal | None = None
    currency: str = ""
    rate: Decimal | None = None
    covers: tuple[str, ...] = ()


class CostChoice(msgspec.Struct, frozen=True, kw_only=True):
    """What a cheaper choice would change: in words, and how much it would save (before tax)."""

    says: str
    saves: Decimal


class CostShare(msgspec.Struct, frozen=True, kw_only=True):
    """What one board, or one stage of construction, bears of the total; ``of_lines``: which part of each
    line of the bill, in its order."""

    of: str
    amount: Decimal
    of_lines: tuple[float, ...] = ()


class TimeLine(msgspec.Struct, frozen=True, kw_only=True):
    """One kind of work: ``minutes`` = ``number`` × ``minutes_each``."""

    what: str
    number: int
    minutes_each: float
    minutes: float


class Cost(msgspec.Struct, frozen=True, kw_only=True):
    """``complete`` is False when a price is missing or parts have no sheet: the total is then partial.

    It is the cost of all ``copies`` of the layout together, and ``area_m2`` the area of all of them.
    ``by_board`` and ``by_stage`` each share out ``total``; ``tax`` comes on top of it. ``work`` is estimated.
    ``choices`` are cheaper ones, the largest saving first. ``unsheeted`` counts the parts that fit on no
    sheet; what they need is in no line.
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
    by_board: tuple[CostShare, ...] = ()
    by_stage: tuple[CostShare, ...] = ()
    tax_percent: float = 0.0
    tax: Decimal = Decimal("0.00")
    total_with_tax: Decimal | None = None
    work: tuple[TimeLine, ...] = ()
    choices: tuple[CostChoice, ...] = ()
