"""The lines of the bill: sheets and bars as they are cut, hardware by the pack, what suppliers take besides.

Claim: each line's total is quantity × price rounded half up to the cent; a price in another currency is
multiplied by its stated rate and rounded to the cent first, as the workbook does.

What this does not know: offcuts sold or kept; discounts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

import msgspec
from msgspec.structs import replace

from boardwright import Notes
from boardwright_timber.model import BoardHardware, CostLine, CuttingPlan, HardwareLine

from ..nesting.settings import StockSettings
from .currencies import CurrencySettings
from .near import Need, shared
from .packs import cents, counted, up
from .settings import EXAMPLE_PRICES, CostingSettings, Price, Supplier

SCREW = "screw-"


class Exchange(msgspec.Struct, frozen=True):
    """Into one currency: ``total`` is its code, ``rates`` what one of another is worth in it."""

    total: str
    rates: dict[str, Decimal]

    @staticmethod
    def of(settings: CostingSettings, currencies: CurrencySettings) -> Exchange:
        return Exchange(settings.currency, currencies.rates)

    def priced(self, line: CostLine, currency: str) -> CostLine:
        """The line with its price in the total's currency. Without a rate its price is not known."""
        if line.price is None or currency in ("", self.total):
            return line
        rate = self.rates.get(currency)
        price = None if rate is None else cents(line.price * rate)
        total = Decimal("0.00") if price is None else cents(line.quantity * price)
        return replace(line, listed=line.price, currency=currency, rate=rate, price=price, total=total)


def cost_line(group: str, item: str, says: str, quantity: int, unit: str, price: Decimal | None) -> CostLine:
    """One line; its price is rounded to the cent first, as it will be shown."""
    each = None if price is None else cents(price)
    return CostLine(
        group=group,
        item=item,
        says=says,
        quantity=Decimal(quantity),
        unit=unit,
        price=each,
        total=Decimal("0.00") if each is None else cents(quantity * each),
    )


def of_sheets(cutting: CuttingPlan, stock: StockSettings, exchange: Exchange) -> Iterator[CostLine]:
    bars = {s.stock for s in cutting.sheets if s.bar}
    used: Counter[tuple[str, float, str]] = Counter()
    for s in cutting.sheets:
        used[s.material, s.thickness_mm, s.stock] += s.times
    stocked = {(s.material, s.real_mm, s.name): s for s in stock.sheets}
    for (material, thickness, name), number in sorted(used.items()):
        sheet = stocked[material, thickness, name]
        thick = f"{sheet.thickness_mm:g} mm" + (f" (measures {thickness:g})" if sheet.actual_mm else "")
        says = ", ".join(
            [f"{material} {thick}"]
            + ([f"grade {sheet.grade}"] if sheet.grade else [])
            + ([f"from {sheet.supplier}"] if sheet.supplier else [])
        )
        group, unit = ("bars", "bar") if name in bars else ("sheets", "sheet")
        line = cost_line(group, name, says, number, unit, sheet.price)
        yield exchange.priced(replace(line, supplier=sheet.supplier), sheet.currency)


def needs_of(
    boards: Iterable[BoardHardware],
    settings: CostingSettings,
    copies: int,
    notes: Notes,
    kerf_mm: float = 0.0,
) -> dict[str, Need]:
    """What is bought, by item, near sizes put together. ``kerf_mm``: what the saw takes between two pieces of
    timber."""
    lines: dict[str, list[HardwareLine]] = {}
    for board in boards:
        for line in board.lines:
            lines.setdefault(line.item, []).append(line)
    needs = {item: _need(item, lines[item], settings, copies, kerf_mm) for item in sorted(lines)}
    return shared(needs, settings, notes)


def of_hardware(needs: Mapping[str, Need], exchange: Exchange) -> Iterator[CostLine]:
    for item, need in needs.items():
        first, price = need.first, need.price
        there = f", {counted(min(need.owned, need.needed), first.unit)} owned" if need.owned else ""
        also = "".join(f", {up(number)} more in place of {other}" for other, number in need.covers)
        why = f"{first.says} ({counted(need.needed, first.unit)} needed{there}{also})"
        if price is None:
            says = why if need.owned else first.says
            yield cost_line("hardware", item, says, up(need.bought), first.unit, None)
            continue
        packs, called, each = need.packs
        says = first.says if price.holds == 1 and not need.owned else why
        made = cost_line("hardware", item, says, packs, called or first.unit, each)
        made = replace(made, covers=tuple(other for other, _ in need.covers))
        yield exchange.priced(made, price.currency)


def _need(
    item: str, lines: Sequence[HardwareLine], settings: CostingSettings, copies: int, kerf_mm: float
) -> Need:
    needed = sum((Decimal(repr(line.quantity)) for line in lines), Decimal(0)) * copies
    owned = Decimal(repr(settings.owned.get(item, 0.0)))
    bought = max(needed - owned, Decimal(0))
    price = price_of(item, settings, lines[0].priced_as)
    if price is None and not bought:
        price = Price(price=Decimal(0))
    if price is not None and item.startswith(SCREW):
        bought *= 1 + Decimal(repr(settings.spare_screws_percent)) / 100
    pieces = Counter(mm for line in lines for mm in line.pieces_mm)
    return Need(
        first=lines[0],
        needed=needed,
        owned=owned,
        bought=bought,
        price=price,
        at_most_mm=min(line.at_most_mm for line in lines),
        pieces=tuple((mm, number * copies) for mm, number in sorted(pieces.items())),
        kerf_mm=kerf_mm,
    )


def price_of(item: str, settings: CostingSettings, priced_as: str = "") -> Price | None:
    """The builder's price of an item, or of what it is priced as; else the example price of one of them."""
    for prices in (settings.prices, EXAMPLE_PRICES):
        for name in (item, priced_as):
            if name in prices:
                return prices[name]
    return None


def of_services(cutting: CuttingPlan, stock: StockSettings, settings: CostingSettings) -> Iterator[CostLine]:
    """Saw cuts where a merchant makes them, and deliveries: of each supplier named, and of all the others."""
    seller = {s.name: s.supplier for s in stock.sheets}
    cuts: Counter[str] = Counter()
    sells: set[str] = set()
    for sheet in cutting.sheets:
        by = seller.get(sheet.stock, "")
        by = by if by in settings.suppliers else ""
        cuts[by] += len(sheet.cuts) * sheet.times
        sells.add(by)
    others = Supplier(delivery=settings.delivery, charge_per_cut=settings.charge_per_cut)
    for name, terms in (("", others), *sorted(settings.suppliers.items())):
        at, tail = (f" from {name}", f"-{name}") if name else ("", "")
        if terms.charge_per_cut is not None and cuts[name]:
            says = f"saw cuts on the sheets{at}, as the cut sheets list them"
            line = cost_line("services", f"saw-cuts{tail}", says, cuts[name], "cut", terms.charge_per_cut)
            yield replace(line, supplier=name)
        if terms.delivery is not None and (name in sells or not name):
            says = f"delivery{at}" if name else "delivery of all material"
            line = cost_line("services", f"delivery{tail}", says, 1, "delivery", terms.delivery)
            yield replace(line, supplier=name)
