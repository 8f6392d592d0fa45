"""Trimmed openings: where devices take every place a joist could have, it is cut and trimmed round them.

Claim: a joist that stands in the way is cut short at a noggin, a strip square to it that runs from the joist
(or frame) on its left to the one on its right, as floors are trimmed round a stair. Noggins stand clear of
every keep-out; between two noggins the deck spans from one to the other, within the same limit.

Glossary
    bay        the room between two neighbouring joists (or a joist and the frame)
    cut joist  one that would cross the bay and ends at a noggin
    noggin     carries the ends of cut joists, screwed to the joists on its left and right
    block      heights (across the board) that devices in the way of cut joists take, with room for noggins

What this does not know: strength (see ``strength``), and openings wider than two spans in both directions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Device
from boardwright_timber.geometry import snap
from boardwright_timber.model import Board, Member

from .choose import Row, excess
from .noggins import across_bay
from .pieces import Piece, pieces_at
from .region import Region, as_region

if TYPE_CHECKING:
    from shapely import Polygon

CLEAR_MM = 0.01
STEP_MM = 5.0
MOST_CUT = 3  # joists cut in one bay


class Trimmed(NamedTuple):
    """Cut joists and noggins of one bay, devices they go round, the openings left (x0, y0, x1, y1)."""

    joists: list[Member]
    noggins: list[Member]
    devices: tuple[str, ...]
    openings: list[tuple[float, float, float, float]]


class Limits(NamedTuple):
    span_mm: float
    gap_mm: float
    shortest_mm: float


def trim(
    board: Board,
    room: Region,
    low: float,
    high: float,
    like: Member,
    wood: Sequence[Member],
    devices: Sequence[Device],
    limits: Limits,
) -> Trimmed | None:
    """Trim the bay between supports with middles at ``low`` and ``high``; None when it cannot be done.

    ``like``: a member as joists are made; ``wood``: the joists there are.
    """
    import shapely

    t = like.thickness_mm
    strip = shapely.box(low + t / 2 - 0.5, -1e6, high - t / 2 + 0.5, 1e6)
    bay = room.shape.intersection(strip)
    for joist in wood:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = joist.outline
        up = CLEAR_MM
        bay = bay.difference(shapely.Polygon(((x0, y0 - up), (x1, y1 + up), (x2, y2 + up), (x3, y3 - up))))
    keepouts = {d.id: shapely.Polygon([board.to_local(p) for p in d.keepout()]) for d in devices}
    keepouts = {name: k for name, k in sorted(keepouts.items()) if k.intersection(bay).area > 0}
    turned = as_region(shapely.transform(bay, lambda points: points[:, ::-1]))
    if turned is None:
        return None
    for cuts in range(max(1, math.ceil((high - low) / limits.span_mm - 1e-9) - 1), MOST_CUT + 1):
        for places in _places(low, high, cuts, t + limits.gap_mm, limits.span_mm):
            if (found := _round(room, turned, places, like, keepouts, limits)) is not None:
                return found
    return None


def trim_bays(
    board: Board,
    room: Region,
    row: Row,
    chosen: tuple[int, ...],
    like: Member,
    wood: Sequence[Member],
    devices: Sequence[Device],
    limits: Limits,
) -> dict[tuple[float, float], Trimmed]:
    """Every bay whose deck would span too far and that trimming mends, by the middles of its supports."""
    stops = [row.start, *(row.positions[i] for i in chosen), row.end]
    missing = [excess(row, b, a) for b, a in zip((None, *chosen), chosen, strict=False)]
    missing.append(row.end_excess[chosen[-1]] if chosen else row.bare_excess)
    found = {}
    for (low, high), short in zip(pairwise(stops), missing, strict=True):
        if (
            short > CLEAR_MM
            and (done := trim(board, room, low, high, like, wood, devices, limits)) is not None
        ):
            found[low, high] = done
    return found


def _places(low: float, high: float, cuts: int, apart: float, limit: float) -> list[list[float]]:
    """Middles of cut joists to try: even first, then shifted to both sides while every span is kept."""
    bay = (high - low) / (cuts + 1)
    slack = min(limit - bay, bay - apart)
    if slack < -1e-9:
        return []
    even = [low + bay * n for n in range(1, cuts + 1)]
    shifts = [0.0, *(s * n * STEP_MM for n in range(1, int(slack / STEP_MM) + 1) for s in (1.0, -1.0))]
    return [[x + shift for x in even] for shift in shifts]


def _round(
    room: Region,
    turned: Region,
    places: list[float],
    like: Member,
    keepouts: dict[str, Polygon],
    limits: Limits,
) -> Trimmed | None:
    """Cut joists at ``places`` with noggins round what is in their way; None when they do not fit."""
    import shapely

    t = like.thickness_mm
    strips = [shapely.box(x - t / 2 - CLEAR_MM, -1e6, x + t / 2 + CLEAR_MM, 1e6) for x in places]
    hit = [n for n, k in keepouts.items() if any(k.intersects(s) for s in strips)]
    if not hit:
        return None
    blocks = _blocks([keepouts[n] for n in hit], keepouts, t, limits.shortest_mm)
    cut: list[Member] = []
    noggins: list[Member] = []
    openings: list[tuple[float, float, float, float]] = []
    spans = [_across(turned, y, places, t) for block in blocks for y in (block[0] + t / 2, block[1] - t / 2)]
    for block, lower, upper in zip(blocks, spans[::2], spans[1::2], strict=True):
        held = [h for h in (lower, upper) if h is not None]
        if not held or any(_struck(across_bay(h, like), keepouts) for h in held):
            return None
        if block[1] - block[0] - t > limits.span_mm:
            return None
        noggins += [across_bay(h, like) for h in held]
        openings.append((min(h.left[0] for h in held), block[0], max(h.left[1] for h in held), block[1]))
    for x in places:
        for piece in pieces_at(room, x, t):
            cut += _tails(piece, blocks, like, limits.shortest_mm)
    bare = {block[0] for block, h in zip(blocks, spans[::2], strict=True) if h is None}
    bare |= {block[1] for block, h in zip(blocks, spans[1::2], strict=True) if h is None}
    ends = {snap(end) for end in bare}
    if not cut or any({m.outer_start[1], m.outer_end[1]} & ends for m in cut):
        return None  # nothing is left of the joist, or no noggin holds an end of it
    return Trimmed(cut, noggins, tuple(hit), openings)


def _blocks(
    hit: list[Polygon], keepouts: dict[str, Polygon], t: float, shortest: float
) -> list[tuple[float, float]]:
    """Heights from the lower face of a lower noggin to the upper face of an upper one."""
    reach = t + CLEAR_MM
    found = [(k.bounds[1] - reach, k.bounds[3] + reach) for k in hit]
    others = [(k.bounds[1] - reach, k.bounds[3] + reach) for k in keepouts.values()]
    while True:
        merged: list[tuple[float, float]] = []
        for low, high in sorted(found):
            if merged and low < merged[-1][1] + shortest:
                merged[-1] = (merged[-1][0], max(merged[-1][1], high))
            else:
                merged.append((low, high))
        # a keep-out beside that a noggin would run through belongs to the opening as well
        wider = [
            (
                min([a, *(lo for lo, hi in others if _straddles(lo, hi, (a, b), t))]),
                max([b, *(hi for lo, hi in others if _straddles(lo, hi, (a, b), t))]),
            )
            for a, b in merged
        ]
        if wider == found:
            return merged
        found = wider


def _straddles(low: float, high: float, block: tuple[float, float], t: float) -> bool:
    """Whether a keep-out (with room for noggins) lies where one of the block's noggins stands."""
    low, high = low + t, high - t
    return any(low < end + t and high > end for end in (block[0], block[1] - t))


