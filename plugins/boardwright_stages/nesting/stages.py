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

from boardwright import All, Notes, Place, stage
from boardwright.errors import InputError
from boardwright_timber.model import BoardParts, CutSheet, CuttingPlan, EndPattern, Grain, Part, Unplaced
from boardwright_timber.model.made import MadeParts
from boardwright_timber.series import ONE_COPY, SeriesSettings

from ..costing.currencies import ONE_CURRENCY, CurrencySettings
from .bounds import fewest_sheets
from .limits import Limits, beyond
from .piece import Area, Blank, Piece, mm, units_down, units_up
from .repeats import repeats, spare_ends
from .router_settings import SAWN, RouterSettings, as_if_sawn
from .sawing import Sawn, Spot, cut_tree, laid_out, placed_parts, saw_cuts, shavings, worth_keeping
from .search import search
from .settings import CuttingSettings, StockSettings, StockSheet
from .shown import shown
from .tell import tell, tell_limits, tell_shavings
from .tracing import bevels, contours

NONE_MADE = MadeParts()
NO_ENDS = EndPattern()
SAME_THICKNESS_MM = 0.01  # far less than two thicknesses in a shop differ by
SAME_WIDTH_MM = 0.5  # of a part and the bar it is cut from

type Kind = tuple[str, float]  # material, thickness_mm


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
    _check(stock)
    groups: dict[tuple[Kind, float], list[Part]] = {}
    for board in parts.values():
        for part in (p for p in board.cut if p.id not in have.done):
            kind = _kind_of(part, stock)
            groups.setdefault((kind, _bar_width(part, kind, stock)), []).append(part)
    spare = spare_ends(parts, ends) if series.spare_ends else ()
    sheets: list[CutSheet] = []
    unplaced: list[Unplaced] = []
    bounds: Counter[Kind] = Counter()
    _thinner_than_the_saw([p for group in groups.values() for p in group], settings, notes)
    for kind, bar_width in sorted(groups):
        wanted = sorted(groups[kind, bar_width], key=lambda p: p.id)
        stocked = [
            s
            for s in stock.sheets
            if (s.material, s.real_mm, s.width_mm if s.bar else 0.0) == (*kind, bar_width)
        ]
        milled = not bar_width and _by_router(stocked, router)
        how = as_if_sawn(settings, router) if milled else settings
        prices = _prices(stocked, currencies)
        fitting, refused = _sorted_out(wanted, kind, stocked, how, notes, _measured(kind, stock))
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
    return CuttingPlan(
        made=tuple(sorted(have.done)),
        spare=spare * series.spare_ends,
        sheets=tuple(sheets),
        unplaced=tuple(unplaced),
        lower_bounds=tuple((*kind, fewest) for kind, fewest in bounds.items()),
        copies=series.copies,
        repeats=repeats((p for board in parts.values() for p in board.parts), series.copies),
    )


def _kind_of(part: Part, stock: StockSettings) -> Kind:
    """A part's material and the thickness in stock that it means: the nearest, when it is that to within
    SAME_THICKNESS_MM. The one place where thicknesses of wood and of sheets are matched."""
    near = [
        (abs(s.real_mm - part.thickness_mm), s.real_mm)
        for s in stock.sheets
        if s.material == part.material and abs(s.real_mm - part.thickness_mm) <= SAME_THICKNESS_MM
    ]
    return part.material, min(near)[1] if near else part.thickness_mm


def _by_router(stocked: Sequence[StockSheet], router: RouterSettings) -> bool:
    wanted = {t for s in stocked for t in (s.thickness_mm, s.real_mm)}
    return any(abs(w - t) <= SAME_THICKNESS_MM for w in wanted for t in router.thicknesses_mm)


def _measured(kind: Kind, stock: StockSettings) -> list[float]:
    """What sheets that are sold as this thickness really measure, where it is another."""
    return sorted(
        {
            s.real_mm
            for s in stock.sheets
            if s.material == kind[0] and abs(s.thickness_mm - kind[1]) <= SAME_THICKNESS_MM
        }
        - {kind[1]}
    )


def _bar_width(part: Part, kind: Kind, stock: StockSettings) -> float:
    """Width of the bars the part comes from, as they are stocked; 0: it comes from a sheet."""
    near = [
        (abs(s.width_mm - part.width_mm), s.width_mm)
        for s in stock.sheets
        if s.bar and (s.material, s.real_mm) == kind and abs(s.width_mm - part.width_mm) <= SAME_WIDTH_MM
    ]
    return min(near)[1] if near and part.grain is not Grain.WIDTH else 0.0


def _check(stock: StockSettings) -> None:
    for sheet in stock.sheets:
        if sheet.price is not None and not sheet.price >= 0:  # NaN is refused too
            raise InputError.of(
                "BW-CUT-005",
                f"the price of {sheet.name} is {sheet.price}",
                Place(key="stock.sheets", item=sheet.name),
                "Write 0 for what is already there, or leave the price out when it is not known.",
            )
    seen: set[tuple[str, float, str]] = set()
    for sheet in stock.sheets:
        key = (sheet.material, sheet.thickness_mm, sheet.name)
        if key in seen:
            raise InputError.of(
                "BW-CUT-004",
                f"two sheets of {sheet.material} {sheet.thickness_mm:g} mm are called “{sheet.name}”",
                Place(key="stock.sheets", item=sheet.name),
                "Give each its own name: the cut sheets and the cost tell them apart by it.",
            )
        seen.add(key)


