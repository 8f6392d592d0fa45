"""The least that any cuts of a piece can cost, in boards: never too much, whatever the cuts.

Glossary
    share    a board's area, as a share of the largest board's
    along    all edges of a piece run along one of a few directions or square to it, and so do joints and the
             boards' rectangles
    aligned  there is one such direction

    boards   as many as the area, the mass, or the reach in any direction asks for (two points of one board
             are never farther apart than its diagonal); in a piece with directions, as many as it has points
             on its edge of which no board that lies along one of them holds two
    uneven   what boards of a share cost for their share
    joints   boards of a share have at least the edge of a circle (in an aligned piece: of a rectangle no
             wider than a board may be); what they have beyond the piece's own edge is joint, on two sides

The last two are taken together as one curve over the share; its convex lower hull (``_curve``) at the mean
share is the least for any number of boards.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import msgspec
import numpy as np

from .directions import Array, distinct, off_direction
from .piece import FIT_MM, Piece
from .settings import SplittingSettings
from .worth import PLACES, TINY_MM2, Sides, fits, whole

type Along = Sequence[float]

SLACK = 2 * 10.0**-PLACES  # costs are rounded
SAMPLES = 1000
MOST_POINTS = 120
MOST_TRIES = 1000
SKEW = 0.5  # cosine; edges farther off a direction have no points for its sake
SQUARE = 1e-4  # radians; edges nearer to square than this are


def least(s: Sides, settings: SplittingSettings, boards: float = 0.0, aligned: bool = False) -> Array:
    """The least that pieces can cost however they are cut. ``boards``: as many as are known to be needed."""
    long, short = settings.box_mm
    share = s.area / (long * short)
    across = _whole(s.length / math.hypot(long, short))
    count = np.maximum(np.maximum(_whole(share), across), math.ceil(boards - 1e-3))
    if settings.max_mass_kg is not None:
        # cutting adds edges, so the mass of the boards together is no less
        count = np.maximum(count, _whole(settings.thought_kg(s.area, s.perimeter) / settings.max_mass_kg))
    weights = settings.uneven_weight, settings.joint_length_weight
    plain = _least(_curve(long, short, weights[0], 0.0, aligned), count, share)
    edged = _least(_curve(long, short, *weights, aligned), count, share)
    edged = edged - weights[1] * s.perimeter / 2000.0
    found: Array = np.where(s.area > TINY_MM2, np.maximum(plain, edged) - SLACK, 0.0)
    return found


def least_of(piece: Piece, settings: SplittingSettings, along: Along = ()) -> float:
    """The same for one piece; ``along``: the directions it lies along, radians."""
    if not along or fits(piece, settings):
        return float(least(whole(piece, settings), settings)[0])
    apart = points_apart(piece, settings.box_mm, along)
    return float(least(whole(piece, settings), settings, apart, aligned=len(along) == 1)[0])


def directions_of(piece: Piece) -> Along:
    """The directions along which or square to which all edges of a piece run, radians; none: too many."""
    edges = piece.xy[piece.follows] - piece.xy
    main = piece.main_directions.tolist()
    return tuple(main) if float(off_all(edges, main).max()) <= SQUARE else ()


def points_apart(piece: Piece, box: tuple[float, float], along: Along) -> int:
    """How many of a piece's corners, and of points along its long edges, no two of which one box can hold.

    Boxes lie along one of the angles or square to it. As many as were found in MOST_TRIES: there may be more.
    """
    long, short = box[0] + 2 * FIT_MM, box[1] + 2 * FIT_MM
    points = _spread(piece, (long + FIT_MM, short + FIT_MM), along)
    if len(points) > MOST_POINTS:
        points = _spread(piece, (long + FIT_MM,), along, both_ends=False)
    if len(points) > MOST_POINTS:
        return 0
    far = np.ones((len(points), len(points)), dtype=bool)
    for angle in along:
        c, s = math.cos(angle), math.sin(angle)
        gap = np.abs((points[:, None] - points[None]) @ np.array(((c, -s), (s, c))))
        far &= (gap.max(axis=2) > long) | (gap.min(axis=2) > short)
    later = [sum(1 << k for k in np.flatnonzero(row).tolist() if k > i) for i, row in enumerate(far)]
    most = 0
    waiting = [(0, (1 << len(points)) - 1)]  # how many are chosen, and a bit for each that may be chosen yet
    for _ in range(MOST_TRIES):
        if not waiting:
            break
        count, left = waiting.pop()
        if count + left.bit_count() <= most:
            continue
        most = max(most, count)
        if left:
            first = (left & -left).bit_length() - 1
            waiting.append((count, left & ~(1 << first)))
            waiting.append((count + 1, left & later[first]))
    return most


def _spread(piece: Piece, reaches: Sequence[float], along: Along, both_ends: bool = True) -> Array:
    """The corners of a piece, and points on its edges just out of reach of these, once or more often."""
    edges = piece.xy[piece.follows] - piece.xy
    length = np.hypot(edges[:, 0], edges[:, 1])
    found = [piece.corners[0]]
    for k in np.flatnonzero(length > min(reaches)).tolist():
        way = edges[k] / length[k]
        steps = [
            reach / abs(part)
            for turned in along
            for angle in (turned, turned + math.pi / 2)
            for part in (way[0] * math.cos(angle) + way[1] * math.sin(angle),)
            for reach in reaches
            if abs(part) > SKEW
        ]
        marks = np.concatenate([np.arange(step, length[k], step) for step in steps])
        if both_ends:
            marks = np.concatenate((marks, length[k] - marks))
        marks = distinct(np.round(marks, 3))
        found.append(piece.xy[k] + marks[:, None] * way)
    return np.concatenate(found)


class _Curve(msgspec.Struct, frozen=True, eq=False):
    """What a board of each share costs at least besides 1; from ``best`` on more boards cost more."""

    shares: Array
    costs: Array
    best: float


@lru_cache(maxsize=64)
def _curve(long: float, short: float, uneven: float, joint: float, aligned: bool) -> _Curve:
    shares = np.linspace(0.0, 1.0, SAMPLES + 1)
    area = shares * long * short
    edge = 2 * np.sqrt(math.pi * area)
    if aligned:
        edge = np.where(area < short**2, 4 * np.sqrt(area), 2 * (short + area / short))
    costs = uneven * shares**2 + joint * edge / 2000.0
    hull: list[int] = []
    for k in range(len(shares)):
        while len(hull) > 1 and not _below(hull[-2], hull[-1], k, costs):
            hull.pop()
        hull.append(k)
    costs = np.interp(shares, shares[hull], costs[hull])
    best = shares[1:][int(np.argmin((1.0 + costs[1:]) / shares[1:]))]
    return _Curve(shares, costs, float(best))


def _below(i: int, k: int, j: int, costs: Array) -> bool:
    """Does sample k lie below the line from i to j?"""
    return bool((costs[k] - costs[i]) * (j - i) < (costs[j] - costs[i]) * (k - i))


def _least(curve: _Curve, count: Array, share: Array) -> Array:
    """Boards and their curve: what ``count`` boards of a share together cost, or more if that is cheaper."""
    count = np.maximum(count, share / curve.best)
    mean = np.minimum(share / count, 1.0)
    total: Array = count * (1.0 + np.interp(mean, curve.shares, curve.costs))
    return total


def off_all(way: Array, along: Along) -> Array:
    """Radians off the nearest of some directions or square to it."""
    off: Array = off_direction(np.arctan2(way[:, 1], way[:, 0])[:, None], np.array(along)).min(axis=1)
    return off


def _whole(x: Array) -> Array:
    count: Array = np.maximum(np.ceil(x - 1e-3), 1.0)
    return count
