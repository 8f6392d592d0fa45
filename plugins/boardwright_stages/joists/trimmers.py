"""Joists that run past a well on both sides of it and hold its sides: trimmers, as round a stair's opening.

Claim: where a well gets its trimmers, each stands flush against it from the board's one side to the other,
clear of every device, and the deck spans no further than before. Joists between the two, and those nearer to
one than a drill wants, go; where the deck then spans too far, others are set. A well for which this cannot be
done is left as it was (``wells``).

What this does not know: loads.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import msgspec

from boardwright.plan.model import Device, Ring
from boardwright_timber.model import Board, Member

from .noggins import Bays
from .pieces import pieces_at
from .places import Legal
from .region import Region
from .span import spacing_left

NEAR_MM = 0.1
STEP_MM = 5.0
LEAST_MM = 30.0  # a shorter side is not worth a joist along it
MOST_MORE = 4  # joists that may be set anew for one well
CORNERS = 4  # with more a well is round: its sides between those that are held would fold
UNEVEN = 0.5  # of the rest of its bay: nearer to a trimmer a joist is set anew
TRIED = 24  # places between two joists that are tried for one


class Trimming(msgspec.Struct):
    """The joists of a board so far and the wells that have both trimmers. ``fixed``: what must stay."""

    joists: list[Member]
    fixed: list[Member]
    held: list[Ring]


class Room(msgspec.Struct, frozen=True):
    """Where joists may stand: ``clear`` of devices, ``free`` of all; so far apart; what the deck may span."""

    region: Region
    clear: Legal
    free: Legal
    gap_mm: float
    allowed_mm: float


def trimmed(
    wells: Sequence[Ring], like: Member, joists: Sequence[Member], noggins: Sequence[Member], room: Room
) -> Trimming:
    """Trimmers for each well that can have them; ``noggins`` and the joists that hold them stay."""
    fixed = [m for m in joists if any(_touch(m, n) for n in noggins)]
    done = Trimming(list(joists), fixed, [])
    for well in wells:
        found = _round(well, like, done, noggins, room)
        if found is not None:
            done = found
    return done


def _round(
    well: Ring, like: Member, done: Trimming, noggins: Sequence[Member], room: Room
) -> Trimming | None:
    t, reach = like.thickness_mm, like.thickness_mm + room.gap_mm
    low, high = min(x for x, _ in well), max(x for x, _ in well)
    if not (_upright(well, low) and _upright(well, high)):
        return None
    at = low - t / 2, high + t / 2
    pair = [_past(well, x, like, done, room) for x in at]
    if pair[0] is None or pair[1] is None:
        return None
    new = [*pair[0], *pair[1]]
    if any(_touch(m, n) for m in new for n in noggins):
        return None
    there = [
        m
        for m in done.joists
        if m in done.fixed or (not at[0] < middle(m) < at[1] and all(abs(middle(m) - x) >= reach for x in at))
    ]
    joists = [*there, *(m for m in new if m not in there)]
    filled = _filled(joists, like, reach, room)
    if filled is None:
        return None
    fixed = [*done.fixed, *new]
    return Trimming(_evened(filled, at, fixed, like, reach, room), fixed, [*done.held, well])


def _evened(
    joists: list[Member], at: tuple[float, float], fixed: list[Member], like: Member, reach: float, room: Room
) -> list[Member]:
    """A joist beside a trimmer that parts its bay very unevenly is set anew, if one in its stead will do."""
    for trimmer, way in ((at[0], -1), (at[1], 1)):
        stops = sorted({room.region.low_x, *map(middle, joists), room.region.high_x}, key=lambda x: way * x)
        after = [x for x in stops if way * (x - trimmer) > NEAR_MM]
        if len(after) < 2 or abs(after[0] - trimmer) > UNEVEN * abs(after[1] - after[0]):
            continue
        fewer = [m for m in joists if m in fixed or abs(middle(m) - after[0]) > NEAR_MM]
        again = _filled(fewer, like, reach, room)
        if again is not None and len(again) <= len(joists):
            joists = again
    return joists


def _past(well: Ring, x: float, like: Member, done: Trimming, room: Room) -> list[Member] | None:
    """The joist at x that runs past the whole well, with what else stands in its strip; None: none can."""
    low, high = min(y for _, y in well), max(y for _, y in well)
    t = like.thickness_mm
    if not room.clear.holds(x):
        return None
    near = [m for m in done.fixed if abs(middle(m) - x) < t + room.gap_mm]
    if any(abs(middle(m) - x) > NEAR_MM for m in near):
        return None
    made = [p.member("", like) for p in pieces_at(room.region, x, t)]
    runs_past = any(
        max(m.outer_start[1], m.inner_start[1]) < low and min(m.outer_end[1], m.inner_end[1]) > high
        for m in made
    )
    return made if runs_past else None


def _upright(well: Ring, x: float) -> bool:
    """Whether a side of the well stands at x, square to the board: one that a joist lies flush along."""
    edges = zip(well, (*well[1:], well[0]), strict=True)
    return any(
        max(abs(a[0] - x), abs(b[0] - x)) < NEAR_MM / 2 and abs(a[1] - b[1]) >= LEAST_MM for a, b in edges
    )


def _filled(joists: list[Member], like: Member, reach: float, room: Room) -> list[Member] | None:
    """With joists more until the deck spans no further than allowed, each where it leaves least; None: no."""
    t = like.thickness_mm
    for _ in range(MOST_MORE):
        if spacing_left(room.region, joists, t) <= room.allowed_mm + NEAR_MM:
            return joists
        best: tuple[float, list[Member]] | None = None
        for x in _places([middle(m) for m in joists], t, room):
            if not room.free.holds(x) or any(abs(middle(m) - x) < reach for m in joists):
                continue
            more = [*joists, *(p.member("", like) for p in pieces_at(room.region, x, t))]
            left = round(spacing_left(room.region, more, t), 3)
            if best is None or left < best[0]:
                best = left, more
        if best is None:
            return None
        joists = best[1]
    return joists if spacing_left(room.region, joists, t) <= room.allowed_mm + NEAR_MM else None


def _places(middles: list[float], thickness_mm: float, room: Room) -> list[float]:
    """Places to try, from the middle of each bay outwards by turns."""
    half = thickness_mm / 2
    stops = sorted({room.region.low_x - half, *middles, room.region.high_x + half})
    found: list[float] = []
    for low, high in pairwise(stops):
        if high - low <= room.allowed_mm:
            continue
        step = max(STEP_MM, (high - low) / TRIED)
        count = math.floor((high - low) / 2 / step)
        found += [(low + high) / 2 + sign * n * step for n in range(count + 1) for sign in (1, -1)]
    return found


def middle(joist: Member) -> float:
    return (joist.outer_start[0] + joist.inner_start[0]) / 2


def headers(
    board: Board,
    region: Region,
    wells: Sequence[Ring],
    like: Member,
    there: Sequence[Member],
    devices: Sequence[Device],
) -> list[Member]:
    """Noggins from trimmer to trimmer, flush with the lower and the upper side of round wells."""
    found: list[Member] = []
    for well in (w for w in wells if len(w) > CORNERS):
        x = (min(x for x, _ in well) + max(x for x, _ in well)) / 2
        half = like.thickness_mm / 2
        for y in (min(y for _, y in well) - half, max(y for _, y in well) + half):
            bays = Bays(board, region, (*there, *found), devices)
            bay = bays.at((x, y), like.thickness_mm)
            header = None if bay is None else bays.near(bay, (x, y), like, 0.0)
            if header is not None:
                found.append(header)
    return found


def _touch(one: Member, other: Member) -> bool:
    import shapely

    return bool(shapely.Polygon(one.outline).distance(shapely.Polygon(other.outline)) < NEAR_MM)
