"""How many boards a piece needs at least, by how much of it one board can hold, place by place.

Claim: whichever way the piece is cut, the boards are no fewer than told. A board lies within a largest box,
at any angle and place. Let H(p) be the most of the piece that any such box which holds the point p can hold.
A board B then has ∫_B 1/H ≤ 1, so the boards are no fewer than ∫ 1/H over the whole piece. In a straight
shelf H is about its width times the length of a board; a count by area would take a board's whole width.

H is taken too large, never too small: for boxes at angles between two that are tried, the box tried is made
so much larger that it holds them; places in between are held by windows of whole cells. Areas are exact.

Large pieces are looked at in tiles. What this does not know: which lines are candidates.
"""

from __future__ import annotations

import math
from functools import lru_cache

import msgspec
import numpy as np
import shapely

from boardwright import NO_MEMO, Memo

from .directions import Array
from .piece import Piece

PAD = 2  # cells round the grid in which points of the tile may come to lie
MOST_TILES = 80
FINE_TILES = 2  # up to which cells are small and angles many


class _Grain(msgspec.Struct, frozen=True):
    """How finely is looked: cells along a box, angles over half a turn, sides of a tile in boxes."""

    cells: int
    angles: int
    tile: float


FINE, COARSE = _Grain(50, 60, 3.0), _Grain(30, 36, 5.0)


def boards_at_least(piece: Piece, long_mm: float, short_mm: float, memo: Memo = NO_MEMO) -> float:
    """No way of cutting the piece into boards of at most this size has fewer; 0: too large to say."""
    return memo.of(_boards_at_least, tuple(r.tobytes() for r in piece.rings), long_mm, short_mm)


@lru_cache(maxsize=8)  # the same outline is asked for again when something else in the plan is tried
def _boards_at_least(rings: tuple[bytes, ...], long_mm: float, short_mm: float) -> float:
    own, *wells = (np.frombuffer(r).reshape(-1, 2) for r in rings)
    shape = shapely.Polygon(own, wells)
    if not shape.is_valid:
        return 0.0
    for grain in (FINE, COARSE):
        tiles = _tiles(shape, long_mm, math.hypot(long_mm, short_mm), grain)
        if len(tiles) <= (FINE_TILES if grain is FINE else MOST_TILES):
            return sum(_count(own, near, long_mm, short_mm, grain) for own, near in tiles)
    return 0.0


def _tiles(
    shape: shapely.Polygon, long_mm: float, diagonal_mm: float, grain: _Grain
) -> list[tuple[shapely.Geometry, shapely.Geometry]]:
    """Parts of a shape, each with all that a box which meets it can reach."""
    side, reach = grain.tile * long_mm, diagonal_mm + 4 * long_mm / grain.cells
    x0, y0, x1, y1 = shape.bounds
    found = []
    for i in range(max(1, math.ceil((x1 - x0) / side))):
        for k in range(max(1, math.ceil((y1 - y0) / side))):
            a, b = x0 + i * side, y0 + k * side
            own = shapely.clip_by_rect(shape, a, b, a + side, b + side)
            if own.area > 1.0:
                far = (a - reach, b - reach, a + side + reach, b + side + reach)
                found.append((own, shapely.clip_by_rect(shape, *far)))
    return found


