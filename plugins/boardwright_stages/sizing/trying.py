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
from ..strength.keep_off import KeepOff
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
    """Figures of a try, and what else is wrong with it (empty: nothing). ``early``: that something is; what,
    and the figures, are left out."""

    lines: tuple[StrengthLine, ...]
    wrong: str
    early: bool = False

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
    *,
    alone: bool = False,
) -> Tried:
    """The whole way from the board to its figures with these sizes (None: as set). ``alone``: it is not asked
    by what a size fails, if the frame alone shows that it does."""
    notes = Notes()
    size = FrameSize(strip=strip, deck_mm=deck_mm)
    framed = _framed(board, plan, size, rules, notes)
    if alone and _refused(board, plan, framed, size, rules, notes):
        return Tried((), "", early=True)
    return _built(board, plan, framed, size, rules, notes).judged(rules, level)


def _refused(
    board: Board, plan: BoardPlan, framed: Frame, size: FrameSize, rules: Rules, notes: Notes
) -> bool:
    """Whether something is wrong that no joist mends: the frame's own faults, a device below it, or a butt
    joint of its members that no screw suits. ``notes``: what the frame's stage said."""
    from ..framing.on_deck import hung
    from ..framing.sized import sized
    from ..joists.complaints import Complaints
    from ..parts.butts import butts
    from ..parts.screws import suits_none

    if _wrong(notes):
        return True
    said = Notes()
    hanging = hung(board, framed, plan.devices)
    deep = framed.depth_mm or sized(rules.framing, size).depth_mm
    Complaints(board, rules.joists, said).about_depth(hanging, plan.own_devices, deep)
    return bool(_wrong(said)) or any(map(suits_none, butts(framed.members)))


def _wrong(notes: Notes) -> str:
    return next((f.says.rstrip(".") for f in notes.findings if f.code in REFUSED), "")


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
    built = {}
    for n in names:
        notes, size = Notes(), FrameSize(strip=strip, deck_mm=deck_mm)
        framed = _framed(boards[n], plans[n], size, rules, notes)
        built[n] = _built(boards[n], plans[n], framed, size, rules, notes)
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
    keep: KeepOff
    notes: Notes

    def judged(self, rules: Rules, level: BoardSupports, own: BoardPosts = NO_POSTS) -> Tried:
        from ..strength.stages import strength

        wood = (self.board, self.frame, self.joists, self.parts)
        made = strength(*wood, rules.limits, rules.supports, Notes(), level=level, posts=own, keep=self.keep)
        return Tried(made.lines, _wrong(self.notes))


def _built(
    board: Board, plan: BoardPlan, framed: Frame, size: FrameSize, rules: Rules, notes: Notes
) -> _Built:
    from ..joists.stages import placed
    from ..parts.stages import parts
    from ..strength.keep_off import keep_off

    own, table = rules.framing, rules.joists.changed(by_deck=False)  # tried on the joists asked for
    given = (board, plan, framed, own, table, notes, rules.open_top)
    found = placed(*given, size=size, limits=rules.limits, only_tried=True)
    nothing = BoardFixings(board=board.id), BoardWiring(board=board.id)
    keep = keep_off(board, plan, framed, found, *nothing)
    cut = parts(board, plan, framed, found, *nothing, own, notes, size=size, keep=keep)
    return _Built(board, framed, found, cut, keep, notes)


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
