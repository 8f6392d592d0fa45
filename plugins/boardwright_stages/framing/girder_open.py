"""The framing style l-girder-open: a deck only where tracks are, on risers above joists that lie on girders.

Claim: girders, flanges and joists are those of ``l-girder``, ``rise_mm`` lower; the deck, its noggins and
risers are those of ``open-top``. A board that girders do not suit is framed as an open top on a box, one
without track gets a whole deck on its girders.

What this does not know: joists that carry risers on their free ends beyond the girders (they are checked as
any other: see ``strength``).
"""

from __future__ import annotations

from boardwright import Notes, stage
from boardwright_timber.model import Board, BoardPlan, Frame, FrameSize

from ..nesting.settings import CuttingSettings, StockSettings
from .girder import l_girder
from .girder_settings import GirderSettings
from .open_settings import OpenTopSettings
from .open_top import raised
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
    made = l_girder(board, board_plan, settings, girder, notes, size, sandwich, stock, cutting)
    style = "l-girder-open" if made.bed else "open-top"
    return raised(board, board_plan, made, style, sized(settings, size), open_, notes) or made
