"""Which stock a part can come from: material and thickness, bars of its width, size and grain.

Claim: the one place where thicknesses of wood and of sheets are matched; what fits nothing is told.

Glossary
    kind      a material and a thickness as it is stocked, measured where that is known
"""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from boardwright import Notes, Place
from boardwright.errors import InputError
from boardwright_timber.model import Grain, Part, Unplaced

from .piece import Blank, mm, units_down, units_up
from .router_settings import RouterSettings
from .settings import CuttingSettings, StockSettings, StockSheet
from .shown import shown

SAME_THICKNESS_MM = 0.01  # far less than two thicknesses in a shop differ by
SAME_WIDTH_MM = 0.5  # of a part and the bar it is cut from
SLIP = 0.8  # two names of one material are as alike as that: birch ply, Birch plywood

type Kind = tuple[str, float]  # material, thickness_mm


def kind_of(part: Part, stock: StockSettings) -> Kind:
    """A part's material and the thickness in stock that it means: the nearest, when it is that to within
    SAME_THICKNESS_MM. The one place where thicknesses of wood and of sheets are matched."""
    near = [
        (abs(s.real_mm - part.thickness_mm), s.real_mm)
        for s in stock.sheets
        if s.material == part.material and abs(s.real_mm - part.thickness_mm) <= SAME_THICKNESS_MM
    ]
    return part.material, min(near)[1] if near else part.thickness_mm


def by_router(stocked: Sequence[StockSheet], router: RouterSettings) -> bool:
    wanted = {t for s in stocked for t in (s.thickness_mm, s.real_mm)}
    return any(abs(w - t) <= SAME_THICKNESS_MM for w in wanted for t in router.thicknesses_mm)


def measured_as(kind: Kind, stock: StockSettings) -> list[float]:
    """What sheets that are sold as this thickness really measure, where it is another."""
    return sorted(
        {
            s.real_mm
            for s in stock.sheets
            if s.material == kind[0] and abs(s.thickness_mm - kind[1]) <= SAME_THICKNESS_MM
        }
        - {kind[1]}
    )


def bar_width(part: Part, kind: Kind, stock: StockSettings) -> float:
    """Width of the bars the part comes from, as they are stocked; 0: it comes from a sheet."""
    near = [
        (abs(s.width_mm - part.width_mm), s.width_mm)
        for s in stock.sheets
        if s.bar and (s.material, s.real_mm) == kind and abs(s.width_mm - part.width_mm) <= SAME_WIDTH_MM
    ]
    return min(near)[1] if near and part.grain is not Grain.WIDTH else 0.0


def check(stock: StockSettings) -> None:
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


def thinner_than_the_saw(parts: Sequence[Part], settings: CuttingSettings, notes: Notes) -> None:
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


def _slip(kind: Kind, stock: StockSettings) -> str:
    """What to write where a sheet is of this material but for its letters; empty where none is."""
    material, thickness = kind
    thick = [s for s in stock.sheets if abs(s.real_mm - thickness) <= SAME_THICKNESS_MM]
    near = [s for s in thick if s.material != material]
    for sheet in near:
        if difflib.SequenceMatcher(None, sheet.material.casefold(), material.casefold()).ratio() > SLIP:
            return (
                f"Its sheet {sheet.name!r} is of {sheet.material!r}: materials are told by their letters, so "
                f'write material = "{material}" there.'
            )
    return ""


def sorted_out(
    wanted: Sequence[Part],
    kind: Kind,
    stocked: Sequence[StockSheet],
    settings: CuttingSettings,
    notes: Notes,
    measured: Sequence[float] = (),
    stock: StockSettings | None = None,
) -> tuple[list[Part], list[Unplaced]]:
    """Parts that some sheet can give, and those none can, each with its finding. ``measured``: what is sold
    as this thickness really has. ``stock``: all there is, to tell a slip of the pen."""
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
            (_slip(kind, stock) if stock else "")
            or "Add such a sheet, or a bar just as wide as the parts, to stock.sheets, or choose a material "
            "and thickness that is there.",
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
