"""The best joints round a well: every loop tried by hand gives the same cost."""

from __future__ import annotations

import math
import os
import random
from itertools import combinations
from typing import Any

import numpy as np
import pytest
import shapely

from boardwright_stages.splitting import chords, worth
from boardwright_stages.splitting.chords import Chords
from boardwright_stages.splitting.loop import best_loop
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.runs import Ways
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_timber.model import Proof

CASES = 220 if os.environ.get("BOARDWRIGHT_DEEP") else 60


def small_case(seed: int) -> tuple[Chords, np.ndarray, SplittingSettings]:
    """A ring with straight or round edges, lines through it at odd angles, a random cost for each."""
    rnd = random.Random(seed)
    a, b = rnd.uniform(1200, 1900), rnd.uniform(1100, 1700)
    x, y, wide = rnd.uniform(250, 450), rnd.uniform(250, 450), rnd.uniform(300, 500)
    outer: list[Any] = [(0, 0), (a, 0), (a, b), (0, b * rnd.uniform(0.9, 1))]
    well: list[Any] = [(x, y), (x, b - wide), (a - wide, b - wide), (a - wide, y)]
    if seed % 3 == 0:  # the outer edge a many-sided round, the well too
        turn = [2 * math.pi * k / 24 for k in range(24)]
        outer = [(a / 2 + a / 2 * math.cos(t), b / 2 + b / 2 * math.sin(t)) for t in turn]
        well = [(a / 2 + a / 4 * math.cos(-t), b / 2 + b / 4 * math.sin(-t)) for t in turn]
    piece = from_outline(tuple(outer), (tuple(well),))
    lines = []
    for k in range(3):
        lean = rnd.choice((0.0, 0.0, rnd.uniform(-0.4, 0.4)))
        across = (1.0, lean, rnd.uniform(0.2, 0.8) * a)
        lines.append(across if k % 2 else (lean, 1.0, rnd.uniform(0.2, 0.8) * b))
    normals = np.array([(p, q) for p, q, _ in lines])
    scale = np.hypot(normals[:, 0], normals[:, 1])
    found = chords.find(piece, normals / scale[:, None], np.array([c for _, _, c in lines]) / scale)
    cost = np.array([rnd.uniform(0.0, 0.5) for _ in range(len(found))])
    settings = SplittingSettings(
        max_length_mm=rnd.uniform(1100, 1800), max_width_mm=rnd.uniform(800, 1100), min_length_mm=100.0
    )
    return found, cost, settings


def brute(found: Chords, cost: np.ndarray, settings: SplittingSettings) -> float:
    """Every set of spokes that do not cross, cut by the geometry library, judged piece by piece."""
    outer = len(found.piece.rings[0])
    spokes = [k for k in range(len(found)) if (found.enter[k] < outer) != (found.leave[k] < outer)]
    whole = shapely.Polygon(found.piece.rings[0], found.piece.rings[1:])
    lines = {k: shapely.LineString((found.start[k], found.end[k])) for k in spokes}
    apart = {(i, k): not shapely.crosses(lines[i], lines[k]) for i, k in combinations(spokes, 2)}
    edges = np.concatenate([np.roll(r, -1, axis=0) - r for r in found.piece.rings])
    ways = Ways(edges, (found.end - found.start)[spokes])
    worths: dict[bytes, float] = {}
    best = math.inf
    for count in range(2, len(spokes) + 1):
        for some in combinations(spokes, count):
            if not all(apart[pair] for pair in combinations(some, 2)):
                continue
            cuts = shapely.union_all([lines[k].buffer(1e-6, cap_style="flat") for k in some])
            parts = shapely.get_parts(shapely.difference(whole, cuts))
            parts = [p for p in parts if p.area > worth.TINY_MM2]
            if len(parts) != count:
                continue
            total = sum(cost[k] for k in some)
            for part in parts:
                key = np.round(shapely.get_coordinates(shapely.normalize(part)), 2).tobytes()
                if key not in worths:
                    worths[key] = _worth(part, ways, settings)
                total += worths[key]
            best = min(best, total)
    return best


def _worth(part: Any, ways: Ways, settings: SplittingSettings) -> float:
    """What a board is worth by the rectangles along edges and joints; infinite where it does not fit."""
    if not from_outline(tuple(part.exterior.coords)[:-1], ()).fits(settings.box_mm):
        return math.inf
    reach = np.ptp(shapely.get_coordinates(part) @ ways.both, axis=0)
    one = np.ones(1)
    sides = worth.boxed(one * part.area, one * part.length, 0 * one, reach[None, :], settings)
    return float(worth.value(sides, settings, 1.0)[0]) if sides.fits[0] else math.inf


def test_every_loop_tried_by_hand_gives_the_same_cost() -> None:
    feasible = 0
    for seed in range(CASES):
        found, cost, settings = small_case(seed)
        loop, by_hand = best_loop(found, cost, settings), brute(found, cost, settings)
        assert (loop is None) == math.isinf(by_hand), seed
        if loop is None:
            continue
        feasible += 1
        assert loop.cost == pytest.approx(by_hand, abs=1e-3), seed
        areas = [shapely.Polygon(p.rings[0]) for p in loop.pieces]
        assert sum(a.area for a in areas) == pytest.approx(found.piece.area, abs=1.0)
        assert shapely.union_all(areas, grid_size=1e-6).area == pytest.approx(found.piece.area, abs=1.0)
    assert feasible > CASES // 4


def test_a_ring_of_shelves_is_proven_over_all_its_joints(plan_of: Any, cut: Any) -> None:
    """4800 × 3600, shelves 600 deep: area 17.28 − 3.6 × 2.4 = 8.64 m², 12 boards of 1.2 × 0.6 m, no fewer."""
    well = ((600, 600), (600, 3000), (4200, 3000), (4200, 600))
    made, _ = cut(plan_of(((0, 0), (4800, 0), (4800, 3600), (0, 3600)), (well,)))
    (told,) = made.costs
    assert (told.boards, told.proof) == (12, Proof.NET)
    assert len(made.joints) == 12
