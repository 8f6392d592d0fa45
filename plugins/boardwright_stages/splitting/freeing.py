"""The least larger board that would free a stretch no joint can part: longer, wider or heavier.

Lengths are tried in steps of STEP_MM with rows of joints (``row``) first, then, as widths and masses are,
with the search itself (``parts``): what is told was tried and parts the stretch, and one step less was tried
and does not. For larger layouts a quick search guesses first where that is. What this does not know:
whether the larger board still passes the door; a limit that an opening, a sheet or the reach sets is left
alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from msgspec.structs import replace

from boardwright_timber.model import Board

from . import worth
from .effort import Effort
from .piece import Piece
from .search import Search
from .settings import OFF_MM, SplittingSettings
from .solving import FEW, likely_parts, parts

STEP_MM = 10.0
STEP_KG = 0.5
LARGE_BOARDS = 12.0  # hoped for; in a larger piece only the stuck stretch is searched, not all round it


def larger_boards(
    piece: Piece, parent: Piece, board: Board, asked: SplittingSettings, search: Search, effort: Effort
) -> str:
    """What would free a stuck piece, in words of the project file; "" where nothing was found.

    ``parent`` is what the piece was cut from; both lie in the plan's pose, ``board`` in the plan.
    """
    settings = search.settings
    whole = parent if search.hoped(parent) <= LARGE_BOARDS else piece
    try_out = _Tries(whole, search, effort)
    if piece.fits(settings.box_mm):
        mass = float(settings.thought_kg(piece.area, piece.perimeter))
        most = try_out.least_mass(mass, settings)
        return "" if most is None else f"allow heavier boards: [splitting] max_mass_kg = {most:g}"
    sides = asked.max_length_mm or OFF_MM, asked.max_width_mm or OFF_MM
    found = []
    if settings.box_mm[0] >= max(sides):
        longer = least_length(parent, board.length_mm, search, effort)
        if longer is None:
            longer = try_out.least("max_length_mm", board.length_mm, settings)
        if longer is not None:
            found.append(f"longer boards: [splitting] max_length_mm = {longer:.0f}")
    if settings.box_mm[1] >= min(sides):
        wider = try_out.least("max_width_mm", board.width_mm, settings)
        if wider is not None:
            found.append(f"wider boards: [splitting] max_width_mm = {wider:.0f}")
    return f"allow {', or '.join(found)}" if found else ""


def least_length(piece: Piece, most_mm: float, search: Search, effort: Effort) -> float | None:
    """Shortest ``max_length_mm`` (in steps of STEP_MM up to ``most_mm``) that parts a piece in a row."""
    settings = search.settings

    def parts(steps: int) -> bool:
        effort.spend(search.hoped(piece))
        longer = replace(settings, max_length_mm=steps * STEP_MM)
        if worth.fits(piece, longer):
            return True
        return Search(longer, search.keep_away, search.tracks, piece.main_directions).row(piece) is not None

    steps = _least(math.floor(settings.box_mm[0] / STEP_MM), math.ceil(most_mm / STEP_MM), parts)
    return None if steps is None else steps * STEP_MM


class _Tries:
    def __init__(self, piece: Piece, search: Search, effort: Effort) -> None:
        self.piece, self.keep_away, self.tracks = piece, search.keep_away, search.tracks
        self.boards, self.effort = search.hoped(piece), effort

    def least(self, side: str, most_mm: float, settings: SplittingSettings) -> float | None:
        """Smallest value of one side in steps of STEP_MM that leaves nothing stuck; None: none so large.

        A wider board is never longer than the longest; the sides of a box are told apart by their size.
        """
        long, short = settings.box_mm
        low = long if side == "max_length_mm" else short
        if side == "max_width_mm":
            most_mm = min(most_mm, long)

        def larger(steps: int) -> SplittingSettings:
            sizes = {"max_length_mm": long, "max_width_mm": short} | {side: steps * STEP_MM}
            return replace(settings, **sizes)

        steps = self._least(math.floor(low / STEP_MM), math.ceil(most_mm / STEP_MM), larger)
        return None if steps is None else steps * STEP_MM

    def least_mass(self, most_kg: float, settings: SplittingSettings) -> float | None:
        low = math.floor((settings.max_mass_kg or 0.0) / STEP_KG)
        high = math.ceil(most_kg / STEP_KG)
        steps = self._least(low, high, lambda n: replace(settings, max_mass_kg=n * STEP_KG))
        return None if steps is None else steps * STEP_KG

    def _least(self, low: int, high: int, larger: Callable[[int], SplittingSettings]) -> int | None:
        def told(steps: int) -> bool:
            self.effort.spend(self.boards)
            return parts(self.piece, larger(steps), self.keep_away, self.tracks)

        def guessed(steps: int) -> bool:
            self.effort.spend(self.boards)
            return likely_parts(self.piece, larger(steps), self.keep_away, self.tracks)

        if self.boards <= FEW + 0.5 or high <= low:
            return _least(low, high, told)
        return _least_near(_least(low, high, guessed), low, high, told)


def _least(low: int, high: int, parts: Callable[[int], bool]) -> int | None:
    """Least number of steps above ``low`` that will do, found by halving; None where ``high`` will not."""
    if high <= low or not parts(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if parts(middle) else (middle, high)
    return high


def _least_near(guess: int | None, low: int, high: int, parts: Callable[[int], bool]) -> int | None:
    """As ``_least``, with few tries where the guess is right: it will do, and one step less will not."""
    if guess is None:
        return _least(low, high, parts)
    if not parts(guess):
        return _least(guess, high, parts)
    if guess - 1 > low and parts(guess - 1):
        return _least(low, guess - 1, lambda n: n == guess - 1 or parts(n))
    return guess
