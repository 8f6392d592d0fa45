"""What stands under one board, where its level has something of its own.

Claim: a board's settings are those of its level's table in ``[[supports.levels]]`` where that says so, else
those of ``[supports]``. A table belongs to the boards whose level has its height to LEVEL_MM. At a joint over
which no pair can be shared (the board beyond it stands on something else, or in places of its own) a board
that shares its legs has a pair to itself.

Each board takes its own level's table only, through this small stage: another level's change makes nothing
of it anew.

What this does not know: two heights of one level.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import msgspec

from boardwright import Notes, Place, stage
from boardwright_timber.model import Board, Joint

from .settings import LEVEL_MM, LevelSupports, SupportSettings


class BoardSupports(msgspec.Struct, frozen=True, kw_only=True):
    """What a board takes of [supports] otherwise than all.

    ``level``: what is said of its level; None: nothing. ``unshared``: joints at which the board beyond shares
    no legs."""

    level: LevelSupports | None = None
    unshared: tuple[str, ...] = ()

    def over(self, supports: SupportSettings) -> SupportSettings:
        """The settings of this board."""
        return self.level.over(supports) if self.level else supports


AS_ALL = BoardSupports()
NO_LEVELS: Mapping[str, BoardSupports] = MappingProxyType({})


@stage(each=True)
def board_supports(board: Board, supports: SupportSettings) -> BoardSupports:
    """What is otherwise under this board than [supports] says for all."""
    own = said_of(board.level_mm, supports)
    if not (own.over(supports) if own else supports).shared:
        return BoardSupports(level=own)
    unshared = (j.id for j in board.joints if not _shares(board, j, supports))
    return BoardSupports(level=own, unshared=tuple(sorted(unshared)))


def said_of(level_mm: float, supports: SupportSettings) -> LevelSupports | None:
    """The table of one level.

    >>> both = SupportSettings(levels=(LevelSupports(level_mm=250.0, kind="brackets"),))
    >>> said_of(250.0, both).kind, said_of(0.0, both)
    ('brackets', None)
    """
    return next((level for level in supports.levels if abs(level.level_mm - level_mm) <= LEVEL_MM), None)


def _shares(board: Board, joint: Joint, supports: SupportSettings) -> bool:
    """Whether the board beyond a joint may share a pair of legs there."""
    first = joint.boards[0] == board.id
    other = joint.boards[1] if first else joint.boards[0]
    there = said_of(board.level_mm - joint.drop_mm * (1 if first else -1), supports)
    beyond = there.over(supports) if there else supports
    placed = other in supports.points or other in supports.battens
    return beyond.shared and beyond.kind == "legs" and not placed


def about_levels(heights: Iterable[float], supports: SupportSettings, notes: Notes) -> None:
    """Levels that [supports] speaks of and on which no board lies."""
    known = sorted(set(heights))
    for level in supports.levels:
        if not any(abs(level.level_mm - height) <= LEVEL_MM for height in known):
            there = ", ".join(f"{h:g}" for h in known)
            notes.caution(
                "BW-STR-016",
                f"[[supports.levels]] speaks of a level at {level.level_mm:g} mm, and no board lies there: "
                "what it says is left out.",
                Place(key="supports.levels"),
                "Write level_mm as height_mm stands in [[drawing.levels]] (the ground is at 0); boards lie "
                f"at {there}.",
            )
