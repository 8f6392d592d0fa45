"""The terms of one purchase for several projects: stock and prices of all, saw and rates of the first.

Claim: a sheet or a price that only one project knows holds for all; where two differ, the first project's
holds and a caution names the other. Nothing is taken from anywhere else.

What this does not know: which merchant is cheaper.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from boardwright import Notes, Place

from ..costing.currencies import ONE_CURRENCY, CurrencySettings
from ..costing.settings import CostingSettings, Price
from ..nesting.router_settings import SAWN, RouterSettings
from ..nesting.settings import CuttingSettings, StockSettings, StockSheet
from .packs import Bought


class Terms(msgspec.Struct, frozen=True, kw_only=True):
    stock: StockSettings
    cutting: CuttingSettings
    costing: CostingSettings
    router: RouterSettings = SAWN
    currencies: CurrencySettings = ONE_CURRENCY


def agreed(bought: Sequence[Bought], notes: Notes) -> Terms:
    """What holds for all of them."""
    first = bought[0]
    for other in bought[1:]:
        _say_what_differs(first, other, notes)
    return Terms(
        stock=StockSettings(sheets=_sheets(bought, notes)),
        cutting=first.cutting,
        router=first.router,
        currencies=first.currencies,
        costing=msgspec.structs.replace(first.costing, prices=_prices(bought, notes), owned=_owned(bought)),
    )


def _say_what_differs(first: Bought, other: Bought, notes: Notes) -> None:
    left_out = {"prices", "owned"}
    for mine, theirs in (
        (first.cutting, other.cutting),
        (first.costing, other.costing),
        (first.router, other.router),
        (first.currencies, other.currencies),
    ):
        keys = [
            f for f in mine.__struct_fields__ if f not in left_out and getattr(mine, f) != getattr(theirs, f)
        ]
        if keys:
            table = mine.table_name
            notes.caution(
                "BW-MANY-011",
                f"{other.label} has other {', '.join(keys)} under [{table}] than {first.label}: for what is "
                f"bought together those of {first.label} hold",
                Place(file=other.label, key=table),
                "Give both projects the same, or name first the project whose values shall hold.",
            )


def _sheets(bought: Sequence[Bought], notes: Notes) -> tuple[StockSheet, ...]:
    found: dict[tuple[str, float, str], tuple[StockSheet, str]] = {}
    for project in bought:
        for sheet in project.stock.sheets:
            key = (sheet.material, sheet.thickness_mm, sheet.name)
            kept, whose = found.setdefault(key, (sheet, project.label))
            if kept != sheet:
                _say_second(project.label, whose, f"the sheet {sheet.name}", "stock.sheets", notes)
    return tuple(sheet for sheet, _ in found.values())


def _prices(bought: Sequence[Bought], notes: Notes) -> dict[str, Price]:
    found: dict[str, tuple[Price, str]] = {}
    for project in bought:
        for item, price in project.costing.prices.items():
            kept, whose = found.setdefault(item, (price, project.label))
            if kept != price:
                _say_second(project.label, whose, f"the price of {item}", "costing.prices", notes)
    return {item: price for item, (price, _) in sorted(found.items())}


def _owned(bought: Sequence[Bought]) -> dict[str, float]:
    """What each has there already, added up."""
    found: dict[str, float] = {}
    for project in bought:
        for item, number in project.costing.owned.items():
            found[item] = found.get(item, 0.0) + number
    return dict(sorted(found.items()))


def _say_second(label: str, first: str, what: str, key: str, notes: Notes) -> None:
    notes.caution(
        "BW-MANY-012",
        f"{label} has {what} otherwise than {first}: for what is bought together that of {first} holds",
        Place(file=label, key=key),
        "Give both projects the same, or give the sheet of one another name.",
    )
