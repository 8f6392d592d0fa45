"""Parts of one material and thickness, sawn: from blanks of their own, two from one, or off bars.

Claim: the plan that costs least of those tried; what it has to say is said once, for the plan that is taken.

Glossary
    most    a bound that holds however curved parts share blanks

What this does not know: routers (``routed``).
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from boardwright import Notes
from boardwright_timber.model import Contour, CutSheet, Part

from .blanks import Pair, fewest, paired, parted, steps
from .bounds import fewest_sheets
from .clear import sawn_from, squared
from .limits import Limits, beyond
from .matching import Kind, blank_of, usable
from .mitred import Chained, chained
from .piece import Area, Blank, Piece, units_down, units_up
from .sawing import Sawn, Spot, cut_tree, laid_out, placed_parts, saw_cuts, shavings, worth_keeping
from .search import search
from .settings import CuttingSettings, StockSheet
from .tell import tell, tell_blanks, tell_limits, tell_shared, tell_shavings, tell_trim
from .tracing import contours
from .trims import narrower


def cut_group(
    wanted: Sequence[Part],
    kind: Kind,
    stocked: Sequence[StockSheet],
    prices: Sequence[float],
    settings: CuttingSettings,
    notes: Notes,
) -> tuple[list[CutSheet], int]:
    """Cut sheets of one material and thickness, and the fewest possible: every part from its own blank, or
    curved ones two from one where ``settings`` have it so."""
    sharing = settings.share_blanks != "never" and not any(s.bar for s in stocked)
    pairs = _pairs(wanted, stocked, settings) if sharing else []
    said = Notes()
    if not pairs:
        return _sawn_group(wanted, kind, stocked, prices, settings, notes)
    areas = areas_of([squared(s) for s in stocked], [], settings)
    most = fewest(wanted, areas, units_up(settings.kerf_mm))
    made, bound = _sawn_group(wanted, kind, stocked, prices, settings, said, most)
    if settings.share_blanks == "always" or len(stocked) > 1 or sum(s.times for s in made) > bound:
        told = Notes()
        left = Counter(p.id for p in wanted)
        left.subtract(p.id for pair in pairs for p in pair.parts)
        single = [part for part in {p.id: p for p in wanted}.values() for _ in range(left[part.id])]
        blanks = [*single, *(pair.part for pair in pairs)]
        shared, _ = _sawn_group(blanks, kind, stocked, prices, settings, told, most, pairs)
        each = {s.name: price for s, price in zip(stocked, prices, strict=True)}

        def worth(sheets: Sequence[CutSheet]) -> tuple[float, int]:
            return round(sum(s.times * each[s.stock] for s in sheets), 6), sum(s.times for s in sheets)

        cheaper = worth(shared) < worth(made)
        if cheaper or (settings.share_blanks == "always" and worth(shared) == worth(made)):
            made, said = shared, told
            tell_blanks(kind, len(pairs), notes)
    notes.findings += said.findings
    return made, bound


def _pairs(wanted: Sequence[Part], stocked: Sequence[StockSheet], settings: CuttingSettings) -> list[Pair]:
    """Pairs of curved parts whose common blank comes out of some sheet."""
    sizes = [usable(squared(s), settings) for s in stocked]
    return [
        pair
        for pair in paired(wanted, settings.jigsaw_mm)
        if any(blank_of([pair.part], settings.grain).fits(*size) for size in sizes)
    ]


def _sawn_group(
    wanted: Sequence[Part],
    kind: Kind,
    stocked: Sequence[StockSheet],
    prices: Sequence[float],
    settings: CuttingSettings,
    notes: Notes,
    most: int | None = None,
    pairs: Sequence[Pair] = (),
) -> tuple[list[CutSheet], int]:
    """The same, every part from its own blank, or the blank it is. ``most``: the bound is no more than it;
    ``pairs``: the blanks among the parts that are common ones."""
    alike: dict[tuple[int, int, bool, bool], list[Part]] = {}
    for part in wanted:
        one = blank_of([part], settings.grain)
        alike.setdefault((one.length, one.width, one.may_turn, one.lies_turned), []).append(part)
    blanks = [blank_of(alike[key], settings.grain) for key in sorted(alike, reverse=True)]
    whole, stocked = stocked, [squared(s) for s in stocked]
    areas = areas_of(stocked, blanks, settings)
    blanks = [b.held_by(areas) for b in blanks]
    kerf = units_up(settings.kerf_mm)
    bound = fewest_sheets(blanks, areas, kerf)
    found = search(blanks, areas, prices, bound, limits_of(settings), settings.stages)
    bound = found.bound if most is None else min(found.bound, most)
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
    of_pair = {pair.id: pair for pair in pairs}
    by_id = {p.id: p for p in (*wanted, *(p for pair in pairs for p in pair.parts))}
    made = [_by_hand(s, of_pair, by_id, settings) for s in made]
    if all(s.bar for s in stocked):
        plain = [
            (tree.kind, [by_id[p.part] for p in s.parts]) for tree, s in zip(found.sheets, made, strict=True)
        ]
        chains = chained(plain, areas, prices, settings.kerf_mm)
        if chains is not None:
            bound = chains.bound
            made, shaved = _nosed(chains, stocked, areas, settings)
            tell_shared(kind, chains.shared, notes)
    made = _stacked(together(made))
    tell(kind, made, bound, stocked, found.failures, notes)
    tell_shavings(kind, shaved, settings.kerf_mm, notes)
    impossible = sum(beyond(s.root, limits_of(settings)) for s in found.sheets)
    tell_limits(kind, impossible, notes)
    used = sum(s.times for s in made)
    if used == bound and len(stocked) == 1 and len(found.sheets) == used:
        less = narrower(blanks, areas, prices, stocked, settings, limits_of(settings), used, impossible)
        tell_trim(kind, less, used, settings.trim_mm, stocked[0].bar, notes)
    return made, bound


def _by_hand(
    sheet: CutSheet, pairs: Mapping[str, Pair], by_id: Mapping[str, Part], settings: CuttingSettings
) -> CutSheet:
    """The sheet with what is done after the saw cuts; parts that share a blank are parted first."""
    first = [
        Contour(step=0, part=part, kind="curve", says=says)
        for part, says in steps([pairs[p.part] for p in sheet.parts if p.part in pairs], settings.jigsaw_mm)
    ]
    sheet = parted(sheet, pairs)
    all_ = [*first, *contours([by_id[placed.part] for placed in sheet.parts])]
    return replace(sheet, contours=tuple(replace(c, step=n) for n, c in enumerate(all_, 1)))


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


def together(made: Sequence[CutSheet]) -> list[CutSheet]:
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


def areas_of(stocked: Sequence[StockSheet], blanks: Sequence[Blank], settings: CuttingSettings) -> list[Area]:
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
