"""Strips along a board's edges on its views from above and below: their outlines and names."""

from __future__ import annotations

from boardwright_timber.model import Board, BoardEdging, BoardPlan, EdgeKind

from .. import placing
from ..drawing import Role
from ..pen import Pen
from ..placing import Place, moved
from .board_labels import named_on


def draw_edging(pen: Pen, board: Board, plan: BoardPlan, edging: BoardEdging, *, below: bool) -> None:
    named = named_on(board, plan)
    view: Place = placing.mirrored(board.length_mm / 2) if below else placing.at(0.0, 0.0)
    for strip in edging.strips:
        for piece in strip.pieces:
            pen.ring(Role.MEMBER, moved(piece.outline, view))
            n = len(piece.outer) // 2
            a, b = moved((piece.outer[n - 1], piece.outer[n]), view)
            pen.label_along(
                named(piece.id), a, b, clear_mm=strip.thickness_mm, height_mm=0.7 * pen.text_mm, beyond=True
            )
    if edging.strips:
        kinds = [
            f"{kind} ({', '.join(named(s.id) for s in edging.of(kind).strips)})"
            for kind in EdgeKind
            if edging.of(kind).strips
        ]
        says = f"Outside the edge: {' and '.join(kinds)}, not drawn in the other views"
        pen.write(says, (0.0, pen.extent.bottom - 3 * pen.text_mm))
