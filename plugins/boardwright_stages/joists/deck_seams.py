"""Where the deck of a board is parted so that every piece comes out of a sheet: a whole or a narrow one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from boardwright_timber.model import Board, BoardPlan, Frame, Member, Panel

from ..framing.settings import FramingSettings
from ..nesting.settings import CuttingSettings, StockSettings
from .columns import Both
from .seams import Sheet

if TYPE_CHECKING:
    from shapely import Polygon

    from .complaints import Complaints
    from .splices import Found

WHOLE = Both((), ())


def sheets_of(framing: FramingSettings, stock: StockSettings, cutting: CuttingSettings) -> list[Sheet]:
    """What sheets there are for the deck."""
    trim = 2 * cutting.trim_mm
    return [
        Sheet(s.length_mm - trim, s.width_mm - trim, turns=not cutting.grain)
        for s in stock.sheets
        if not s.bar and (s.material, s.real_mm) == (framing.deck_material, framing.deck_thickness_mm)
    ]


def own_devices(board: Board, plan: BoardPlan) -> list[Polygon]:
    import shapely

    return [
        shapely.Polygon([board.to_local(p) for p in d.footprint()])
        for d in plan.devices
        if d.id in plan.own_devices
    ]


def turnouts(board: Board, plan: BoardPlan) -> list[Polygon]:
    import shapely

    return [shapely.Polygon([board.to_local(p) for p in t.ring]) for t in plan.turnouts]


def splices_of(
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    members: tuple[Member, ...],
    sheets: list[Sheet],
    complaints: Complaints,
) -> Found:
    """Seams of a deck that is only where tracks are."""
    from .splices import Found, splices_under

    if not frame.deck:
        return Found((), (), ())
    own, hurt = own_devices(board, plan), turnouts(board, plan)
    found = splices_under(board, frame.deck, (*frame.members, *members), sheets, own, hurt)
    complaints.about_splices(found.splices, [frame.deck[n] for n in found.whole], sheets)
    complaints.about_long_seams(found.long_seams)
    return found


def seams_of(
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    members: tuple[Member, ...],
    framing: FramingSettings,
    stock: StockSettings,
    cutting: CuttingSettings,
    complaints: Complaints,
) -> Both:
    """Where a whole deck is parted so that every piece comes out of a sheet; nowhere where one will do."""
    import shapely

    from .long_seams import Below, seams_both_ways
    from .seams import longest_piece, seams_over

    members = (*frame.members, *members)
    deck = shapely.Polygon(
        [board.to_local(p) for p in board.ring], [[board.to_local(p) for p in w] for w in board.wells]
    )
    x0, y0, x1, y1 = deck.bounds
    sheets = sheets_of(framing, stock, cutting)
    longest = longest_piece(sheets, y1 - y0)
    if not sheets or (longest is not None and x1 - x0 <= longest):
        return WHOLE
    own, hurt = own_devices(board, plan), turnouts(board, plan)
    strips = [shapely.Polygon(b.outline) for b in frame.bent]
    if longest is not None:
        seams = seams_over(deck, members, longest, framing.max_overhang_mm, own, hurt, strips)
        complaints.about_seams(seams, x1 - x0, longest)
        return Both(seams or (), ())
    keepouts = {d.id: shapely.Polygon([board.to_local(p) for p in d.keepout()]) for d in plan.devices}
    below = Below(deck, members, framing.max_overhang_mm, keepouts, own, hurt, strips)
    found = seams_both_ways(board, below, sheets)
    complaints.about_both(found, below, sheets)
    return found or WHOLE


def plates_of(parted: Both) -> list[Panel]:
    return [plate for seam in parted.long_seams for plate in seam.plates]
