"""Cost: sheets as the cutting plan uses them, hardware by the pack, for all boards together.

Claim: every line's total is quantity × price rounded half up to the cent, and the total is the sum of the
lines' totals, so a spreadsheet that rounds each line gets the same figures. A missing price, or a part
that fits on no sheet, makes the total partial, and says so.

What this does not know: offcuts sold or kept, track, tools.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType

from boardwright import All, Notes, stage
from boardwright.plan.model import Ring
from boardwright_timber.model import Board, BoardHardware, BoardParts, Cost, CuttingPlan
from boardwright_timber.series import ONE_COPY, SeriesSettings

from ..nesting.settings import CuttingSettings, StockSettings
from .choices import choices
from .currencies import ONE_CURRENCY, CurrencySettings
from .lines import Exchange, needs_of, of_hardware, of_services, of_sheets
from .packs import cents
from .settings import CostingSettings
from .sharing import shares
from .telling import (
    say_what_has_no_rate,
    say_what_has_no_sheet,
    say_what_is_an_example,
    say_what_is_missing,
    say_what_is_owned_in_vain,
    say_what_the_order_lacks,
)
from .timing import work

SAW = CuttingSettings()
NO_PARTS: Mapping[str, BoardParts] = MappingProxyType({})
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
    currencies: CurrencySettings = ONE_CURRENCY,
    saw: CuttingSettings = SAW,
) -> Cost:
    """Cost of all materials for all copies of the layout, with each line's arithmetic."""
    exchange = Exchange.of(settings, currencies)
    needs = needs_of(hardware.values(), settings, series.copies, notes, saw.kerf_mm)
    lines = (
        *of_sheets(cutting, stock, exchange),
        *of_hardware(needs, exchange),
        *of_services(cutting, stock, settings),
    )
    say_what_is_owned_in_vain(hardware.values(), settings, notes)
    say_what_has_no_rate(lines, exchange.total, notes)
    say_what_is_missing(lines, notes)
    say_what_has_no_sheet(cutting, notes)
    say_what_is_an_example(lines, hardware.values(), stock, settings, notes)
    say_what_the_order_lacks(lines, settings, notes)
    total = sum((line.total for line in lines), Decimal("0.00"))
    area = series.copies * area_m2(boards.values())
    by_board, by_stage = shares(lines, cutting, parts, hardware.values())
    tax = cents(total * Decimal(repr(settings.tax_percent)) / 100)
    return Cost(
        currency=settings.currency,
        lines=lines,
        total=total,
        complete=all(line.price is not None for line in lines) and not cutting.unplaced,
        per_square_metre=cents(total / area) if area else Decimal("0.00"),
        area_m2=area,
        unsheeted=len(cutting.unplaced),
        copies=series.copies,
        per_copy=cents(total / series.copies),
        by_board=by_board,
        by_stage=by_stage,
        tax_percent=settings.tax_percent,
        tax=tax,
        total_with_tax=total + tax,
        choices=choices(lines, stock, exchange, needs),
        work=work(cutting, parts, hardware.values(), series.copies, settings.minutes),
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
