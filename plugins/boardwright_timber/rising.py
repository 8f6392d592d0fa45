"""Decks that climb: how high a panel's underside is at a place, and which wood bears it.

Claim: a panel is level across each of its tracks (no superelevation) and as high as the nearest of them; past
a track's end the last stretch goes straight on, as the track does on the next board.

Glossary
    way   a track on a panel as (x, y, height of the deck's underside), local coordinates

What this does not know: how stiff a sheet is against bending along a climb that begins or ends (a sheet lies
on its supports: transitions are the track plan's).
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import UNSET

from boardwright.plan.model import Point

from .model import Member, Panel

type Way = tuple[tuple[float, float, float], ...]

TINY_MM, TINY_MM2 = 1e-6, 1e-12
BEARS_MM = 1.0  # wood whose top is this near to the deck's underside bears it
LEAST_UNDER = 0.5  # what of a riser lies below its deck at least, as a share


def on_way(way: Way, p: Point) -> tuple[float, float]:
    """How far a place is from a way, and how high the way is beside it.

    Between two of a way's points heights run evenly from the line that halves the angle at the one to that at
    the other: beside a curve that is drawn in few pieces the deck has no steps.

    >>> on_way(((0, 0, 10), (100, 0, 14)), (25, 7))
    (7.0, 11.0)
    """
    if len(way) == 1:
        return math.dist(way[0][:2], p), way[0][2]
    best, nearest = math.inf, 0
    for n, ((ax, ay, _), (bx, by, _)) in enumerate(pairwise(way)):
        long = (bx - ax) ** 2 + (by - ay) ** 2
        if long < TINY_MM2:
            continue
        share = ((p[0] - ax) * (bx - ax) + (p[1] - ay) * (by - ay)) / long
        on = min(max(share, 0.0), 1.0)
        away = math.hypot(ax + on * (bx - ax) - p[0], ay + on * (by - ay) - p[1])
        if away < best - 1e-9:
            best, nearest = away, n
    if (
        nearest < len(way) - 2
        and math.dist(way[nearest + 1][:2], p) <= best + 1e-9
        and _before(way, nearest + 1, p) > 0
        and math.dist(way[nearest + 1][:2], way[nearest + 2][:2]) ** 2 >= TINY_MM2
    ):
        nearest += 1  # outside a bend both pieces are as near: the one on this side of the halving line
    (ax, ay, az), (bx, by, bz) = way[nearest], way[nearest + 1]
    since = _before(way, nearest, p, nearest)
    until = -_before(way, nearest + 1, p, nearest)
    grade = (bz - az) / math.dist((ax, ay), (bx, by))
    if nearest == 0 and since < 0:
        return best, az + grade * since
    if nearest == len(way) - 2 and until < 0:
        return best, bz - grade * until
    total = since + until  # beside a bend the lines that halve angles meet somewhere
    share = min(max(since / total, 0.0), 1.0) if total > TINY_MM else 0.5
    return best, az + share * (bz - az)


def _before(way: Way, n: int, p: Point, piece: int | None = None) -> float:
    """How far a place is past the line that halves the angle at one of a way's points (below 0: short):
    square to that line, or along one of the pieces that meet there."""
    (x, y, _) = way[n]
    ux = uy = sx = sy = 0.0
    for k, m in ((n - 1, n), (n, n + 1)):
        if k >= 0 and m < len(way):
            dx, dy = way[m][0] - way[k][0], way[m][1] - way[k][1]
            long = math.hypot(dx, dy)
            if long**2 >= TINY_MM2:
                ux, uy = ux + dx / long, uy + dy / long
                sx, sy = (dx / long, dy / long) if k == piece else (sx, sy)
    past = (p[0] - x) * ux + (p[1] - y) * uy
    size = ux * sx + uy * sy if piece is not None else math.hypot(ux, uy)
    if size < TINY_MM:  # it turns back on itself
        return (p[0] - x) * sx + (p[1] - y) * sy
    return past / size


def way_at(panel: Panel, p: Point) -> Way:
    """The track of a climbing panel that a place belongs to."""
    assert panel.ways is not UNSET
    return min(panel.ways, key=lambda way: round(on_way(way, p)[0], 6))


def underside_mm(panel: Panel, p: Point) -> float:
    """Height of a panel's underside at a place, above the board's own zero."""
    if panel.ways is UNSET:
        return 0.0
    return min((on_way(way, p) for way in panel.ways), key=lambda found: round(found[0], 6))[1]


def top_mm(member: Member, p: Point) -> float:
    """Height of a member's top at a place on it."""
    if member.tops_mm is UNSET:
        return member.top_mm
    a, b, _, d = member.tops_mm
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    along, behind = (p[0] - ox) * dx + (p[1] - oy) * dy, (p[1] - oy) * dx - (p[0] - ox) * dy
    return (
        a
        + (b - a) * along / math.dist(member.outer_start, member.outer_end)
        + (d - a) * (behind / member.thickness_mm)
    )


def bears(member: Member, panel: Panel, p: Point) -> bool:
    """Whether a member carries the panel where both are at a place."""
    return member.carries_deck and abs(top_mm(member, p) - underside_mm(panel, p)) <= BEARS_MM
