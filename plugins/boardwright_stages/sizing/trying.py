"""One size tried on one board: its frame, joists and parts made anew, and the limits it breaks.

What this does not know: bolts and wire holes (they weaken a little).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from boardwright import Notes
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardPosts,
    BoardWiring,
    Frame,
    FrameSize,
    Joists,
    StrengthLine,
    Strip,
)

from ..framing.girder_settings import GirderSettings
from ..framing.open_settings import OpenTopSettings
from ..framing.sandwich_settings import SOLID, SandwichSettings
from ..framing.settings import FramingSettings
from ..joists.settings import JoistSettings
from ..strength.levels import AS_ALL, BoardSupports
from ..strength.settings import StrengthSettings, SupportSettings

NO_POSTS = BoardPosts()
BUILT_IN = ("box", "l-girder", "l-girder-open", "open-top")
# A device hangs below the frame; no screw suits the joints; there is no room for members so thick.
REFUSED = frozenset({"BW-JOIST-005", "BW-PART-006", "BW-FRAME-002", "BW-FRAME-003"})


class Rules(NamedTuple):
    """Everything a try needs but the board."""

    framing: FramingSettings
    girder: GirderSettings
    open_top: OpenTopSettings
    joists: JoistSettings
    limits: StrengthSettings
    supports: SupportSettings
    sandwich: SandwichSettings = SOLID


class Tried(NamedTuple):
    """Figures of a try, and what else is wrong with it (empty: nothing)."""

    lines: tuple[StrengthLine, ...]
    wrong: str

    def breaks(self, *, deck: bool) -> str:
        """The limit of the deck, or of the frame, that is passed by most, in words; empty: all are kept."""
        if not deck and self.wrong:
            return self.wrong
        if not self.lines:
            return "no figures"
        own = [line for line in self.lines if line.key.startswith("deck") is deck and not line.passed]
        if not own:
            return ""
        worst = max(own, key=lambda line: (line.measured / line.limit, line.key))
        return f"{worst.says}: {worst.measured:g} {worst.unit}, at most {worst.limit:g}"


def tried(
    board: Board,
    plan: BoardPlan,
    strip: Strip | None,
    deck_mm: float | None,
    rules: Rules,
    level: BoardSupports = AS_ALL,
) -> Tried:
    """The whole way from the board to its figures with these sizes (None: as set)."""
    return _built(board, plan, strip, deck_mm, rules).judged(rules, level)


def tried_together(
    boards: Mapping[str, Board],
    plans: Mapping[str, BoardPlan],
    strip: Strip | None,
    deck_mm: float | None,
    rules: Rules,
    levels: Mapping[str, BoardSupports],
) -> Iterator[tuple[str, Tried]]:
    """The same of every board in name order, where some stand on posts on others."""
    from ..strength.posts import board_posts, posts

    names = sorted(boards)
    built = {n: _built(boards[n], plans[n], strip, deck_mm, rules) for n in names}
    found = posts(
        boards,
        plans,
        {n: b.frame for n, b in built.items()},
        {n: b.joists for n, b in built.items()},
        {n: b.parts for n, b in built.items()},
        rules.limits,
        rules.supports,
        Notes(),
        levels,
    )
    for n in names:
        yield n, built[n].judged(rules, levels.get(n, AS_ALL), board_posts(boards[n], found))


class _Built(NamedTuple):
    """A board with the wood of one size, and what was said of it."""

    board: Board
    frame: Frame
    joists: Joists
    parts: BoardParts
    notes: Notes

    def judged(self, rules: Rules, level: BoardSupports, own: BoardPosts = NO_POSTS) -> Tried:
        from ..strength.stages import strength

        wood = (self.board, self.frame, self.joists, self.parts)
        lines = strength(*wood, rules.limits, rules.supports, Notes(), level=level, posts=own).lines
        wrong = next((f.says.rstrip(".") for f in self.notes.findings if f.code in REFUSED), "")
        return Tried(lines, wrong)


def _built(board: Board, plan: BoardPlan, strip: Strip | None, deck_mm: float | None, rules: Rules) -> _Built:
    from ..joists.stages import joists
    from ..parts.stages import parts

    notes = Notes()
    size = FrameSize(strip=strip, deck_mm=deck_mm)
    framed = _framed(board, plan, size, rules, notes)
    own, table = rules.framing, rules.joists.changed(by_deck=False)  # tried on the joists asked for
    found = joists(board, plan, framed, own, table, notes, rules.open_top, size=size, limits=rules.limits)
    nothing = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, framed, found, *nothing, own, notes, size=size)
    return _Built(board, framed, found, cut, notes)


def _framed(board: Board, plan: BoardPlan, size: FrameSize, rules: Rules, notes: Notes) -> Frame:
    from ..framing.girder import l_girder
    from ..framing.girder_open import l_girder_open
    from ..framing.open_top import open_top
    from ..framing.stages import frame

    if rules.framing.style == "l-girder":
        return l_girder(board, plan, rules.framing, rules.girder, notes, size, rules.sandwich)
    if rules.framing.style == "l-girder-open":
        return l_girder_open(
            board, plan, rules.framing, rules.girder, rules.open_top, notes, size, rules.sandwich
        )
    if rules.framing.style == "open-top":
        return open_top(board, plan, rules.framing, rules.open_top, notes, size, rules.sandwich)
    return frame(board, rules.framing, notes, size, rules.sandwich)
