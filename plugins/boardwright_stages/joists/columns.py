"""A deck wider than any sheet: parted across the board as any, each piece along it where it must be.

Claim: of all choices of places across the board and, for each piece between two of them that is wider than a
sheet as long as it gives, of heights along it, the one with the fewest pieces; then the fewest turnouts
parted, then the most even pieces. Every piece comes out of a sheet.

Glossary
    stop    a place across the board where the deck may be parted, or one of its ends
    column  the deck between two stops; a well or a bay in the edge may leave it in several pieces
    row     what is left of a piece between two seams along the board

What this does not know: where a seam is borne; callers offer only places where it is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from boardwright_timber.model import Board, LongSeam, Panel

from ..parts.parting import bounds, parted
from .seams import Sheet, fewest

FINE_MM = 0.1  # a corner on the arc reaches farther than the chord beside it
LEAST_ROW_MM = 200.0


class Free(NamedTuple):
    """Heights where one piece may be parted along the board: what each costs (turnouts parted, length of saw
    cut), and what tells its plates."""

    cost: dict[float, tuple[int, float]]
    plates: Callable[[float], tuple[Panel, ...]]


class Column(NamedTuple):
    """How one column is made, in the order in which ways are compared: pieces, turnouts, unevenness."""

    pieces: int
    hurt: int
    uneven: float
    seams: tuple[LongSeam, ...]


class Both(NamedTuple):
    """Places of seams across the board, and the seams along it."""

    seams: tuple[float, ...]
    long_seams: tuple[LongSeam, ...]


class Parting(NamedTuple):
    """One panel of deck (number ``panel``), the sheets there are, and what asks where a piece between two
    stops may be parted along the board."""

    board: Board
    whole: Panel
    sheets: Sequence[Sheet]
    free: Callable[[Panel, float, float], Free]
    panel: int = 0

    def widest(self, long_mm: float) -> float | None:
        """The widest row so long that a sheet gives."""
        return max((b for a, b in self.lying() if a >= long_mm + FINE_MM), default=None)

    def lying(self) -> list[tuple[float, float]]:
        """Along the board and across it, every way a sheet may lie."""
        found = [(s.length_mm, s.width_mm) for s in self.sheets]
        return found + [(s.width_mm, s.length_mm) for s in self.sheets if s.turns]

    def column(self, low: float, high: float) -> Column | None:
        """The deck between two stops in rows; None: it cannot be had from the sheets."""
        x0, _, x1, _ = bounds(self.whole)
        cuts = [x for x in (low, high) if x0 < x < x1]
        pieces, hurt, uneven = 0, 0, 0.0
        seams: list[LongSeam] = []
        for piece in parted(self.whole, cuts, self.board):
            a, y0, b, y1 = bounds(piece)
            if (a + b) / 2 < low or (a + b) / 2 > high:
                continue
            widest = self.widest(b - a)
            if widest is None:
                return None
            stops: tuple[float, ...] = ()
            if y1 - y0 > widest - FINE_MM:
                free = self.free(piece, low, high)
                heights, most = sorted(free.cost), widest - FINE_MM
                found = fewest(y0, y1, heights, most, free.cost.__getitem__, LEAST_ROW_MM)
                if found is None:
                    return None
                stops = found
                hurt += sum(free.cost[y][0] for y in stops)
                seams += [
                    LongSeam(panel=self.panel, y_mm=y, piece=(a, y0, b, y1), plates=free.plates(y))
                    for y in stops
                ]
            edges = (y0, *stops, y1)
            uneven += (b - a) * sum((v - u) ** 2 for u, v in pairwise(edges))
            pieces += len(edges) - 1
        return Column(pieces, hurt, round(uneven, 3), tuple(seams))


def both_ways(
    parting: Parting, places: Sequence[float], hurt: Callable[[float], int], least_mm: float = 0.0
) -> Both | None:
    """The best of all ways; ``places`` across the board, each with the turnouts it parts. None: there is no
    way."""
    x0, _, x1, _ = bounds(parting.whole)
    stops = [x0, *places, x1]
    longest = max((a for a, _ in parting.lying()), default=0.0)
    best: list[tuple[int, int, float, float, tuple[float, ...], tuple[LongSeam, ...]] | None] = [
        (0, 0, 0.0, 0.0, (), ())
    ]
    for n, x in enumerate(stops[1:], 1):
        found = None
        for k in range(n):
            before, long = best[k], x - stops[k]
            if before is None or long > longest or long < least_mm:
                continue
            if found is not None and before[0] >= found[0]:
                continue  # this column's own pieces come on top
            column = parting.column(stops[k], x)
            if column is None:
                continue
            more = hurt(x) if n <= len(places) else 0
            way = (
                before[0] + column.pieces,
                before[1] + column.hurt + more,
                round(before[2] + column.uneven, 3),
                round(before[3] + long**2, 3),
                (*before[4], x),
                (*before[5], *column.seams),
            )
            found = way if found is None else min(found, way, key=lambda w: w[:5])
        best.append(found)
    last = best[-1]
    return None if last is None else Both(last[4][:-1], last[5])
