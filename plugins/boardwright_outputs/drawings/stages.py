"""Pictures, drawn once and used by every output that shows them: the DXF files and the page.

They are presentation, kept as artefacts so that a picture whose board or sheet did not change is not drawn
again. Nothing is measured or decided here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec

from boardwright import NO_MEMO, All, Memo, stage
from boardwright.display import IN_MM, DisplaySettings
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardPosts,
    BoardStand,
    BoardStrength,
    BoardViews,
    BoardWiring,
    CuttingPlan,
    Frame,
    Joists,
    Splitting,
)

from .drawing import Drawing
from .views.board import board_views, side_by_side
from .views.general import general_arrangement, left_out
from .views.parted import parted
from .views.sheet import sheet_drawings

NO_STAND, NO_POSTS, NO_EDGING = BoardStand(board=""), BoardPosts(), BoardEdging()


class BoardPicture(msgspec.Struct, frozen=True, kw_only=True):
    """A board's views; ``drawing`` shows them side by side."""

    board: str
    views: tuple[Drawing, ...]

    @property
    def drawing(self) -> Drawing:
        return side_by_side(self.board, self.views)


class GeneralPicture(msgspec.Struct, frozen=True, kw_only=True):
    """``parted``: boards and joints alone, with the room they leave."""

    drawing: Drawing
    parted: Drawing


class SheetPictures(msgspec.Struct, frozen=True, kw_only=True):
    """Drawings by sheet id; ``bars``: which of them are bars. ``warning`` names boards that could not be
    built; empty when all were."""

    drawings: dict[str, Drawing]
    warning: str
    bars: tuple[str, ...] = ()


@stage(each=True)
def board_picture(
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    wiring: BoardWiring,
    parts: BoardParts,
    strength: BoardStrength,
    views: BoardViews,
    show: DisplaySettings = IN_MM,
    stand: BoardStand = NO_STAND,
    posts: BoardPosts = NO_POSTS,
    edging: BoardEdging = NO_EDGING,
) -> BoardPicture:
    built = (board, plan, frame, joists, fixings, wiring, parts)
    drawn = board_views(*built, strength, views, show, stand, posts, edging)
    return BoardPicture(board=board.id, views=drawn)


@stage()
def general_picture(
    plan: TrackPlan,
    splitting: Splitting,
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    parts: All[BoardParts],
    fixings: All[BoardFixings],
    show: DisplaySettings = IN_MM,
) -> GeneralPicture:
    warning = left_out(splitting, parts)
    drawing = general_arrangement(plan, splitting, plans, frames, joists, warning, fixings, show)
    return GeneralPicture(drawing=drawing, parted=parted(plan, splitting, plans, show))


@stage()
def sheet_pictures(
    splitting: Splitting,
    cutting: CuttingPlan,
    parts: All[BoardParts],
    show: DisplaySettings = IN_MM,
    memo: Memo = NO_MEMO,
) -> SheetPictures:
    warning = left_out(splitting, parts)
    return SheetPictures(
        drawings=sheet_drawings(cutting, parts, warning, show, memo),
        warning=warning,
        bars=tuple(s.id for s in cutting.sheets if s.bar),
    )


STAGES: list[Callable[..., Any]] = [board_picture, general_picture, sheet_pictures]