def _thinner_than_the_saw(parts: Sequence[Part], settings: CuttingSettings, notes: Notes) -> None:
    thin = [p for p in parts if min(p.length_mm, p.width_mm) <= settings.kerf_mm]
    if thin:
        notes.caution(
            "BW-CUT-006",
            f"{len(thin)} parts are no wider than the saw's kerf of {settings.kerf_mm:g} mm: "
            "the blade takes more than it leaves.",
            [Place(board=p.board, item=p.id) for p in thin],
            "Check their sizes, or give cutting.kerf_mm the width your blade really cuts.",
        )


def usable(sheet: StockSheet, settings: CuttingSettings) -> tuple[int, int]:
    """Length and width inside the trim, in units (0.01 mm)."""
    return (
        units_down(sheet.length_mm - 2 * settings.trim_mm),
        units_down(sheet.width_mm - 2 * settings.trim_mm * sheet.edge_trim),
    )


def blank_of(parts: Sequence[Part], grain: bool) -> Blank:
    """The common blank of parts of one size and grain."""
    part = parts[0]
    length, width = units_up(part.length_mm), units_up(part.width_mm)
    turned = grain and part.grain is Grain.WIDTH
    return Blank(
        length=width if turned else length,
        width=length if turned else width,
        may_turn=not grain or part.grain is Grain.FREE,
        lies_turned=turned,
        parts=tuple(p.id for p in parts),
    )


def _sorted_out(
    wanted: Sequence[Part],
    kind: Kind,
    stocked: Sequence[StockSheet],
    settings: CuttingSettings,
    notes: Notes,
    measured: Sequence[float] = (),
) -> tuple[list[Part], list[Unplaced]]:
    """Parts that some sheet can give, and those none can, each with its finding. ``measured``: what is sold
    as this thickness really has."""
    areas = [usable(s, settings) for s in stocked]
    if not stocked and measured:
        real = " or ".join(f"{t:g}" for t in measured)
        why = f"what is sold as {kind[0]} {kind[1]:g} mm measures {real} mm"
        notes.fault(
            "BW-CUT-014",
            f"{why}: {len(wanted)} {'part' if len(wanted) == 1 else 'parts'} would not fit the frames.",
            [Place(board=p.board, item=p.id) for p in wanted],
            f"Write {real} as member_thickness_mm or deck_thickness_mm under [framing], so that the frames "
            "fit what is bought.",
        )
        return [], [Unplaced(part=p.id, why=why) for p in wanted]
    if not stocked:
        why = f"[stock] has no sheet of {kind[0]} {kind[1]:g} mm"
        notes.fault(
            "BW-CUT-001",
            f"{why}: {len(wanted)} {'part' if len(wanted) == 1 else 'parts'} cannot be cut.",
            [Place(board=p.board, item=p.id) for p in wanted],
            "Add such a sheet, or a bar just as wide as the parts, to stock.sheets, or choose a material and "
            "thickness that is there.",
        )
        return [], [Unplaced(part=p.id, why=why) for p in wanted]
    fitting, refused = [], []
    for part in wanted:
        blank = blank_of([part], settings.grain)
        if any(blank.fits(*area) for area in areas):
            fitting.append(part)
            continue
        length, width = max(areas, key=lambda a: a[0] * a[1])
        held = not blank.may_turn and any(blank.fits(*area[::-1]) for area in areas)
        why = (
            f"its blank is {shown(part.length_mm)} × {shown(part.width_mm)} mm, the largest usable area of "
            f"{kind[0]} {kind[1]:g} mm is {shown(mm(length))} × {shown(mm(width))} mm"
            + (", and its grain keeps it from lying the other way, which would fit" if held else "")
        )
        refused.append(Unplaced(part=part.id, why=why))
        notes.fault(
            "BW-CUT-002",
            f"Part {part.id} does not come out of any sheet: {why}.",
            Place(board=part.board, item=part.id),
            "Let its grain run either way, or add a sheet with the grain the other way."
            if held
            else "Split the board, make the part smaller, or add a larger sheet to stock.sheets.",
        )
    return fitting, refused


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
    areas = _areas(stocked, blanks, settings)
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
        made.append(_cut_sheet(n, spot, stocked[tree.kind], settings))
    made = _stacked(_together(made))
    by_id = {p.id: p for p in wanted}
    made = [replace(s, contours=contours([by_id[placed.part] for placed in s.parts])) for s in made]
    tell(kind, made, bound, stocked, found.failures, notes)
    tell_shavings(kind, shaved, settings.kerf_mm, notes)
    tell_limits(kind, sum(beyond(s.root, limits_of(settings)) for s in found.sheets), notes)
    return made, bound


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
    areas = _areas(stocked, blanks, settings)
    beds = [bed_of(a, stocked[a.kind], prices[a.kind], len(wanted), router.edge_mm) for a in areas]

    def rectangles() -> list[Laid]:
        sawn = search(blanks, areas, prices, 0, limits_of(settings), 0)
        numbers = [[number[id(p)] for p in alike[k]] for k in keys]
        return of_rectangles(sawn.sheets, numbers, shapes, router.edge_mm)

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
