"""Drawings of a pack: DXF for machines and screens, PDF for paper. One output a board, so that what is moved
on one board draws no other one again.

Every PDF names the DXF files it shows and their digests.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import Any

import msgspec

from boardwright import NO_MEMO, Files, Memo, output
from boardwright.display import DisplaySettings
from boardwright.project import LayoutSettings
from boardwright_timber.model import Board, BoardParts, Part

from . import names
from .drawing import Drawing
from .dxf import write_dxf
from .stages import BoardPicture, GeneralPicture, SheetPictures
from .views.part import part_drawing


@output()
def general_arrangement_drawings(
    picture: GeneralPicture, show: DisplaySettings, layout: LayoutSettings
) -> Files:
    """``dxf/general-arrangement.dxf``, ``dxf/splitting.dxf`` and both on paper."""
    drawn = {names.GENERAL_ARRANGEMENT: picture.drawing, names.SPLITTING: picture.parted}
    files = {path: write_dxf(drawing) for path, drawing in drawn.items()}
    whole = [(drawing, path, "") for path, drawing in drawn.items()]
    files[names.printed_path("general-arrangement")] = _printed(
        "General arrangement", whole, (), files, show, layout
    )
    return Files(files=files)


@output(each=True)
def board_drawings(
    board: Board,
    picture: BoardPicture,
    parts: BoardParts,
    show: DisplaySettings,
    layout: LayoutSettings,
    memo: Memo = NO_MEMO,
) -> Files:
    """A board and its parts: ``dxf/boards/B01.dxf``, ``dxf/parts/B01-S1.dxf``, ``drawings/B01.pdf``."""
    path = names.board_path(board.id)
    files = {path: write_dxf(picture.drawing)}
    drawn = {part.id: memo.of(_drawn, part, show) for part in parts.cut}
    files |= {names.part_path(id_): one.dxf for id_, one in drawn.items()}
    views = [(view, path, "") for view in picture.views]
    alike = [
        (drawn[first.id].drawing, names.part_path(first.id), f"alike: {', '.join(others)}" if others else "")
        for first, others in distinct(parts.cut)
    ]
    about = f"Board {board.id}"
    files[names.printed_path(board.id)] = _printed(about, views, alike, files, show, layout, memo)
    return Files(files=files)


@output()
def sheet_drawings(
    pictures: SheetPictures, show: DisplaySettings, layout: LayoutSettings, memo: Memo = NO_MEMO
) -> Files:
    """``dxf/sheets/….dxf``, ``dxf/bars/….dxf``, and all of them in ``drawings/sheets.pdf``."""
    paths = {id_: names.sheet_path(id_, id_ in pictures.bars) for id_ in pictures.drawings}
    files = {paths[id_]: memo.of(write_dxf, drawing) for id_, drawing in pictures.drawings.items()}
    shown = [(drawing, paths[id_], "") for id_, drawing in pictures.drawings.items()]
    if shown:
        files[names.printed_path("sheets")] = _printed(
            "Cut sheets and bars" if pictures.bars else "Cut sheets", shown, (), files, show, layout, memo
        )
    return Files(files=files)


class _Drawn(msgspec.Struct, frozen=True):
    """A part as it is drawn, and as its file."""

    drawing: Drawing
    dxf: bytes


def _drawn(part: Part, show: DisplaySettings) -> _Drawn:
    drawing = part_drawing(part, show)
    return _Drawn(drawing, write_dxf(drawing))


def distinct(parts: Sequence[Part]) -> tuple[tuple[Part, tuple[str, ...]], ...]:
    """Parts that differ in more than name and place, each with the names of those like it."""
    groups: dict[bytes, list[Part]] = {}
    for part in parts:
        bare = msgspec.structs.replace(part, id="", label="", placement=None)
        groups.setdefault(msgspec.json.encode(bare), []).append(part)
    return tuple((first, tuple(p.id for p in others)) for first, *others in groups.values())


def _printed(
    about: str,
    alone: Sequence[tuple[Drawing, str, str]],
    sharing: Sequence[tuple[Drawing, str, str]],
    files: dict[str, bytes],
    show: DisplaySettings,
    layout: LayoutSettings,
    memo: Memo = NO_MEMO,
) -> bytes:
    """``alone`` and ``sharing``: drawings, the files that hold them, and what else is to be said."""
    from .pdf import write_pdf
    from .printing import Head, Shown, pages

    def shown(drawings: Sequence[tuple[Drawing, str, str]]) -> list[Shown]:
        return [Shown(d, path, hashlib.sha256(files[path]).hexdigest(), says) for d, path, says in drawings]

    head = Head(layout.name, layout.author, layout.revision, about)
    return write_pdf(f"{layout.name}: {about}", pages(head, shown(alone), shown(sharing), show), memo)


OUTPUTS: list[Callable[..., Any]] = [general_arrangement_drawings, board_drawings, sheet_drawings]
