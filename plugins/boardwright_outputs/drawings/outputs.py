"""DXF files of a pack: the whole layout, every board and its parts, every cut sheet."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from boardwright import All, Files, output
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    CuttingPlan,
    Frame,
    Joists,
    Splitting,
)

from . import names
from .dxf import write_dxf
from .views.board import board_drawing
from .views.general import general_arrangement, left_out
from .views.part import part_drawing
from .views.sheet import sheet_drawings


@output()
def general_arrangement_dxf(
    plan: TrackPlan,
    splitting: Splitting,
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
) -> Files:
    drawing = general_arrangement(plan, splitting, plans, frames, joists)
    return Files(files={names.GENERAL_ARRANGEMENT: write_dxf(drawing)})


@output(each=True)
def board_dxf(
    board: Board,
    plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    wiring: BoardWiring,
    parts: BoardParts,
) -> Files:
    drawing = board_drawing(board, plan, frame, joists, fixings, wiring, parts)
    return Files(files={names.board_path(board.id): write_dxf(drawing)})


@output(each=True)
def part_dxf(parts: BoardParts) -> Files:
    return Files(files={names.part_path(part.id): write_dxf(part_drawing(part)) for part in parts.parts})


@output()
def sheet_dxf(splitting: Splitting, cutting: CuttingPlan, parts: All[BoardParts]) -> Files:
    drawings = sheet_drawings(cutting, parts, left_out(splitting, parts))
    return Files(files={names.sheet_path(id_): write_dxf(drawing) for id_, drawing in drawings.items()})


OUTPUTS: list[Callable[..., Any]] = [general_arrangement_dxf, board_dxf, part_dxf, sheet_dxf]