def _count(
    own: shapely.Geometry, near: shapely.Geometry, long_mm: float, short_mm: float, grain: _Grain
) -> float:
    """∫ 1/H over one tile."""
    cell = long_mm / grain.cells
    corner, cells = _cells(_edges(own), 0.0, cell)
    filled = cells > 1e-6 * cell**2
    at = np.argwhere(filled)
    middles = corner + (at[:, ::-1] + 0.5) * cell
    most = np.zeros(len(middles))
    edges = _edges(near)
    half = math.pi / grain.angles / 2
    box = (
        long_mm * math.cos(half) + short_mm * math.sin(half),
        short_mm * math.cos(half) + long_mm * math.sin(half),
    )
    wide, high = (math.ceil(side / cell) + 1 for side in box)
    for k in range(grain.angles // 2):  # a box turned by a right angle is one as much higher as it was wide
        angle = k * math.pi / grain.angles
        start, grid = _cells(edges, -angle, cell)
        total = np.pad(grid.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
        c, s = math.cos(angle), math.sin(angle)
        turned = middles @ np.array(((c, -s), (s, c)))
        column, row = np.floor((turned - start) / cell).astype(int).T
        for sides in ((wide, high), (high, wide)):
            most = np.maximum(most, _held(total, *sides)[row + PAD, column + PAD])
    return float(np.sum(cells[filled] / np.maximum(np.minimum(most, long_mm * short_mm), cells[filled])))


def _held(total: Array, wide: int, high: int) -> Array:
    """For each cell (with PAD more all round) the most in any window of wide × high cells near enough to it.

    ``total``: sums of all cells before a row and a column. A point of a cell turned is at most one cell away
    from where its middle comes to lie.
    """
    rows, columns = total.shape[0] - 1, total.shape[1] - 1
    # windows that hold cell r begin at r - high + 1 … r, and one more each way
    first_row = np.arange(-PAD - high, rows + PAD + 1)
    first_column = np.arange(-PAD - wide, columns + PAD + 1)
    below, above = np.clip(first_row, 0, rows), np.clip(first_row + high, 0, rows)
    left, right = np.clip(first_column, 0, columns), np.clip(first_column + wide, 0, columns)
    strips = total[above] - total[below]
    return _highest(_highest(strips[:, right] - strips[:, left], high + 2, 0), wide + 2, 1)


def _highest(values: Array, count: int, axis: int) -> Array:
    """Highest of ``count`` neighbours from each place on along an axis."""
    values = np.moveaxis(values, axis, 0)
    done = 1
    while done < count:
        step = min(done, count - done)
        values = np.maximum(values[:-step], values[step:])
        done += step
    return np.moveaxis(values, 0, axis)


def _edges(shape: shapely.Geometry) -> Array:
    """Every edge of a shape, its inside on the left: x, y, x, y."""
    found = []
    for polygon in shapely.get_parts(shape):
        if polygon.geom_type != "Polygon":
            continue
        for k, ring in enumerate((polygon.exterior, *polygon.interiors)):
            points = shapely.get_coordinates(ring)
            if shapely.is_ccw(ring) != (k == 0):
                points = points[::-1]
            found.append(np.hstack((points[:-1], points[1:])))
    return np.concatenate(found) if found else np.empty((0, 4))


def _cells(edges: Array, turn: float, cell: float) -> tuple[Array, Array]:
    """Lowest corner of a grid round a turned shape, and the shape's area in each cell (row, column)."""
    c, s = math.cos(turn), math.sin(turn)
    matrix = np.array(((c, s), (-s, c)))
    a, b = edges[:, :2] @ matrix, edges[:, 2:] @ matrix
    corner = a.min(axis=0) - cell
    a, b = (a - corner) / cell, (b - corner) / cell
    columns, rows = (np.ceil(a.max(axis=0)).astype(int) + 2).tolist()
    edge, at = [np.arange(len(a)), np.arange(len(a))], [np.zeros(len(a)), np.ones(len(a))]
    for axis in (0, 1):
        low = np.floor(np.minimum(a[:, axis], b[:, axis]))
        crossed = np.maximum(np.ceil(np.maximum(a[:, axis], b[:, axis])) - low - 1, 0).astype(int)
        owner = np.repeat(np.arange(len(a)), crossed)
        line = low[owner] + 1 + np.arange(len(owner)) - np.repeat(np.cumsum(crossed) - crossed, crossed)
        edge.append(owner)
        at.append((line - a[owner, axis]) / (b[owner, axis] - a[owner, axis]))
    which, t = np.concatenate(edge), np.clip(np.concatenate(at), 0.0, 1.0)
    order = np.lexsort((t, which))
    which, t = which[order], t[order]
    same = which[1:] == which[:-1]
    which, t0, t1 = which[:-1][same], t[:-1][same], t[1:][same]
    d = b[which] - a[which]
    p, q = a[which] + t0[:, None] * d, a[which] + t1[:, None] * d
    middle = (p + q) / 2
    column, row = np.floor(middle).astype(int).T
    rise = p[:, 1] - q[:, 1]  # anticlockwise: down on the left of the inside counts it in, up takes it out
    cover = np.zeros((rows, columns + 1))
    np.add.at(cover, (row, column), rise * (column + 1 - middle[:, 0]))
    np.add.at(cover, (row, column + 1), rise * (middle[:, 0] - column))
    area: Array = np.maximum(cover.cumsum(axis=1)[:, :columns], 0.0) * cell**2
    return corner, area
