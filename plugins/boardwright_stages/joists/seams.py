"""Seams of a deck that needs more than one sheet: each over the middle of a joist.

Claim: of the joists there are, those are taken over which a seam lies on wood from edge to edge (the deck may
stand out at curved edges as elsewhere) and through no device of the board, so that every piece of deck comes
out of a sheet; the fewest pieces, then the fewest turnouts parted, then the most even pieces.

Glossary
    seam   a line square to the board's length where two pieces of its deck meet, told by its x
    piece  the deck between two seams, as long as a sheet at most

What this does not know: seams along the board (see ``long_seams``), and glue: a
batten beside the joist doubles what two edges bear on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright_timber.model import Member, MemberRole

if TYPE_CHECKING:
    from shapely import Polygon

BARE_MM = 1.0


class Sheet(NamedTuple):
    """What is left of a sheet inside its trim: along the grain and across, mm; ``turns``: grain is free."""

    length_mm: float
    width_mm: float
    turns: bool = False


def longest_piece(sheets: Sequence[Sheet], wide_mm: float) -> float | None:
    """The longest piece of deck so wide that a sheet gives; None: no sheet is wide enough."""
    found = [s.length_mm for s in sheets if wide_mm <= s.width_mm + 1e-6]
    found += [s.width_mm for s in sheets if s.turns and wide_mm <= s.length_mm + 1e-6]
    return max(found, default=None)


def seams_over(
    deck: Polygon,
    members: Sequence[Member],
    longest_mm: float,
    overhang_mm: float,
    devices: Sequence[Polygon] = (),
    turnouts: Sequence[Polygon] = (),
    strips: Sequence[Polygon] = (),
) -> tuple[float, ...] | None:
    """Places of the seams, from left to right; None: pieces so short cannot be had over these joists.

    ``devices`` are never parted, ``turnouts`` where there is no other way; ``strips`` bent round its edge
    carry the deck there.
    """
    low, _, high, _ = deck.bounds
    if high - low <= longest_mm + 1e-6:
        return ()
    held = [x for x in held_places(deck, members, overhang_mm, strips) if not _parts(x, devices)]
    return fewest(low, high, held, longest_mm, lambda x: (_parts(x, turnouts), 0.0))


def fewest(
    low: float,
    high: float,
    places: Sequence[float],
    longest_mm: float,
    cost: Callable[[float], tuple[int, float]],
    least_mm: float = 0.0,
    apart_mm: float = 0.0,
) -> tuple[float, ...] | None:
    """Of the places those that leave the fewest pieces, then cost least, then leave the most even pieces; no
    piece is shorter than ``least_mm``, and no two places are nearer than ``apart_mm``.

    >>> fewest(0, 150, [40, 60, 90], 60, lambda x: (x == 40, 0.0))
    (60, 90)
    >>> fewest(0, 150, [40, 60, 90], 60, lambda x: (x == 40, 0.0), apart_mm=35)
    (40, 90)
    """
    stops = [low, *places, high]
    best: list[tuple[int, int, float, float, tuple[float, ...]] | None] = [(0, 0, 0.0, 0.0, ())]
    for n, x in enumerate(stops[1:], 1):
        hurt, more = cost(x) if x < high else (0, 0.0)
        least: tuple[int, int, float, float, tuple[float, ...]] | None = None
        for k, before in enumerate(best[:n]):
            gap = x - stops[k]
            if before is None or not least_mm <= gap <= longest_mm + 1e-6:
                continue
            if before[4] and x < high and gap < apart_mm:
                continue
            if least is not None and before[:2] > least[:2]:
                continue
            # all end with the same seam, and of two with as many pieces neither is the other's beginning
            way = (*before[:2], before[2] + more, round(before[3] + gap**2, 3), before[4])
            if least is None or way < least:
                least = way
        best.append(None if least is None else (least[0] + 1, least[1] + hurt, *least[2:4], (*least[4], x)))
    found = best[-1]
    return None if found is None else found[4][:-1]


def _parts(x: float, shapes: Sequence[Polygon]) -> int:
    return sum(s.bounds[0] < x < s.bounds[2] for s in shapes)


def held_places(
    deck: Polygon, members: Sequence[Member], overhang_mm: float, strips: Sequence[Polygon] = ()
) -> list[float]:
    """Middles of joists over which the whole width of the deck rests on wood."""
    import shapely

    inside = deck.difference(shapely.union_all(strips)) if strips else deck
    bearing = [m for m in members if m.carries_deck]
    wood = shapely.union_all([shapely.Polygon(m.outline).buffer(BARE_MM / 2) for m in bearing])
    _, y0, _, y1 = deck.bounds
    found = []
    for x in sorted({_middle(m) for m in bearing if m.role is MemberRole.JOIST and _is_square(m)}):
        across = inside.intersection(shapely.LineString(((x, y0 - 1), (x, y1 + 1))))
        bare = [p for p in shapely.get_parts(across.difference(wood)) if p.length > BARE_MM]
        rim = [p for p in bare if p.length <= overhang_mm + BARE_MM and p.distance(inside.boundary) < 1e-6]
        if across.length > 0 and len(rim) == len(bare):
            found.append(x)
    return found


def _middle(joist: Member) -> float:
    return round((joist.outer_start[0] + joist.inner_start[0]) / 2, 6)


def _is_square(joist: Member) -> bool:
    return abs(joist.direction[0]) < 1e-9
