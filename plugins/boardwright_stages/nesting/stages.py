"""Cutting: which part comes from which sheet, and how it is sawn.

Claim: every part lies on exactly one sheet or is listed as unplaced; parts lie inside the trim, at least one
kerf apart, each freed by straight cuts from edge to edge. The same parts give the same plan.

A part is freed as its blank, the smallest upright rectangle round it; what its own shape needs besides
(curves, openings, bevels) is listed after the cuts.

Two curved parts may share a blank (``blanks``); the bound then counts their outlines.

What this does not know: more than two parts from one blank.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from msgspec.structs import replace

from boardwright import All, Notes, stage
from boardwright_timber.model import BoardParts, CutSheet, CuttingPlan, EndPattern, Part, Unplaced
from boardwright_timber.model.made import MadeParts
from boardwright_timber.series import ONE_COPY, SeriesSettings

from ..costing.currencies import ONE_CURRENCY, CurrencySettings
from .clear import squared
from .groups import areas_of, cut_group, limits_of, together
from .matching import (
    Kind,
    bar_width,
    blank_of,
    by_router,
    check,
    kind_of,
    measured_as,
    sorted_out,
    thinner_than_the_saw,
)
from .repeats import repeats, spare_ends
from .router_settings import SAWN, RouterSettings, as_if_sawn
from .search import search
from .settings import CuttingSettings, StockSettings, StockSheet
from .tell import (
    only_what_is_there,
    routed_in_vain,
    tell,
)
from .tracing import bevels

NONE_MADE = MadeParts()
NO_ENDS = EndPattern()


@stage()
def cutting(
    parts: All[BoardParts],
    stock: StockSettings,
    settings: CuttingSettings,
    notes: Notes,
    series: SeriesSettings = ONE_COPY,
    router: RouterSettings = SAWN,
    have: MadeParts = NONE_MADE,
    ends: EndPattern = NO_ENDS,
    currencies: CurrencySettings = ONE_CURRENCY,
) -> CuttingPlan:
    """Cut sheets for all parts of all boards of all copies (tools once), a material and thickness at a time,
    by saw or, where ``router`` says so, by router; what they ``have`` is left out.

    Raises InputError when two sheets in stock cannot be told apart by name, or a price is below nought.
    """
    check(stock)
    groups: dict[tuple[Kind, float], list[Part]] = {}
    for board in parts.values():
        for part in (p for p in board.cut if p.id not in have.done):
            kind = kind_of(part, stock)
            groups.setdefault((kind, bar_width(part, kind, stock)), []).append(part)
    spare = spare_ends(parts, ends) if series.spare_ends else ()
    sheets: list[CutSheet] = []
    unplaced: list[Unplaced] = []
    bounds: Counter[Kind] = Counter()
    thinner_than_the_saw([p for group in groups.values() for p in group], settings, notes)
    for kind, wide in sorted(groups):
        wanted = sorted(groups[kind, wide], key=lambda p: p.id)
        stocked = [
            s for s in stock.sheets if (s.material, s.real_mm, s.width_mm if s.bar else 0.0) == (*kind, wide)
        ]
        milled = not wide and by_router(stocked, router)
        how = as_if_sawn(settings, router) if milled else settings
        prices = _prices(stocked, currencies)
        plain = [squared(s) for s in stocked]
        fitting, refused = sorted_out(wanted, kind, plain, how, notes, measured_as(kind, stock), stock)
        unplaced += refused
        if fitting:
            tools = {p.id for board in parts.values() for p in board.tools}
            again = [p for p in fitting if p.id not in tools]  # one set of jigs drills every copy
            every = fitting + again * (series.copies - 1)
            every += [p for p in fitting if p.id in spare] * series.spare_ends
            made, bound = (
                _route_group(every, kind, stocked, prices, how, router, notes)
                if milled
                else cut_group(every, kind, stocked, prices, how, notes)
            )
            sheets += made
            bounds[kind] += bound
    only_what_is_there(stock, notes)
    routed_in_vain({k[0] for k in groups}, stock, router, notes)
    return CuttingPlan(
        made=tuple(sorted(have.done)),
        spare=spare * series.spare_ends,
        sheets=tuple(sheets),
        unplaced=tuple(unplaced),
        lower_bounds=tuple((*kind, fewest) for kind, fewest in bounds.items()),
        copies=series.copies,
        repeats=repeats(
            (p for board in parts.values() for p in board.parts if p.id not in have.done),
            series.copies,
            spare * series.spare_ends,
        ),
    )


def _route_group(
    wanted: Sequence[Part],
    kind: Kind,
    stocked: Sequence[StockSheet],
    prices: Sequence[float],
    settings: CuttingSettings,
    router: RouterSettings,
    notes: Notes,
) -> tuple[list[CutSheet], int]:
    """The same by router. ``settings`` are those of a saw that keeps the router's gap and edges."""
    from .packing import Laid
    from .routed import bed_of, best_plan, cut_sheets, fewest, of_rectangles, shapes_of

    shapes, parts = shapes_of(wanted, settings.grain)
    number = {id(part): n for n, of in enumerate(parts) for part in of}
    alike: dict[tuple[int, int, bool, bool], list[Part]] = {}
    for part in wanted:
        one = blank_of([part], settings.grain)
        alike.setdefault((one.length, one.width, one.may_turn, one.lies_turned), []).append(part)
    keys = sorted(alike, reverse=True)
    blanks = [blank_of(alike[key], settings.grain) for key in keys]
    areas = areas_of([squared(s) for s in stocked], blanks, settings)
    beds = [bed_of(a, stocked[a.kind], prices[a.kind], len(wanted), router.edge_mm) for a in areas]

    def rectangles() -> list[Laid]:
        sawn = search(blanks, areas, prices, 0, limits_of(settings), 0)
        numbers = [[number[id(p)] for p in alike[k]] for k in keys]
        return of_rectangles(sawn.sheets, numbers, shapes, stocked, router.edge_mm)

    plan, failures = best_plan(shapes, beds, rectangles, router)
    made = together(cut_sheets(plan, parts, stocked, settings, router, notes))
    by_id = {p.id: p for p in wanted}
    made = [replace(s, contours=bevels([by_id[placed.part] for placed in s.parts])) for s in made]
    bound = fewest(shapes, beds, router.gap_mm)
    tell(kind, made, bound, stocked, failures, notes)
    return made, bound


def _prices(stocked: Sequence[StockSheet], currencies: CurrencySettings) -> list[float]:
    """What a sheet of each kind counts for: its price in one currency (a currency without a rate is taken for
    that one), or its area where a price is missing."""
    rates = currencies.rates
    prices = [float(s.price * rates.get(s.currency, 1)) for s in stocked if s.price is not None]
    if len(prices) == len(stocked):
        return prices
    return [s.length_mm * s.width_mm for s in stocked]
