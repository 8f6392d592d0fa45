"""The best joints round wells: every choice of joints tried by hand gives the same cost."""

from __future__ import annotations

import math
import os
import random
from itertools import combinations
from typing import Any

import networkx
import numpy as np
import pytest
import shapely

from boardwright_stages.splitting import chords, worth
from boardwright_stages.splitting.chords import Chords
from boardwright_stages.splitting.net import best_net
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.runs import Ways
from boardwright_stages.splitting.settings import SplittingSettings

CASES = 220 if os.environ.get("BOARDWRIGHT_DEEP") else 16
MOST_NEIGHBOURS = 3


def small_case(seed: int) -> tuple[Chords, np.ndarray, SplittingSettings]:
    """Shelves round two wells, or round one and a peninsula; lines across, a random cost for each joint."""
    rnd = random.Random(seed)
    d, w, h = rnd.uniform(200, 280), rnd.uniform(640, 760), rnd.uniform(640, 700)
    a, b, lean = 3 * d + 2 * w, 2 * d + h, rnd.choice((0.0, 0.0, rnd.uniform(-0.1, 0.1)))
    outer: list[Any] = [(0, 0), (a, 0), (a, b), (0, b)]
    wells = [((x, d), (x, d + h), (x + w, d + h), (x + w, d)) for x in (d, 2 * d + w)]
    across = [rnd.uniform(0.15, 0.35) * a, rnd.uniform(0.6, 0.85) * a]
    along = [rnd.uniform(0.3, 0.7) * b, rnd.choice((d, b - d, rnd.uniform(0.2, 0.8) * b))]
    if seed % 4 == 0:  # one well, and a peninsula out into the room
        a, deep = 2 * d + w, rnd.uniform(300, 500)
        outer = [
            (0, 0),
            (a, 0),
            (a, b),
            (0.7 * a, b),
            (0.7 * a, b + deep),
            (0.4 * a, b + deep),
            (0.4 * a, b),
            (0, b),
        ]
        wells, along = wells[:1], [*along, b, b + rnd.uniform(80, 200)]
        across = [rnd.uniform(0.3, 0.7) * a, a - d]
    piece = from_outline(tuple(outer), tuple(wells))
    lines = [(1.0, lean, x) for x in across] + [(-lean, 1.0, y) for y in along]
    normals = np.array([(p, q) for p, q, _ in lines])
    scale = np.hypot(normals[:, 0], normals[:, 1])
    found = chords.find(
        piece, normals / scale[:, None], np.array([c for _, _, c in lines]) / scale, wells=True
    )
    ends = np.round(np.hstack((found.start, found.end)), 3)  # a line through a corner is found twice
    found = found.pick(np.sort(np.unique(ends, axis=0, return_index=True)[1]))
    cost = np.array([rnd.uniform(0.0, 0.5) for _ in range(len(found))])
    long, short = rnd.uniform(1200, 1500), rnd.uniform(560, 630)
    return found, cost, SplittingSettings(max_length_mm=long, max_width_mm=short, min_length_mm=100.0)


def brute(found: Chords, cost: np.ndarray, settings: SplittingSettings) -> float:
    """Every set of joints that do not cross; the geometry library makes cells, boards are some of these."""
    rings = found.piece.rings
    whole = shapely.Polygon(rings[0], rings[1:])
    lines = [shapely.LineString((p, q)) for p, q in zip(found.start, found.end, strict=True)]
    edges = shapely.snap(whole.boundary, shapely.MultiPoint(np.vstack((found.start, found.end))), 1e-5)
    faces = shapely.polygonize([shapely.union_all([edges, *lines], grid_size=1e-6)]).geoms
    cells = [c for c in faces if whole.contains(c.point_on_surface())]
    between = []  # cell, cell, the joint between them
    for i, j in combinations(range(len(cells)), 2):
        common = shapely.intersection(cells[i], cells[j])
        if common.length > 1e-3:
            middle = common.interpolate(0.5, normalized=True)
            between += [(i, j, k) for k, line in enumerate(lines) if line.distance(middle) < 1e-4]
    crossing = {
        pair for pair in combinations(range(len(lines)), 2) if shapely.crosses(*(lines[n] for n in pair))
    }
    ways = Ways(np.concatenate([np.roll(r, -1, axis=0) - r for r in rings]), found.end - found.start)
    worths: dict[frozenset[int], float] = {}
    best = math.inf
    for count in range(2, len(lines) + 1):
        for some in combinations(range(len(lines)), count):
            if any(pair in crossing for pair in combinations(some, 2)) or sum(cost[list(some)]) >= best:
                continue
            joined = networkx.Graph([(i, j) for i, j, k in between if k not in some])
            joined.add_nodes_from(range(len(cells)))
            boards = [frozenset(c) for c in networkx.connected_components(joined)]
            home = {cell: n for n, board in enumerate(boards) for cell in board}
            cut = [(home[i], home[j], k) for i, j, k in between if k in some]
            if any(one == other for one, other, _ in cut):
                continue
            joints = [{k for *ends, k in cut if n in ends} for n in range(len(boards))]
            if max(map(len, joints)) > MOST_NEIGHBOURS:
                continue
            total = float(sum(cost[k] for k in some))
            for board in boards:
                if board not in worths:
                    worths[board] = _worth([cells[n] for n in board], ways, settings)
                total += worths[board]
            best = min(best, total)
    return best


def _worth(cells: list[Any], ways: Ways, settings: SplittingSettings) -> float:
    """What a board is worth by the rectangles along edges and joints; infinite where it does not fit."""
    part = shapely.union_all(cells, grid_size=1e-6)
    if (
        part.geom_type != "Polygon"
        or part.interiors
        or not from_outline(tuple(part.exterior.coords)[:-1], ()).fits(settings.box_mm)
    ):
        return math.inf
    reach = np.ptp(shapely.get_coordinates(part) @ ways.both, axis=0)
    one = np.ones(1)
    sides = worth.boxed(one * part.area, one * part.length, 0 * one, reach[None, :], settings)
    return float(worth.value(sides, settings, 1.0)[0]) if sides.fits[0] else math.inf


def test_every_net_of_joints_tried_by_hand_gives_the_same_cost() -> None:
    feasible = branches = 0
    for seed in range(CASES):
        found, cost, settings = small_case(seed)
        net, by_hand = best_net(found, cost, settings, math.inf), brute(found, cost, settings)
        assert net is not None, seed
        assert (net.row is None) == math.isinf(by_hand), seed
        if net.row is None:
            continue
        feasible += 1
        assert net.row.cost == pytest.approx(by_hand, abs=1e-3), seed
        areas = [shapely.Polygon(p.rings[0]) for p in net.row.pieces]
        assert sum(a.area for a in areas) == pytest.approx(found.piece.area, abs=1.0)
        assert shapely.union_all(areas, grid_size=1e-6).area == pytest.approx(found.piece.area, abs=1.0)
        assert best_net(found, cost, settings, net.row.cost - 1e-4) in (None, type(net)(None))
        middles = [
            shapely.LineString((c.start, c.end)).interpolate(0.5, normalized=True) for c in net.row.cuts
        ]
        branches += any(sum(a.distance(m) < 1e-3 for m in middles) == MOST_NEIGHBOURS for a in areas)
    assert feasible > CASES // 4
    assert branches > CASES // 10
