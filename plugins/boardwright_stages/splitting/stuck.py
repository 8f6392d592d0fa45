"""A stretch that no joint can part: what takes out the lines across it, and the least change that frees it.

Glossary
    stretch   a piece too large or too heavy for a board, with the axes of the board it is left as
    across    more across the stretch than along it: a joint across makes its length less, one along its width
    taken     a line a turnout, device or obstacle is too near to

Claim: every line of the search that would part the stretch, and leave no board narrower than wanted, is taken
by something named in the finding's ``data``. What this does not know: lines that are not tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import numpy as np

from boardwright.findings import Detail, Notes, Place
from boardwright_timber.model import Board

from .chords import Chords
from .directions import Array
from .giving_way import Move, parting
from .keepaway import Blocker
from .piece import FIT_MM, Cut
from .search import Search
from .sought import Sought, Stuck

SAY_AT_MOST = 4

type ToPlan = Callable[[Array], Array]


class Taker(msgspec.Struct, frozen=True, eq=False):
    """Something that takes out the lines of a stretch from ``low`` to ``high`` mm."""

    blocker: Blocker
    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.blocker.kind} {self.blocker.id} {self.low:.0f} to {self.high:.0f} mm"

    def detail(self, lines: str) -> Detail:
        what = f"{self.blocker.kind} {self.blocker.id} takes the lines {lines}"
        return Detail(says=what, where=self.blocker.place, from_mm=self.low, to_mm=self.high)


def tell(stuck: Stuck, frees: Sought, to_plan: ToPlan, notes: Notes) -> None:
    """A piece too large for a board, with what stands in the way and what would free it.

    The piece and the search are in the plan's pose (``pose``), the board in the plan; ``to_plan`` brings
    points back.
    """
    piece, board, search = stuck.piece, stuck.board, stuck.search
    s = search.settings
    long, short = s.box_mm
    heavy = piece.fits(s.box_mm)
    length, width, _ = piece.box
    says = f"Board {board.id} is {length:.0f} × {width:.0f} mm, "
    if heavy:
        mass = float(s.thought_kg(piece.area, piece.perimeter))
        says += f"about {mass:.1f} kg and so heavier than {s.max_mass_kg:.1f} kg, and no joint can part it"
    else:
        says += f"larger than {long:.0f} × {short:.0f} mm, and no joint can part it"
    moves = frees.moves
    says += _best(moves, to_plan)
    named = [m.blocker for m in moves[:SAY_AT_MOST]]
    data = [_detail(m, to_plan) for m in moves]
    found, _, _ = parting(piece, search)
    for across, needed, lines in (
        (True, heavy or board.length_mm > long + FIT_MM, f"across {board.id}, counted from its left end"),
        (
            False,
            not heavy and board.width_mm > short + FIT_MM,
            f"along {board.id}, counted from its lower edge",
        ),
    ):
        takers = takers_of(found, board, search, to_plan, across=across) if needed else []
        says += _table(lines, takers)
        named += [t.blocker for t in takers[:SAY_AT_MOST]]
        data += [t.detail(lines) for t in takers]
    x, y = board.to_plan((board.length_mm / 2, board.width_mm / 2))
    here = Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1))
    places = (here, *(b.place for b in dict.fromkeys(named)))
    notes.fault("BW-SPLIT-001", says, places, _mend(frees, heavy, to_plan), data)


def _best(moves: list[Move], to_plan: ToPlan) -> str:
    """``: device PM4 stands 0 mm from the best line (1100, 0) to (1100, 500)``; nothing without moves."""
    lines: dict[Cut, list[str]] = {}
    for m in moves:
        lines.setdefault(m.line, []).append(f"{m.blocker.kind} {m.blocker.id} {m.gap_mm:.0f} mm")
    told = []
    for line, near in lines.items():
        p, q = to_plan(np.array((line.start, line.end)))
        ends = f"({p[0]:.0f}, {p[1]:.0f}) to ({q[0]:.0f}, {q[1]:.0f})"
        told.append(f"{_listed(near)} from the best line {ends}")
    return f": {'; '.join(told[:SAY_AT_MOST])}" if told else ""


def _mend(found: Sought, heavy: bool, to_plan: ToPlan) -> str:
    moves = found.moves
    raised = "max_mass_kg" if heavy else "max_length_mm or max_width_mm"
    otherwise = f"draw a joint where you would cut, or {found.larger or f'raise [splitting] {raised}'}."
    if not found.looked:
        otherwise += " What would free it was not looked for further: free the larger pieces first."
    names = _listed([f"{m.blocker.kind} {m.blocker.id} by {_way(m, to_plan)}" for m in moves])
    if not names:
        return otherwise[0].upper() + otherwise[1:]
    if any(" and to the " in _way(m, to_plan) for m in moves):
        names += " (square to the line)"
    if found.frees:
        return f"Move {names}, {otherwise}"
    return f"Make room for joints (the best line alone needs {names}), {otherwise}"


def _way(move: Move, to_plan: ToPlan) -> str:
    """``71 mm to the right``, ``34 mm up and to the left``, as the plan is drawn."""
    x, y = (to_plan(move.by) - to_plan(np.zeros(2))).tolist()
    size = math.hypot(x, y)
    up, right = "up" if y > 0 else "down", "to the right" if x > 0 else "to the left"
    ways = [w for w, part in ((up, y), (right, x)) if abs(part) > size / 50]
    return f"{size:.0f} mm {' and '.join(ways)}"


def _listed(said: list[str]) -> str:
    """``A, B and C``; of more than a few the first, and how many more; nothing for none."""
    if not said:
        return ""
    more = [f"{len(said) - SAY_AT_MOST} more"] if len(said) > SAY_AT_MOST else []
    *first, last = [*said[:SAY_AT_MOST], *more]
    return f"{', '.join(first)} and {last}" if first else last


def _detail(move: Move, to_plan: ToPlan) -> Detail:
    what = f"move {move.blocker.kind} {move.blocker.id} by {_way(move, to_plan)}"
    return Detail(says=what, where=move.blocker.place, to_mm=round(float(np.hypot(*move.by)), 1))


def _table(lines: str, takers: list[Taker]) -> str:
    """``. The lines across B02 … are taken by turnout T1 0 to 480 mm, … and 3 more``; nothing for none."""
    if not takers:
        return ""
    return f". The lines {lines}, are taken by {_listed(list(map(str, takers)))}"


def takers_of(found: Chords, board: Board, search: Search, to_plan: ToPlan, *, across: bool) -> list[Taker]:
    """Everything that takes out lines across a stretch (or along it), in the order of where it does.

    How far it does is told for lines square to the board's side: its shadow there and its free distance.
    """
    axis, whole = (0, board.length_mm) if across else (1, board.width_mm)
    way = np.abs(_local(board, to_plan(found.end)) - _local(board, to_plan(found.start)))
    ours = found.pick(way[:, axis] <= way[:, 1 - axis])
    takers = []
    for i in np.unique(search.keep_away.taken(ours.start, ours.end)[1]):
        b = search.keep_away.blockers[i]
        shadow = _local(board, to_plan(b.ring))[:, axis]
        low = max(0.0, float(shadow.min()) - b.clear_mm)
        high = min(whole, float(shadow.max()) + b.clear_mm)
        takers.append(Taker(b, round(low, 1), round(high, 1)))
    return sorted(takers, key=lambda t: (t.low, t.high))


def _local(board: Board, points: Array) -> Array:
    """Points of the plan along the board's axes."""
    a = math.radians(board.angle_deg)
    c, s = math.cos(a), math.sin(a)
    local: Array = (points - np.array(board.origin)) @ np.array(((c, -s), (s, c)))
    return local
