"""The views stage: both elevations of a board, and the board taken apart."""

from __future__ import annotations

from boardwright import stage
from boardwright_timber.model import Board, BoardParts, BoardViews, Frame, Joists, SeenName


@stage(each=True)
def views(board: Board, frame: Frame, joists: Joists, parts: BoardParts) -> BoardViews:
    """What one sees of one board, whole and taken apart."""
    from .apart import apart
    from .solids import FRONT, ISOMETRIC, RIGHT_END, prisms, seen, seen_with_spots

    whole = prisms(frame, joists, parts.parts)
    pieces = apart(frame, joists, parts.parts)
    lines, spots = seen_with_spots([p.prism for p in pieces], ISOMETRIC)
    blocks = {p.id for p in parts.parts if p.role == "block"}
    return BoardViews(
        board=board.id,
        front=seen(whole, FRONT),
        right_end=seen(whole, RIGHT_END),
        apart=lines,
        names=tuple(
            SeenName(piece.part, at)
            for piece, at in zip(pieces, spots, strict=True)
            if at and piece.part not in blocks
        ),
    )
