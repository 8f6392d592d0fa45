"""The views stage: both elevations of a board, and its frame from above with the deck lifted off."""

from __future__ import annotations

from boardwright import stage
from boardwright_timber.model import Board, BoardParts, BoardViews, Frame, Joists


@stage(each=True)
def views(board: Board, frame: Frame, joists: Joists, parts: BoardParts) -> BoardViews:
    """What one sees of one board; the deck is lifted by half of length plus width, clear of the frame."""
    from .solids import FRONT, ISOMETRIC, RIGHT_END, prisms, seen

    lift = round((board.length_mm + board.width_mm) / 2, -1)
    whole = prisms(frame, joists, parts.parts)
    return BoardViews(
        board=board.id,
        front=seen(whole, FRONT),
        right_end=seen(whole, RIGHT_END),
        isometric=seen(prisms(frame, joists, parts.parts, lift), ISOMETRIC),
        lift_mm=lift,
    )
