"""Cutting: which part comes from which sheet, and how it is sawn.

Claim: every part lies on exactly one sheet or is listed as unplaced; parts lie inside the trim, at least one
kerf apart, each freed by straight cuts from edge to edge. The same parts give the same plan.

A part is freed as its blank, the smallest upright rectangle round it; what its own shape needs besides
(curves, openings, bevels) is listed after the cuts.

What this does not know: parts nested closer than their blanks.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from msgspec.structs import replace

from boardwright import All, Notes, stage
from boardwright_timber.model import BoardParts, CutSheet, CuttingPlan, EndPattern, Part, Unplaced
from boardwright_timber.model.made import MadeParts
from boardwright_timber.series import ONE_COPY, SeriesSettings

from ..costing.currencies import ONE_CURRENCY, CurrencySettings
from .bounds import fewest_sheets
from .clear import sawn_from, squared
from .limits import Limits, beyond
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
    usable,
)
from .mitred import Chained, chained
from .piece import Area, Blank, Piece, units_down, units_up
from .repeats import repeats, spare_ends
from .router_settings import SAWN, RouterSettings, as_if_sawn
from .sawing import Sawn, Spot, cut_tree, laid_out, placed_parts, saw_cuts, shavings, worth_keeping
from .search import search
from .settings import CuttingSettings, StockSettings, StockSheet
from .tell import only_what_is_there, routed_in_vain, tell, tell_limits, tell_shared, tell_shavings
from .tracing import bevels, contours

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
    only_what_is_there(stock, notes)
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
        fitting, refused = sorted_out(wanted, kind, plain, how, notes, measured_as(kind, stock))
        unplaced += refused
        if fitting:
            tools = {p.id for board in parts.values() for p in board.tools}
            again = [p for p in fitting if p.id not in tools]  # one set of jigs drills every copy
            every = fitting + again * (series.copies - 1)
            every += [p for p in fitting if p.id in spare] * series.spare_ends
            made, bound = (
                _route_group(every, kind, stocked, prices, how, router, notes)
                if milled
                else _cut_group(every, kind, stocked, prices, how, notes)
            )
            sheets += made
            bounds[kind] += bound
    routed_in_vain({k[0] for k in groups}, stock, router, notes)
    return CuttingPlan(
        made=tuple(sorted(have.done)),
        spare=spare * series.spare_ends,
        sheets=tuple(sheets),
        unplaced=tuple(unplaced),
        lower_bounds=tuple((*kind, fewest) for kind, fewest in bounds.items()),
        copies=series.copies,
        repeats=repeats((p for board in parts.values() for p in board.parts), series.copies),
    )


def _cut_group(
    wanted: Sequence[Part],
    kind: Kind,
    stocked: Sequence[StockSheet],
    prices: Sequence[float],
    settings: CuttingSettings,
    notes: Notes,
) -> tuple[list[CutSheet], int]:
    """Cut sheets of one material and thickness, and the fewest possible."""
    alike: dict[tuple[int, int, bool, bool], list[Part]] = {}
    for part in wanted:
        one = blank_of([part], settings.grain)
        alike.setdefault((one.length, one.width, one.may_turn, one.lies_turned), []).append(part)
    blanks = [blank_of(alike[key], settings.grain) for key in sorted(alike, reverse=True)]
    whole, stocked = stocked, [squared(s) for s in stocked]
    areas = _areas(stocked, blanks, settings)
    blanks = [b.held_by(areas) for b in blanks]
    kerf = units_up(settings.kerf_mm)
    bound = fewest_sheets(blanks, areas, kerf)
    found = search(blanks, areas, prices, bound, limits_of(settings), settings.stages)
    bound = found.bound
    waiting = [iter(alike[key]) for key in sorted(alike, reverse=True)]
    made = []
    shaved = 0
    for n, tree in enumerate(found.sheets, 1):
        sawn = {
            (p.left, p.bottom): _sawn(p, blanks[p.blank], next(waiting[p.blank]))
            for p in tree.root.blanks()
            if p.blank is not None
        }
        spot = laid_out(tree.root, stocked[tree.kind], settings, sawn)
        shaved += shavings(spot, settings.kerf_mm)
        sheet = _cut_sheet(n, spot, stocked[tree.kind], settings)
        made.append(sawn_from(sheet, whole[tree.kind]))
    by_id = {p.id: p for p in wanted}
    made = [replace(s, contours=contours([by_id[placed.part] for placed in s.parts])) for s in made]
    if all(s.bar for s in stocked):
        plain = [
            (tree.kind, [by_id[p.part] for p in s.parts]) for tree, s in zip(found.sheets, made, strict=True)
        ]
        chains = chained(plain, areas, prices, settings.kerf_mm)
        if chains is not None:
            bound = chains.bound
            made, shaved = _nosed(chains, stocked, areas, settings)
            tell_shared(kind, chains.shared, notes)
    made = _stacked(_together(made))
    tell(kind, made, bound, stocked, found.failures, notes)
    tell_shavings(kind, shaved, settings.kerf_mm, notes)
    tell_limits(kind, sum(beyond(s.root, limits_of(settings)) for s in found.sheets), notes)
    return made, bound


def _nosed(
    chains: Chained, stocked: Sequence[StockSheet], areas: Sequence[Area], settings: CuttingSettings
) -> tuple[list[CutSheet], int]:
    """Bars whose pieces share slanted cuts, and how many cuts only shave."""
    area_of = {a.kind: a for a in areas}
    made, shaved = [], 0
    for n, bar in enumerate(chains.bars, 1):
        spot = bar.spot(stocked[bar.kind], settings, area_of[bar.kind])
        shaved += shavings(spot, settings.kerf_mm)
        sheet = bar.slanted(_cut_sheet(n, spot, stocked[bar.kind], settings), spot)
        done = bar.done()
        parts = [laid.stick.part for laid in bar.laid]
        steps = contours(parts, [done[laid.stick.number] for laid in bar.laid])
        made.append(replace(sheet, contours=steps))
    return made, shaved


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
    areas = _areas([squared(s) for s in stocked], blanks, settings)
    beds = [bed_of(a, stocked[a.kind], prices[a.kind], len(wanted), router.edge_mm) for a in areas]

    def rectangles() -> list[Laid]:
        sawn = search(blanks, areas, prices, 0, limits_of(settings), 0)
        numbers = [[number[id(p)] for p in alike[k]] for k in keys]
        return of_rectangles(sawn.sheets, numbers, shapes, stocked, router.edge_mm)

    plan, failures = best_plan(shapes, beds, rectangles, router)
    made = _together(cut_sheets(plan, parts, stocked, settings, router, notes))
    by_id = {p.id: p for p in wanted}
    made = [replace(s, contours=bevels([by_id[placed.part] for placed in s.parts])) for s in made]
    bound = fewest(shapes, beds, router.gap_mm)
    tell(kind, made, bound, stocked, failures, notes)
    return made, bound


def _together(made: Sequence[CutSheet]) -> list[CutSheet]:
    """Sheets, each once, with how many have the same parts in the same places; named in the order found."""
    times = Counter((s.stock, s.parts, s.cuts) for s in made)
    first = {(s.stock, s.parts, s.cuts): s for s in reversed(made)}
    kept = sorted(first, key=lambda alike: first[alike].id)
    return [
        replace(first[alike], id=f"{_called(first[alike])}-{n:02d}", times=times[alike])
        for n, alike in enumerate(kept, 1)
    ]


def _stacked(made: Sequence[CutSheet]) -> list[CutSheet]:
    """The sheets, each with the first one that is sawn just like it."""
    first: dict[tuple[object, ...], str] = {}
    answer = []
    for sheet in made:
        places = tuple(sorted((p.x_mm, p.y_mm, p.length_mm, p.width_mm) for p in sheet.parts))
        cuts = tuple((c.along, c.at_mm, c.from_mm, c.to_mm) for c in sheet.cuts)
        like = first.setdefault((sheet.stock, cuts, places), sheet.id)
        answer.append(sheet if like == sheet.id else replace(sheet, alike=like))
    return answer


def _sawn(piece: Piece, blank: Blank, part: Part) -> Sawn:
    turned = (piece.length != blank.length) != blank.lies_turned
    length, width = (part.width_mm, part.length_mm) if turned else (part.length_mm, part.width_mm)
    return Sawn(part.id, length, width, turned)


def limits_of(settings: CuttingSettings) -> Limits:
    """What the saw cannot do, in units."""
    return Limits(
        kerf=units_up(settings.kerf_mm),
        longest_rip=units_down(settings.longest_rip_mm),
        longest_cross_cut=units_down(settings.longest_cross_cut_mm),
        smallest=units_up(settings.smallest_piece_mm),
        rips_first=settings.tool != "guide",
    )


def _areas(stocked: Sequence[StockSheet], blanks: Sequence[Blank], settings: CuttingSettings) -> list[Area]:
    """Usable areas. A kind whose number is limited counts as endless when a blank fits no endless one:
    the plan then says how many more are needed."""
    sizes = [usable(s, settings) for s in stocked]
    endless = {n for n, s in enumerate(stocked) if s.quantity == 0}
    for blank in blanks:
        if not any(blank.fits(*sizes[n]) for n in endless):
            fitting = [n for n in range(len(sizes)) if blank.fits(*sizes[n])]
            endless.add(max(fitting, key=lambda n: (sizes[n][0] * sizes[n][1], -n)))
    return [
        Area(kind=n, length=size[0], width=size[1], quantity=None if n in endless else stocked[n].quantity)
        for n, size in enumerate(sizes)
    ]


def _prices(stocked: Sequence[StockSheet], currencies: CurrencySettings) -> list[float]:
    """What a sheet of each kind counts for: its price in one currency (a currency without a rate is taken for
    that one), or its area where a price is missing."""
    rates = currencies.rates
    prices = [float(s.price * rates.get(s.currency, 1)) for s in stocked if s.price is not None]
    if len(prices) == len(stocked):
        return prices
    return [s.length_mm * s.width_mm for s in stocked]


def _cut_sheet(number: int, spot: Spot, stock: StockSheet, settings: CuttingSettings) -> CutSheet:
    placed = tuple(sorted(placed_parts(spot), key=lambda p: p.part))
    used = sum(p.length_mm * p.width_mm for p in placed)
    tree = cut_tree(spot)
    return CutSheet(
        id=f"{number:06d}",  # in the order found; named when sheets alike are put together
        stock=stock.name,
        material=stock.material,
        thickness_mm=stock.real_mm,
        length_mm=stock.length_mm,
        width_mm=stock.width_mm,
        kerf_mm=settings.kerf_mm,
        trim_mm=settings.trim_mm,
        bar=stock.bar,
        parts=placed,
        cuts=saw_cuts(spot, stock, settings),
        used_fraction=round(used / (stock.length_mm * stock.width_mm), 6),
        tree=tree,
        offcuts=tuple(worth_keeping(tree, settings, stock.bar)),
    )


def _called(sheet: CutSheet) -> str:
    material = re.sub(r"[^a-z0-9]+", "-", sheet.material.lower()).strip("-")
    return f"{material}-{sheet.thickness_mm:g}" + (f"x{sheet.width_mm:g}" if sheet.bar else "")
