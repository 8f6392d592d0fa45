"""Cost: sheets as the cutting plan uses them, hardware by the pack, for all boards together.

Claim: every line's total is quantity × price rounded half up to the cent, and the total is the sum of the
lines' totals, so a spreadsheet that rounds each line gets the same figures. A missing price, or a part
that fits on no sheet, makes the total partial, and says so.

What this does not know: offcuts sold or kept, track, tools.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType

from boardwright import All, Notes, Place, stage
from boardwright.plan.model import Ring
from boardwright_timber.model import (
    Board,
    BoardHardware,
    BoardParts,
    Cost,
    CostLine,
    CuttingPlan,
    HardwareLine,
)
from boardwright_timber.series import ONE_COPY, SeriesSettings

from ..nesting.settings import StockSettings
from .settings import EXAMPLE_PRICES, CostingSettings, Price
from .sharing import shares
from .timing import work

NO_PARTS: Mapping[str, BoardParts] = MappingProxyType({})
CENT = Decimal("0.01")
SCREW = "screw-"
AREA_STEP_M2 = Decimal("0.0001")


@stage()
def cost(
    cutting: CuttingPlan,
    hardware: All[BoardHardware],
    boards: All[Board],
    stock: StockSettings,
    settings: CostingSettings,
    notes: Notes,
    series: SeriesSettings = ONE_COPY,
    parts: All[BoardParts] = NO_PARTS,
) -> Cost:
    """Cost of all materials for all copies of the layout, with each line's arithmetic."""
    lines = (
        *_sheets(cutting, stock),
        *_hardware(hardware.values(), settings, series.copies),
        *_services(cutting, settings),
    )
    _say_what_is_owned_in_vain(hardware.values(), settings, notes)
    _say_what_is_missing(lines, notes)
    _say_what_has_no_sheet(cutting, notes)
    _say_what_is_an_example(lines, hardware.values(), stock, settings, notes)
    _say_what_the_order_lacks(lines, settings, notes)
    total = sum((line.total for line in lines), Decimal("0.00"))
    area = series.copies * area_m2(boards.values())
    by_board, by_stage = shares(lines, cutting, parts, hardware.values())
    tax = _cents(total * Decimal(repr(settings.tax_percent)) / 100)
    return Cost(
        currency=settings.currency,
        lines=lines,
        total=total,
        complete=all(line.price is not None for line in lines) and not cutting.unplaced,
        per_square_metre=_cents(total / area) if area else Decimal("0.00"),
        area_m2=area,
        unsheeted=len(cutting.unplaced),
        copies=series.copies,
        per_copy=_cents(total / series.copies),
        by_board=by_board,
        by_stage=by_stage,
        tax_percent=settings.tax_percent,
        tax=tax,
        total_with_tax=total + tax,
        work=work(cutting, parts, hardware.values(), series.copies, settings.minutes),
    )


def cost_line(group: str, item: str, says: str, quantity: int, unit: str, price: Decimal | None) -> CostLine:
    """One line; its price is rounded to the cent first, as it will be shown."""
    each = None if price is None else _cents(price)
    return CostLine(
        group=group,
        item=item,
        says=says,
        quantity=Decimal(quantity),
        unit=unit,
        price=each,
        total=Decimal("0.00") if each is None else _cents(quantity * each),
    )


def area_m2(boards: Iterable[Board]) -> Decimal:
    """Area of the boards less their wells, to 0.0001 m²."""
    square_mm = sum(
        abs(_area(b.ring)) - sum(abs(_area(w)) for w in b.wells) for b in sorted(boards, key=lambda b: b.id)
    )
    return (Decimal(repr(round(square_mm, 3))) / 1_000_000).quantize(AREA_STEP_M2, ROUND_HALF_UP)


def _area(ring: Ring) -> float:
    x0, y0 = ring[0]  # measured from the first corner: a layout far from the origin loses no digits
    return (
        sum(
            (a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0)
            for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
        )
        / 2
    )


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


def _sheets(cutting: CuttingPlan, stock: StockSettings) -> Iterable[CostLine]:
    bars = {s.stock for s in cutting.sheets if s.bar}
    used: Counter[tuple[str, float, str]] = Counter()
    for s in cutting.sheets:
        used[s.material, s.thickness_mm, s.stock] += s.times
    prices = {(s.material, s.thickness_mm, s.name): s.price for s in stock.sheets}
    for (material, thickness, name), number in sorted(used.items()):
        says = f"{material} {thickness:g} mm"
        price = prices[material, thickness, name]
        if name in bars:
            yield cost_line("bars", name, says, number, "bar", price)
        else:
            yield cost_line("sheets", name, says, number, "sheet", price)


