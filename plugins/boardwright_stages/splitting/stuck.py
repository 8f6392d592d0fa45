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
from dataclasses import dataclass

import numpy as np

from boardwright.findings import Detail, Notes, Place
from boardwright_timber.model import Board

from . import worth
from .chords import Chords
from .directions import Array
from .keepaway import Blocker
from .piece import FIT_MM, Piece
from .search import Search

SAY_AT_MOST = 4
TRIED_AT_MOST = 200

type ToPlan = Callable[[Array], Array]
type Standing = list[tuple[Blocker, float, float]]


@dataclass(frozen=True, eq=False)
class Taker:
    """Something that takes out the lines of a stretch from ``low`` to ``high`` mm."""

    blocker: Blocker
    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.blocker.kind} {self.blocker.id} {self.low:.0f} to {self.high:.0f} mm"

    def detail(self, lines: str) -> Detail:
        what = f"{self.blocker.kind} {self.blocker.id} takes the lines {lines}"
        return Detail(says=what, where=self.blocker.place, from_mm=self.low, to_mm=self.high)


def tell(piece: Piece, board: Board, search: Search, to_plan: ToPlan, larger: str, notes: Notes) -> None:
    """A piece too large for a board, with what stands in the way and what would free it.

    The piece and the search are in the plan's pose (``pose``), the board in the plan; ``to_plan`` brings
    points back. ``larger``: the least larger board that would do (``freeing``); "": it is not known.
    """
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
    found, left, right = _parting(piece, search)
    standing = _in_the_way(found, left.fits & right.fits, search)
    if standing:
        says += ": " + ", ".join(
            f"{b.kind} {b.id} stands {gap:.0f} mm from the best line" for b, gap, _ in standing
        )
    named = [b for b, _, _ in standing]
    data: list[Detail] = []
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
    notes.fault("BW-SPLIT-001", says, places, _mend(standing, heavy, larger), data)


def _mend(standing: Standing, heavy: bool, larger: str) -> str:
    raised = "max_mass_kg" if heavy else "max_length_mm or max_width_mm"
    otherwise = f"draw a joint where you would cut, or {larger or f'raise [splitting] {raised}'}."
    names = " or ".join(f"{b.kind} {b.id} by {math.ceil(move)} mm" for b, _, move in standing[:SAY_AT_MOST])
    return f"Move {names}, {otherwise}" if names else otherwise[0].upper() + otherwise[1:]


def _table(lines: str, takers: list[Taker]) -> str:
    """``. The lines across B02 … are taken by turnout T1 0 to 480 mm, … and 3 more``; nothing for none."""
    if not takers:
        return ""
    said = [str(t) for t in takers[:SAY_AT_MOST]]
    if len(takers) > SAY_AT_MOST:
        said.append(f"and {len(takers) - SAY_AT_MOST} more")
    return f". The lines {lines}, are taken by {', '.join(said)}"


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


def _parting(piece: Piece, search: Search) -> tuple[Chords, worth.Sides, worth.Sides]:
    """The lines that would part a piece and leave no shard, and what lies either side of them.

    Where there are none, all that are tried.
    """
    found = search.tried(piece)
    left, right = worth.sides(found, search.settings)
    wanted = search.parts(piece, left, right, no_shards=True)
    if wanted.any():
        found = found.pick(wanted)
        left, right = worth.sides(found, search.settings)
    return found, left, right


def _in_the_way(found: Chords, fit: worth.Truths, search: Search) -> Standing:
    """The blockers of the line that least moved would free, nearest first: distance, and mm to move.

    Of the lines that leave two boards that fit; where there is none, of all.
    """
    if fit.any():
        found = found.pick(fit)
    found = found.pick(np.argsort(np.round(found.length, 3), kind="stable")[:TRIED_AT_MOST])
    best: Standing = []
    for p, q in zip(found.start, found.end, strict=True):
        near = [
            (b, gap, _to_move(b, p, q)) for b, gap in search.keep_away.too_near((p[0], p[1]), (q[0], q[1]))
        ]
        if near and (not best or _burden(near) < _burden(best) - 1e-6):
            best = near
    return best


def _to_move(blocker: Blocker, p: Array, q: Array) -> float:
    """How far square to the line p – q a blocker must move to stand clear of it, mm."""
    normal = np.array((p[1] - q[1], q[0] - p[0])) / math.dist(p, q)
    shadow = (blocker.ring - p) @ normal
    return blocker.clear_mm + min(float(shadow.max()), -float(shadow.min())) + 1.0


def _burden(near: Standing) -> float:
    return sum(move + 20.0 for _, _, move in near)
