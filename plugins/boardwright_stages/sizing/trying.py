"""One size tried on one board: its frame, joists and parts made anew, and the limits it breaks.

What this does not know: bolts and wire holes (they weaken a little).
"""

from __future__ import annotations

from typing import NamedTuple

from boardwright import Notes
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardWiring,
    Frame,
    FrameSize,
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
    from ..joists.stages import joists
    from ..parts.stages import parts
    from ..strength.stages import strength

    notes = Notes()
    size = FrameSize(strip=strip, deck_mm=deck_mm)
    framed = _framed(board, plan, size, rules, notes)
    own, table = rules.framing, rules.joists.changed(by_deck=False)  # tried on the joists asked for
    found = joists(board, plan, framed, own, table, notes, rules.open_top, size=size, limits=rules.limits)
    nothing = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, framed, found, *nothing, own, notes, size=size)
    lines = strength(board, framed, found, cut, rules.limits, rules.supports, Notes(), level=level).lines
    return Tried(lines, next((f.says.rstrip(".") for f in notes.findings if f.code in REFUSED), ""))


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