def _hardware(boards: Iterable[BoardHardware], settings: CostingSettings, copies: int) -> Iterable[CostLine]:
    lines: dict[str, list[HardwareLine]] = {}
    for board in boards:
        for line in board.lines:
            lines.setdefault(line.item, []).append(line)
    for item in sorted(lines):
        needed = sum((Decimal(repr(line.quantity)) for line in lines[item]), Decimal(0)) * copies
        owned = Decimal(repr(settings.owned.get(item, 0.0)))
        bought = max(needed - owned, Decimal(0))
        first = lines[item][0]
        price = price_of(item, settings, first.priced_as)
        if price is None and not bought:
            price = Price(price=Decimal(0))
        measure = "" if first.unit == "piece" else f" {first.unit}"
        there = f", {_up(min(owned, needed))}{measure} owned" if owned else ""
        counted = f"{first.says} ({_up(needed)}{measure} needed{there})"
        if price is None:
            yield cost_line("hardware", item, counted if owned else first.says, _up(bought), first.unit, None)
            continue
        if item.startswith(SCREW):
            bought *= 1 + Decimal(repr(settings.spare_screws_percent)) / 100
        packs, called, each = cheapest_packs(bought, price)
        says = first.says if price.holds == 1 and not owned else counted
        yield cost_line("hardware", item, says, packs, called or first.unit, each)


def cheapest_packs(bought: Decimal, price: Price) -> tuple[int, str, Decimal]:
    """Number, name and price of the packs to buy, all of one kind; the larger kind when they cost the same.

    >>> cheapest_packs(Decimal(4), EXAMPLE_PRICES["screw-4x50"])   # not a box of 200 at 9.00
    (1, 'bag of 25', Decimal('2.00'))
    """
    packs = _up(bought / price.holds)
    if price.smaller is not None:
        small = _up(bought / price.smaller_holds)
        if small * _cents(price.smaller) < packs * _cents(price.price):
            return small, price.smaller_called, price.smaller
    return packs, price.called, price.price


def _services(cutting: CuttingPlan, settings: CostingSettings) -> Iterable[CostLine]:
    """Delivery, and the saw cuts of every sheet when the merchant makes them."""
    cuts = sum(len(s.cuts) * s.times for s in cutting.sheets)
    if settings.charge_per_cut is not None and cuts:
        says = "saw cuts at the merchant's, as the cut sheets list them"
        yield cost_line("services", "saw-cuts", says, cuts, "cut", settings.charge_per_cut)
    if settings.delivery is not None:
        yield cost_line("services", "delivery", "delivery of all material", 1, "delivery", settings.delivery)


def _say_what_is_owned_in_vain(
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


def _say_what_the_order_lacks(lines: Iterable[CostLine], settings: CostingSettings, notes: Notes) -> None:
    goods = sum((line.total for line in lines if line.group != "services"), Decimal("0.00"))
    if settings.minimum_order is not None and goods < settings.minimum_order:
        notes.caution(
            "BW-COST-005",
            f"The goods come to {goods} {settings.currency}, the least order is {settings.minimum_order}.",
            Place(key="costing.minimum_order"),
            f"Order for {settings.minimum_order - goods} more, or with somebody else, or fetch it yourself.",
        )


def price_of(item: str, settings: CostingSettings, priced_as: str = "") -> Price | None:
    """The builder's price of an item, or of what it is priced as; else the example price of one of them."""
    for prices in (settings.prices, EXAMPLE_PRICES):
        for name in (item, priced_as):
            if name in prices:
                return prices[name]
    return None


def _up(number: Decimal) -> int:
    return int(number.to_integral_value("ROUND_CEILING"))


def _say_what_is_missing(lines: Iterable[CostLine], notes: Notes) -> None:
    for line in lines:
        if line.price is None:
            sheet = line.group in ("sheets", "bars")
            notes.caution(
                "BW-COST-001",
                f"No price for {line.item} ({line.quantity} {line.unit}): the total leaves it out.",
                Place(key="stock.sheets" if sheet else "costing.prices", item=line.item),
                "Give the sheet a price in stock.sheets."
                if sheet
                else f"Add to the project file: [costing.prices]  {line.item!r} = {{ price = … }}.",
            )


def _say_what_has_no_sheet(cutting: CuttingPlan, notes: Notes) -> None:
    if cutting.unplaced:
        number = len(cutting.unplaced)
        parts = "1 part fits" if number == 1 else f"{number} parts fit"
        notes.caution(
            "BW-COST-003",
            f"The cost is incomplete: {parts} on no sheet, and what that wood costs is not in the total.",
            Place(key="stock.sheets", item=", ".join(u.part for u in cutting.unplaced)),
            "Add a sheet of that material, thickness and size to stock.sheets.",
        )


def _say_what_is_an_example(
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
