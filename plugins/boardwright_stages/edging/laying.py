"""From stretches of edge to strips beside them: ends at corners and joints, clear of other boards.

Claim: a strip's inner face stands on its stretch; no strip reaches into a board, over the line of a joint, or
into another strip, and between the strips of two boards stays the gap that was set. Of two strips that meet
at a corner of one board the longer runs past, a backscene past a fascia (``corners``); where strips of two
boards would meet in an inner corner, the board later by name gives way.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.geometry import offset_path, snap_point
from boardwright_timber.model import Board, EdgeKind, EdgeRun

from .choosing import Edges, Key
from .corners import SQUARE, Ext, Strip, alone, meeting
from .stretches import End, Stretch

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

LEAST_MM = 25.0  # shorter ones are no strips
HAIR_MM = 0.005
SCRAP_MM2 = 0.005
SAME_LEVEL_MM = 1.0
type Laid = dict[Key, EdgeRun]


class Wish(NamedTuple):
    """A strip that is wanted along a stretch."""

    kind: EdgeKind
    thick_mm: float
    gap_mm: float


def laid(boards: Mapping[str, Board], edges: Edges, wishes: Mapping[Key, Wish]) -> tuple[Laid, list[Key]]:
    """Runs in the order of boards and their edges; then stretches that are left bare for want of room."""
    import shapely

    long = {(b, n): w for (b, n), w in wishes.items() if edges[b][n].length_mm >= LEAST_MM}
    found: Laid = {}
    bare = sorted(wishes.keys() - long.keys())
    shapes = {b: shapely.Polygon(board.ring, board.wells) for b, board in boards.items()}
    bands: list[tuple[str, Polygon]] = []
    for key in sorted(long):
        name, n = key
        board, wish = boards[name], long[key]
        gap = wish.gap_mm
        run = _run(edges[name], n, long)
        level = [b for b in boards if abs(boards[b].level_mm - board.level_mm) < SAME_LEVEL_MM]
        reach = _plan_shape(board, run).buffer(2 * wish.thick_mm + gap)
        around: list[BaseGeometry] = [
            shapes[b].buffer(gap / 2 - HAIR_MM if b != name else -HAIR_MM, join_style="mitre")
            for b in level
            if shapes[b].intersects(reach)
        ]
        around += [
            band.buffer(gap - HAIR_MM if b != name else -HAIR_MM, join_style="mitre")
            for b, band in bands
            if b in level and band.intersects(reach)
        ]
        kept = _cleared(board, run, around, wish)
        if kept is None:
            bare.append(key)
            continue
        found[key] = kept
        bands.append((name, _plan_shape(board, kept)))
    return found, sorted(bare)


def _plan_shape(board: Board, run: EdgeRun) -> Polygon:
    import shapely

    inner, outer = ([board.to_plan(p) for p in face] for face in (run.inner, run.outer))
    if run.is_closed:
        one, two = sorted((shapely.Polygon(inner), shapely.Polygon(outer)), key=lambda p: -p.area)
        return shapely.Polygon(one.exterior, [two.exterior])
    return shapely.Polygon((*outer, *reversed(inner)))


def _run(edges: Sequence[Stretch], n: int, wishes: Mapping[Key, Wish]) -> EdgeRun:
    own = edges[n]
    wish = wishes[own.board, n]
    if own.closed:
        return _along(own.path, SQUARE, SQUARE, wish)
    before, after = (_ext(edges, n, end, wishes) for end in (own.before, own.after))
    return _along(own.path, before, after, wish)


def _ext(edges: Sequence[Stretch], n: int, end: End, wishes: Mapping[Key, Wish]) -> Ext:
    own = edges[n]
    wish = wishes[own.board, n]
    if end.turn_deg is None or end.beside is None:
        return Ext(-wish.gap_mm / 2, -wish.gap_mm / 2)
    other, theirs = edges[end.beside], wishes.get((own.board, end.beside))
    if theirs is None:
        return alone(end.turn_deg, wish.thick_mm)
    mine, its = Strip(wish.thick_mm, own.is_straight), Strip(theirs.thick_mm, other.is_straight)
    if _order(wish, own, n) < _order(theirs, other, end.beside):
        return meeting(end.turn_deg, mine, its)[0]
    return meeting(end.turn_deg, its, mine)[1]


def _order(wish: Wish, stretch: Stretch, n: int) -> tuple[bool, float, int]:
    """Of two strips the lesser runs past."""
    return (wish.kind is not EdgeKind.BACKSCENE, -round(stretch.length_mm, 3), n)


def _along(path: Sequence[Point], before: Ext, after: Ext, wish: Wish) -> EdgeRun:
    """A strip along a path; only of a straight one may the ends be off square."""
    thick = wish.thick_mm
    if len(path) > 2:
        inner = reached(reached(path, before.inner)[::-1], after.inner)[::-1]
        outer = offset_path(inner, -thick)
    else:
        (ax, ay), (bx, by) = path
        long = math.dist(*path)
        dx, dy = (bx - ax) / long, (by - ay) / long
        inner = (
            (ax - dx * before.inner, ay - dy * before.inner),
            (bx + dx * after.inner, by + dy * after.inner),
        )
        ox, oy = dy * thick, -dx * thick
        outer = (
            (ax - dx * before.outer + ox, ay - dy * before.outer + oy),
            (bx + dx * after.outer + ox, by + dy * after.outer + oy),
        )
    return EdgeRun(kind=wish.kind, inner=tuple(map(snap_point, inner)), outer=tuple(map(snap_point, outer)))


def reached(path: Sequence[Point], by_mm: float) -> tuple[Point, ...]:
    """The path begun so much earlier, straight on; later where negative, down to its last point.

    >>> reached(((0, 0), (10, 0), (10, 10)), -12)
    ((10.0, 2.0), (10, 10))
    """
    points = list(path)
    while len(points) > 2 and by_mm < 0 and math.dist(*points[:2]) <= -by_mm:
        by_mm += math.dist(*points[:2])
        points.pop(0)
    (ax, ay), (bx, by) = points[:2]
    share = by_mm / math.dist(*points[:2])
    points[0] = (ax - (bx - ax) * share, ay - (by - ay) * share)
    return tuple(points)


def _cleared(board: Board, run: EdgeRun, around: Iterable[BaseGeometry], wish: Wish) -> EdgeRun | None:
    """The run cut back at its ends from whatever stands in its place; None: nothing of use is left."""
    import shapely

    band = _plan_shape(board, run)
    if not band.is_valid:
        return None
    line = shapely.LineString([board.to_plan(p) for p in run.inner])
    low, high = 0.0, line.length
    for thing in around:
        for piece in shapely.get_parts(band.intersection(thing)):
            if piece.area < SCRAP_MM2:
                continue
            along = [line.project(shapely.Point(p)) for p in shapely.get_coordinates(piece).tolist()]
            if min(along) + max(along) < line.length:
                low = max(low, max(along) + HAIR_MM)
            else:
                high = min(high, min(along) - HAIR_MM)
    if high - low < LEAST_MM:
        return None
    if low == 0.0 and high == line.length:
        return run
    if run.is_straight:
        return _cut_back(run, low, line.length - high, wish)
    return _along(run.inner, Ext(-low, -low), Ext(high - line.length, high - line.length), wish)


def _cut_back(run: EdgeRun, at_start: float, at_end: float, wish: Wish) -> EdgeRun:
    """A straight run cut square where it is cut back; its other end stays as it was."""
    whole = _along(run.inner, Ext(-at_start, -at_start), Ext(-at_end, -at_end), wish)
    return EdgeRun(
        kind=run.kind,
        inner=whole.inner,
        outer=(
            whole.outer[0] if at_start else run.outer[0],
            whole.outer[1] if at_end else run.outer[1],
        ),
    )
