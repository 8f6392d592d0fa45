"""The framing style l-girder-open: a deck only where tracks are, on risers above joists that lie on girders.

Claim: girders, flanges and joists are those of ``l-girder``, ``rise_mm`` lower, and clear of devices that
reach down to them there; the deck, its noggins and risers are those of ``open-top``. A board that girders do
not suit is framed as an open top on a box, one without track gets a whole deck on its girders.

What this does not know: joists that carry risers on their free ends beyond the girders (they are checked as
any other: see ``strength``).
"""

from __future__ import annotations

from msgspec.structs import replace

from boardwright import Notes, stage
from boardwright_timber.model import Board, BoardPlan, Frame, FrameSize

from ..nesting.settings import CuttingSettings, StockSettings
from .girder import on_girders
from .girder_settings import GirderSettings
from .on_deck import hung
from .open_settings import OpenTopSettings
from .open_top import deck_of, raised
from .sandwich_settings import SOLID, SandwichSettings
from .settings import FramingSettings
from .sized import AS_SET, sized

STOCK, CUTTING = StockSettings(), CuttingSettings()


@stage(name="frame", each=True, style="l-girder-open", chosen_by="framing.style")
def l_girder_open(
    board: Board,
    board_plan: BoardPlan,
    settings: FramingSettings,
    girder: GirderSettings,
    open_: OpenTopSettings,
    notes: Notes,
    size: FrameSize = AS_SET,
    sandwich: SandwichSettings = SOLID,
    stock: StockSettings = STOCK,
    cutting: CuttingSettings = CUTTING,
) -> Frame:
    """Frame one board on girders, its deck only under tracks."""
    from .stages import frame as box

    boxed = box(board, settings, notes, size, sandwich, stock, cutting)
    wood = sized(settings, size)
    deck = deck_of(board, board_plan, wood, open_, notes)
    rise_mm = open_.rise_mm if deck else 0.0
    devices = hung(board, replace(boxed, deck=deck), board_plan.devices)
    made = on_girders(board, boxed, devices, settings, girder, size, notes, rise_mm)
    style = "l-girder-open" if made.bed and made.bed.across else "open-top"
    return raised(board, board_plan, made, deck, style, wood, open_, notes) or made
