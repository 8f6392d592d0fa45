"""Which lines are tried as joints.

Glossary
    corner   where the ring turns, or a straight edge becomes a curve (``directions``)

Tried: lines along and square to the main directions (on a grid of steps, at equal divisions, at full boards
from either end, at corners, and just clear of turnouts, devices and obstacles), lines square to tracks and
lines square to edges that follow no main direction (round a curve). Lines at other angles are not tried.
"""

from __future__ import annotations

import math

import numpy as np

from .directions import Array, off_direction
from .keepaway import KeepAway
from .piece import Piece
from .settings import SplittingSettings
from .tracks import Tracks

MOST_NORMALS = 120
TRACK_STEPS = 4  # from one line square to a track to the next
ASKEW_RAD = math.radians(3.0)  # from where on lines square to tracks and edges are tried
MOST_STEPS = 400  # across a piece, where the search is not by rows


def structure(piece: Piece) -> tuple[Array, Array]:
    """Lines through reflex corners along and square to the main directions: normals and offsets."""
    points, turns = piece.corners
    points = points[turns < 0]
    if not len(points):
        return np.empty((0, 2)), np.empty(0)
    angles = piece.main_directions
    normals = _normals(np.concatenate((angles, angles + math.pi / 2)))
    offsets = points @ normals.T
    return _unique(np.tile(normals, (len(points), 1)), offsets.ravel())


def candidates(
    piece: Piece, settings: SplittingSettings, keep_away: KeepAway, tracks: Tracks, fine: bool = False
) -> tuple[Array, Array]:
    """Normals and offsets of every line tried on a piece; ``fine``: the step is kept however long it is."""
    angles = piece.main_directions
    points, _ = piece.corners
    blocked = keep_away.near(piece)
    corners = np.concatenate([b.ring for b in blocked]) if blocked else np.empty((0, 2))
    firsts = np.cumsum([0, *(len(b.ring) for b in blocked[:-1])])
    clear = np.array([b.clear_mm for b in blocked])
    all_normals, all_offsets = [], []
    for normal in _normals(np.concatenate((angles, angles + math.pi / 2))):
        reach = piece.xy @ normal
        tried = [
            np.array(_positions(float(reach.min()), float(reach.max()), settings, fine)),
            points @ normal,
        ]
        if blocked:
            shadow = corners @ normal
            tried.append(np.minimum.reduceat(shadow, firsts) - clear - 1.0)
            tried.append(np.maximum.reduceat(shadow, firsts) + clear + 1.0)
        offsets = np.concatenate(tried)
        within = offsets[(offsets > reach.min() + 1) & (offsets < reach.max() - 1)]
        all_normals.append(np.tile(normal, (len(within), 1)))
        all_offsets.append(within)
    at, along = tracks.samples(piece, TRACK_STEPS * settings.step_mm)
    edge_at, edge_along = _edge_samples(piece, angles, 3 * settings.step_mm)
    for where, direction in ((at, along), (edge_at, edge_along)):
        other = _off_main(direction, angles)
        where, direction = where[other], direction[other]
        thin = 1 if fine else max(1, math.ceil(len(where) / MOST_NORMALS))
        all_normals.append(direction[::thin])
        all_offsets.append(np.sum(where * direction, axis=1)[::thin])
    return _unique(np.concatenate(all_normals), np.concatenate(all_offsets))


def _positions(low: float, high: float, settings: SplittingSettings, fine: bool) -> list[float]:
    span = high - low
    step = settings.step_mm if fine else max(settings.step_mm, span / MOST_STEPS)
    found = [low + step * k for k in range(1, math.ceil(span / step))]
    for limit in settings.box_mm:
        whole = math.ceil((span - 0.01) / limit)
        for count in (whole, whole + 1):
            found.extend(low + span * k / count for k in range(1, count))
        found.extend(low + limit * k for k in range(1, whole))
        found.extend(high - limit * k for k in range(1, whole))
    return found


def _normals(angles: Array) -> Array:
    normals = np.column_stack((-np.sin(angles), np.cos(angles)))
    normals[np.abs(normals) < 1e-12] = 0.0
    return normals


def _edge_samples(piece: Piece, angles: Array, every_mm: float) -> tuple[Array, Array]:
    """Points about ``every_mm`` apart along the edges and the edges' directions there."""
    d = piece.xy[piece.follows] - piece.xy
    length = np.hypot(d[:, 0], d[:, 1])
    reached = np.cumsum(length)
    marks = np.arange(every_mm / 2, float(reached[-1]), every_mm)
    edge = np.searchsorted(reached, marks)
    direction = d[edge] / np.maximum(length[edge], 1e-9)[:, None]
    back = (reached[edge] - marks)[:, None]
    return piece.xy[piece.follows[edge]] - direction * back, direction


def _off_main(direction: Array, angles: Array) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    off = off_direction(np.arctan2(direction[:, 1], direction[:, 0])[:, None], angles)
    result: np.ndarray[tuple[int], np.dtype[np.bool_]] = off.min(axis=1) > ASKEW_RAD
    return result


def _unique(normals: Array, offsets: Array) -> tuple[Array, Array]:
    """Drop repeated lines (n, c and −n, −c are the same line), keep the first."""
    flip = (normals[:, 1] < -1e-12) | ((np.abs(normals[:, 1]) <= 1e-12) & (normals[:, 0] < 0))
    sign = np.where(flip, -1.0, 1.0)
    normals, offsets = normals * sign[:, None], offsets * sign
    keys = np.column_stack((np.round(normals, 6), np.round(offsets, 3)))
    order = np.lexsort(keys.T[::-1])
    new = np.ones(len(order), dtype=bool)
    new[1:] = (keys[order[1:]] != keys[order[:-1]]).any(axis=1)
    first = order[new]
    return normals[first], offsets[first]
