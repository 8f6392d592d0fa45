"""What a cheaper choice would change, in words and money.

Claim: each saving is worked out from the lines of this very cost, one choice at a time; choices do not add
up where they touch the same line.

What this does not know: whether the layout is as good afterwards. Whoever takes a thinner deck looks at its
sag first (`boardwright pack` tells it again).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType

from boardwright_timber.model import CostChoice, CostLine

from ..nesting.settings import StockSettings, StockSheet
from .lines import Exchange, cost_line
from .near import Need
from .packs import cents
from .wires import one_thickness

LEAST = Decimal("1.00")  # less is not worth a line
LEFT_OUT = {
    "underlay": "Track laid straight on the deck, without underlay: louder.",
    "sealer": "Wood left bare: only for a dry room.",
    "adjustable-foot": "Legs cut to length on the spot, without adjustable feet: for one level floor only.",
}


def choices(
    lines: Sequence[CostLine],
    stock: StockSettings,
    exchange: Exchange,
    needs: Mapping[str, Need] = MappingProxyType({}),
) -> tuple[CostChoice, ...]:
    """The largest saving first."""
    ways = (
        _left_out(lines),
        _services(lines),
        _sheets(lines, stock, exchange),
        one_thickness(needs, exchange.total),
    )
    found = [c for way in ways for c in way if c.saves >= LEAST]
    return tuple(sorted(found, key=lambda c: (-c.saves, c.says)))


def _left_out(lines: Iterable[CostLine]) -> Iterator[CostChoice]:
    for line in lines:
        if line.item in LEFT_OUT and line.group == "hardware":
            yield CostChoice(says=LEFT_OUT[line.item], saves=line.total)


def _services(lines: Iterable[CostLine]) -> Iterator[CostChoice]:
    for line in lines:
        if line.group == "services":
            who = f" from {line.supplier}" if line.supplier else ""
            says = (
                f"Saw the sheets{who} yourself: {line.quantity} cuts are not paid for."
                if line.unit == "cut"
                else f"Fetch the material{who} yourself instead of having it delivered."
            )
            yield CostChoice(says=says, saves=line.total)


def _sheets(lines: Sequence[CostLine], stock: StockSettings, exchange: Exchange) -> Iterator[CostChoice]:
    """The same sheets of another material, thickness, grade or supplier, where their size is the same."""
    by_name = {s.name: s for s in stock.sheets}
    for line in lines:
        own = by_name.get(line.item) if line.group in ("sheets", "bars") else None
        if own is None or line.price is None or not own.price:
            continue
        for other in stock.sheets:
            if other.name != own.name and not other.quantity and _same_size(own, other):
                price = _price(other, exchange)
                if price is not None and price < line.price:
                    yield CostChoice(
                        says=_instead(line, own, other), saves=cents(line.quantity * (line.price - price))
                    )


def _same_size(one: StockSheet, two: StockSheet) -> bool:
    near = abs(one.real_mm - two.real_mm) <= one.real_mm / 3 and one.bar == two.bar
    return near and (one.length_mm, one.width_mm) == (two.length_mm, two.width_mm)


def _price(sheet: StockSheet, exchange: Exchange) -> Decimal | None:
    return exchange.priced(cost_line("sheets", sheet.name, "", 1, "sheet", sheet.price), sheet.currency).price


def _instead(line: CostLine, own: StockSheet, other: StockSheet) -> str:
    says = f"{line.quantity} × {other.name} in place of {own.name}"
    if other.real_mm < own.real_mm:
        return f"{says}: weaker; set the thickness under [framing] and look at the sag."
    if other.real_mm > own.real_mm:
        return f"{says}: heavier; set the thickness under [framing]."
    if other.material != own.material:
        return f"{says}: set the material under [framing] and look at the sag."
    return f"{says}."
