"""What the cost has to say about itself: what is missing, owned in vain, an example, short of an order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from boardwright import Notes, Place
from boardwright_timber.model import BoardHardware, CostLine, CuttingPlan

from ..nesting.settings import StockSettings
from .settings import EXAMPLE_PRICES, CostingSettings


def say_what_is_owned_in_vain(
    boards: Iterable[BoardHardware], settings: CostingSettings, notes: Notes
) -> None:
    used = {line.item for board in boards for line in board.lines}
    for item in sorted(settings.owned.keys() - used):
        notes.note(
            "BW-COST-004",
            f"costing.owned has {item}, which these boards do not use.",
            Place(key="costing.owned", item=item),
            "Check the spelling against the hardware list, or leave it: it does no harm.",
        )


def say_what_the_order_lacks(lines: Sequence[CostLine], settings: CostingSettings, notes: Notes) -> None:
    """By supplier; what nobody is named for is ordered together."""
    goods: dict[str, Decimal] = {}
    for line in lines:
        if line.group != "services":
            by = line.supplier if line.supplier in settings.suppliers else ""
            goods[by] = goods.get(by, Decimal("0.00")) + line.total
    for by, worth in sorted(goods.items()):
        least = settings.suppliers[by].minimum_order if by else settings.minimum_order
        if least is not None and worth < least:
            who, money = f" of {by}" if by else "", settings.currency
            notes.caution(
                "BW-COST-005",
                f"The goods{who} come to {worth} {money}, the least order is {least} {money}.",
                Place(key=f"costing.suppliers.{by}.minimum_order" if by else "costing.minimum_order"),
                f"Order for {least - worth} {money} more, or with somebody else, or fetch it yourself.",
            )


def say_what_has_no_rate(lines: Iterable[CostLine], total: str, notes: Notes) -> None:
    lacking: dict[str, list[str]] = {}
    for line in lines:
        if line.currency and line.rate is None:
            lacking.setdefault(line.currency, []).append(line.item)
    for code, items in sorted(lacking.items()):
        notes.caution(
            "BW-COST-006",
            f"No rate from {code} to {total} is stated: {len(items)} "
            f"{'price is' if len(items) == 1 else 'prices are'} left out of the total ({', '.join(items)}).",
            Place(key=f"currencies.rates.{code}"),
            f"Write what one {code} is worth in {total} under [currencies.rates]:  {code} = …",
        )


def say_what_is_missing(lines: Iterable[CostLine], notes: Notes) -> None:
    for line in lines:
        if line.price is None and not line.currency:
            sheet = line.group in ("sheets", "bars")
            notes.caution(
                "BW-COST-001",
                f"No price for {line.item} ({line.quantity} {line.unit}): the total leaves it out.",
                Place(key="stock.sheets" if sheet else "costing.prices", item=line.item),
                "Give the sheet a price in stock.sheets."
                if sheet
                else f"Add to the project file: [costing.prices]  {line.item!r} = {{ price = … }}.",
            )


def say_what_has_no_sheet(cutting: CuttingPlan, notes: Notes) -> None:
    if cutting.unplaced:
        number = len(cutting.unplaced)
        parts = "1 part fits" if number == 1 else f"{number} parts fit"
        notes.caution(
            "BW-COST-003",
            f"The cost is incomplete: {parts} on no sheet, and what that wood costs is not in the total.",
            Place(key="stock.sheets", item=", ".join(u.part for u in cutting.unplaced)),
            "Add a sheet of that material, thickness and size to stock.sheets.",
        )


def say_what_is_an_example(
    lines: Iterable[CostLine],
    boards: Iterable[BoardHardware],
    stock: StockSettings,
    settings: CostingSettings,
    notes: Notes,
) -> None:
    examples = {s.name for s in StockSettings().sheets if s in stock.sheets} | (
        EXAMPLE_PRICES.keys() - settings.prices.keys()
    )
    named = {line.item: line.priced_as for b in boards for line in b.lines if line.priced_as}
    priced = [named.get(line.item, line.item) if line.item not in settings.prices else "" for line in lines]
    used = list(dict.fromkeys(name for name in priced if name in examples))
    if used:
        notes.note(
            "BW-COST-002",
            f"{len(used)} prices are examples, not your merchant's: {'; '.join(used)}.",
            Place(key="costing.prices"),
            "Put your own prices into stock.sheets and costing.prices.",
        )