def _across(turned: Region, y: float, places: list[float], t: float) -> Piece | None:
    """The piece of a noggin at height ``y`` that every cut joist meets; None: the room ends before it."""
    for piece in pieces_at(turned, y, t):
        low, high = max(piece.left[0], piece.right[0]), min(piece.left[1], piece.right[1])
        if low < min(places) - t / 2 and high > max(places) + t / 2:
            return piece
    return None


def _struck(noggin: Member, keepouts: dict[str, Polygon]) -> bool:
    import shapely

    shape = shapely.Polygon(noggin.outline)
    return any(shape.intersects(k) for k in keepouts.values())


def _tails(piece: Piece, blocks: list[tuple[float, float]], like: Member, shortest: float) -> list[Member]:
    """What blocks leave of one joist."""
    rest = [piece]
    for low, high in blocks:
        after: list[Piece] = []
        for p in rest:
            (l0, l1), (r0, r1) = p.left, p.right
            if high <= min(l0, r0) or low >= max(l1, r1):
                after.append(p)
                continue
            below = Piece(p.x, (l0, low), (r0, low), p.straddles)
            above = Piece(p.x, (high, l1), (high, r1), p.straddles)
            after += [q for q in (below, above) if q.shortest_mm >= shortest]
        rest = after
    return [p.member("", like) for p in rest]
