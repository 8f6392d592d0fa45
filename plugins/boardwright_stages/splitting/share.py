"""Each board's share of the track plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely

from boardwright.plan.heights import between, climbs
from boardwright.plan.model import Device, Point, Track, TrackPlan
from boardwright_timber.model import Board, BoardPlan

from .piece import contains, rounded

SHORTEST_MM = 0.01


def share_of(board: Board, plan: TrackPlan) -> BoardPlan:
    """Devices, turnouts and clipped tracks of one board.

    A track that leaves the board and comes back is given in several parts with the same id, in the order of
    the track. Heights are given where some track of the plan climbs. A device whose centre lies exactly on a
    joint belongs to one of the two boards only.
    """
    rising = climbs(plan.tracks)
    plan = plan.at_level(board.level_mm)
    area = shapely.Polygon(board.ring, board.wells)
    shapely.prepare(area)
    box = _Box.round(board.ring)
    devices, own = [], []
    for device in plan.devices:
        if not box.meets(_Box.round(device.keepout())):
            continue
        mine = _centred_on(device, board)
        if mine:
            own.append(device.id)
        if mine or shapely.intersects(area, shapely.Polygon(device.keepout())):
            devices.append(device)
    near = [t for t in plan.turnouts if box.meets(_Box.round(t.ring))]
    turnouts = [t for t in near if shapely.intersects(area, _hull_if_needed(t.ring))]
    tracks = [
        part
        for t in plan.tracks
        if t.points and box.meets(_Box.round(t.points))
        for part in _clipped(t, area, box, rising)
    ]
    return BoardPlan(
        board=board.id,
        devices=tuple(devices),
        own_devices=tuple(own),
        turnouts=tuple(turnouts),
        tracks=tuple(tracks),
        scale_ratio=plan.scale_ratio,
    )


class _Box(NamedTuple):
    """An upright rectangle: what does not meet it needs no closer look."""

    left: float
    bottom: float
    right: float
    top: float

    @classmethod
    def round(cls, points: Sequence[Point]) -> _Box:
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return cls(min(xs), min(ys), max(xs), max(ys))

    def meets(self, other: _Box) -> bool:
        return not (
            other.right < self.left
            or other.left > self.right
            or other.top < self.bottom
            or other.bottom > self.top
        )


def _centred_on(device: Device, board: Board) -> bool:
    p = (device.x_mm, device.y_mm)
    if not contains(np.array(board.ring), p):
        return False
    return not any(contains(np.array(w), p) for w in board.wells)


def _hull_if_needed(ring: tuple[Point, ...]) -> Any:
    if len(ring) >= 3:
        polygon = shapely.polygons(np.array(ring, dtype=float))
        if shapely.is_valid(polygon):
            return polygon
    return shapely.convex_hull(shapely.multipoints(np.array(ring, dtype=float).reshape(-1, 2)))


def _clipped(track: Track, area: Any, box: _Box, rising: bool) -> list[Track]:
    if len(track.points) < 2:
        return []
    line = shapely.linestrings(np.array(track.points, dtype=float))
    if not shapely.intersects(area, line):
        return []
    pieces: list[tuple[float, tuple[Point, ...]]] = []
    at = 0.0
    for a, b in pairwise(track.points):
        length = math.dist(a, b)
        if length > 0 and box.meets(_Box.round((a, b))):
            part = shapely.intersection(area, shapely.linestrings([a, b]))
            for run in shapely.get_parts(part):
                xy = shapely.get_coordinates(run).tolist()
                if len(xy) >= 2:
                    ends = sorted((math.dist(a, p), (rounded(p[0]), rounded(p[1]))) for p in xy)
                    pieces.append((at + ends[0][0], tuple(p for _, p in ends)))
        at += length
    pieces.sort(key=lambda p: p[0])
    runs: list[tuple[float, list[Point]]] = []
    for begins, piece in pieces:
        if runs and math.dist(runs[-1][1][-1], piece[0]) < 1e-5:
            runs[-1][1].extend(piece[1:])
        else:
            runs.append((begins, list(piece)))
    marks = (
        list(zip(_far(track.points), track.heights_mm, strict=True)) if rising and track.heights_mm else []
    )
    found = []
    for start, points in runs:
        if sum(math.dist(p, q) for p, q in pairwise(points)) > SHORTEST_MM:
            told = tuple(round(between(start + f, marks), 6) for f in _far(points)) if marks else ()
            found.append(Track(id=track.id, points=tuple(points), heights_mm=told, place=track.place))
    return found


def _far(points: Sequence[Point]) -> list[float]:
    """How far along the line each of its points is."""
    return [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(points))]
