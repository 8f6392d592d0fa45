"""DXF files of a pack: the whole layout, every board and its parts, every cut sheet."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from boardwright import Files, output
from boardwright_timber.model import Board, BoardParts

from . import names
from .dxf import write_dxf
from .stages import BoardPicture, GeneralPicture, SheetPictures
from .views.part import part_drawing


@output()
def general_arrangement_dxf(picture: GeneralPicture) -> Files:
    return Files(files={names.GENERAL_ARRANGEMENT: write_dxf(picture.drawing)})


@output(each=True)
def board_dxf(board: Board, picture: BoardPicture) -> Files:
    return Files(files={names.board_path(board.id): write_dxf(picture.drawing)})


@output(each=True)
def part_dxf(parts: BoardParts) -> Files:
    return Files(files={names.part_path(part.id): write_dxf(part_drawing(part)) for part in parts.cut})


@output()
def sheet_dxf(pictures: SheetPictures) -> Files:
    return Files(files={names.sheet_path(id_): write_dxf(d) for id_, d in pictures.drawings.items()})


OUTPUTS: list[Callable[..., Any]] = [general_arrangement_dxf, board_dxf, part_dxf, sheet_dxf]
