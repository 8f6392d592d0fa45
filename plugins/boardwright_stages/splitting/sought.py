"""What would free the stuck pieces of a layout, within one measure of searching for all of them.

Each search costs about as much as the boards it splits are many. The largest piece is looked at first; once
MOST_BOARDS boards have been split in trying, of the others only the one line that needs least is told.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from boardwright_timber.model import Board

from .effort import Effort
from .freeing import larger_boards
from .giving_way import Move, least_moves, one_line
from .piece import Piece
from .search import Search
from .settings import SplittingSettings

MOST_BOARDS = 120.0


class Stuck(msgspec.Struct, frozen=True, eq=False):
    """A piece nothing parts and what it was cut from, in the plan's pose; the board it is left as."""

    piece: Piece
    parent: Piece
    board: Board
    search: Search


class Sought(msgspec.Struct, frozen=True, eq=False):
    """The least larger board that would do, in words ("" where none is known), and the least to move.

    ``frees``: the moves were tried, and free the piece. ``looked``: there was searching left for it.
    """

    larger: str
    moves: list[Move]
    frees: bool
    looked: bool = True


def sought(stuck: Sequence[Stuck], asked: SplittingSettings) -> list[Sought]:
    """For each piece what would free it, as far as there was searching left."""
    effort = Effort()
    found: dict[int, Sought] = {}
    for k in sorted(range(len(stuck)), key=lambda k: (-round(stuck[k].piece.area, 3), k)):
        s = stuck[k]
        if effort.boards >= MOST_BOARDS:
            found[k] = Sought("", one_line(s.piece, s.search), frees=False, looked=False)
            continue
        larger = larger_boards(s.piece, s.parent, s.board, asked, s.search, effort)
        found[k] = Sought(larger, *least_moves(s.piece, s.parent, s.search, effort))
    return [found[k] for k in range(len(stuck))]
