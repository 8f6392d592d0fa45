"""How far the deck spans: the reach of each support, and the spacing a set of joists leaves.

The span of the deck along the board is measured centre to centre of its supports: the longest chord of free
room plus one member's thickness. Between two joists that is their distance; at a slanting end it is the
longest strip of deck from end to joist; where a well or an inward corner interrupts the room it is less. Over
the corner that a joist's square end leaves (a straddle, a thickness deep at most) the deck lies on that end
and on the frame beside it: it is no span.

What this does not know: spans across the board.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from boardwright_timber.model import Member

from .choose import Counted, Row
from .places import Legal
from .region import Region, as_region

FIT_MM = 1e-6
LONGER_MM = 0.01  # openings are widened by this when bays are measured, so that rounding leaves no gap


class Spacing(NamedTuple):
    """The limits of one board's joists."""

    thickness_mm: float
    limit_mm: float
    min_apart_mm: float
    step_mm: float


def span(region: Region, a: float, b: float, thickness_mm: float) -> float:
    """Centre to centre span between supports whose centres are at a and b (±inf: the frame alone)."""
    half = thickness_mm / 2
    chord = region.longest_chord(a + half, b - half)
    return chord + thickness_mm if chord > 0 else 0.0


def spans(region: Region, a: Sequence[float], b: Sequence[float], thickness_mm: float) -> list[float]:
    """``span`` of each pair of supports."""
    import numpy as np

    half = thickness_mm / 2
    chords = region.longest_chords(np.array(a) + half, np.array(b) - half)
    found: list[float] = np.where(chords > 0, chords + thickness_mm, 0.0).tolist()
    return found


def reach(region: Region, a: float, spacing: Spacing) -> float:
    """The farthest the support after one at ``a`` may stand; inf when the frame holds the rest."""
    t, limit = spacing.thickness_mm, spacing.limit_mm
    if span(region, a, math.inf, t) <= limit + FIT_MM:
        return math.inf
    low = (a if math.isfinite(a) else region.low_x - t / 2) + limit
    if span(region, a, low + 2 * FIT_MM, t) > limit + FIT_MM:
        return low
    return _reach_beyond(region, a, low, spacing)


def measured(region: Region, at: Sequence[float], spacing: Spacing) -> tuple[list[float], list[float]]:
    """For supports at each place: their ``reach``, and how far the deck spans from them to the end."""
    t, limit = spacing.thickness_mm, spacing.limit_mm
    low = [a + limit for a in at]
    to_end = spans(region, at, [math.inf] * len(at), t)
    next_ = spans(region, at, [x + 2 * FIT_MM for x in low], t)
    reached = [
        math.inf
        if far <= limit + FIT_MM
        else x
        if near > limit + FIT_MM
        else _reach_beyond(region, a, x, spacing)
        for a, x, far, near in zip(at, low, to_end, next_, strict=True)
    ]
    return reached, to_end


def _reach_beyond(region: Region, a: float, low: float, spacing: Spacing) -> float:
    """The same where a support at ``low`` leaves the deck within the limit."""
    t, limit = spacing.thickness_mm, spacing.limit_mm
    high = region.high_x + t / 2
    while high - low > FIT_MM / 2:
        middle = (low + high) / 2
        if span(region, a, middle, t) <= limit + FIT_MM:
            low = middle
        else:
            high = middle
    return low


def row_of(
    region: Region,
    free: Legal,
    spacing: Spacing,
    reluctant: Callable[[float], int | None],
    hampered: Callable[[float], int] | None = None,
    spoilt: Callable[[float], int] | None = None,
    known: Row | None = None,
) -> Row:
    """Every position worth trying: whole steps, limits of what is free, and as far as supports reach.

    ``reluctant``: how little a joist suits a position (``places.reluctance``); ``hampered`` adds to it.
    ``spoilt`` counts holes that cannot be made with one there. ``known``: a row of the same region and
    spacing, whose measures are taken over.
    """
    t, limit = spacing.thickness_mm, spacing.limit_mm
    first, last = math.ceil(region.low_x / spacing.step_mm), math.floor(region.high_x / spacing.step_mm)
    tried = {round(k * spacing.step_mm, 6) for k in range(first, last + 1)}
    tried |= {x for interval in free.intervals for x in interval}
    start, end = region.low_x - t / 2, region.high_x + t / 2
    reach_start = reach(region, -math.inf, spacing)
    tried |= _chain(region, free, reach_start, spacing)
    tried |= _chain_back(free, end, limit, start)
    judged = {x: found for x in _apart(tried) if free.holds(x) and (found := reluctant(x)) is not None}
    positions = tuple(judged)
    held = zip(known.positions, known.reach, known.end_excess, strict=True) if known else ()
    ways = {x: (reached, over) for x, reached, over in held}
    new = [x for x in positions if x not in ways]
    for x, reached, to_end in zip(new, *measured(region, new, spacing), strict=True):
        ways[x] = (reached, _over(to_end, limit))
    return Row(
        start=start,
        end=end,
        positions=positions,
        reluctance=Counted(positions, lambda x: judged[x] + (hampered(x) if hampered else 0)),
        reach_start=reach_start,
        reach=tuple(ways[x][0] for x in positions),
        end_excess=tuple(ways[x][1] for x in positions),
        bare_excess=_over(span(region, -math.inf, math.inf, t), limit),
        min_apart_mm=spacing.min_apart_mm,
        spoilt=Counted(positions, spoilt) if spoilt else (),
    )


def _over(measured: float, limit: float) -> float:
    return 0.0 if measured <= limit + FIT_MM else round(measured - limit, 6)


def _apart(tried: set[float]) -> list[float]:
    """In order, without near twins."""
    kept: list[float] = []
    for x in sorted(tried):
        if not kept or x - kept[-1] > FIT_MM:
            kept.append(x)
    return kept


def _chain(region: Region, free: Legal, at: float, spacing: Spacing) -> set[float]:
    """As far right as each support reaches: the fewest joists there can be."""
    found: set[float] = set()
    while math.isfinite(at):
        x = free.last_up_to(at)
        if x is None or x in found:
            break
        found.add(x)
        at = reach(region, x, spacing)
    return found


def _chain_back(free: Legal, at: float, limit: float, start: float) -> set[float]:
    """The same from the right."""
    found: set[float] = set()
    while at > start:
        x = free.first_from(at - limit)
        if x is None or x >= at:
            break
        found.add(x)
        at = x
    return found


def spacing_left(
    region: Region,
    joists: list[Member],
    thickness_mm: float,
    openings: Sequence[tuple[float, float, float, float]] = (),
) -> float:
    """The largest span these joists leave, measured on the bays themselves.

    Over ``openings`` (x0, y0, x1, y1) the deck spans the other way, between noggins: they are left out.
    """
    import shapely

    wood = [shapely.box(x0 - LONGER_MM, y0, x1 + LONGER_MM, y1) for x0, y0, x1, y1 in openings]
    for joist in joists:
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = joist.outline
        up = thickness_mm  # over what a square end leaves
        wood.append(shapely.Polygon(((x0, y0 - up), (x1, y1 + up), (x2, y2 + up), (x3, y3 - up))))
    bays = as_region(region.shape.difference(shapely.union_all(wood)))
    return 0.0 if bays is None else span(bays, -math.inf, math.inf, thickness_mm)
