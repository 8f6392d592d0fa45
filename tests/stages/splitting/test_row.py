"""The best row of joints: every row tried by hand gives the same cost; a finer grid hardly helps."""

from __future__ import annotations

import random
from itertools import combinations

import numpy as np
import pytest
import shapely

from boardwright_stages.splitting import chords, worth
from boardwright_stages.splitting.chords import Chords
from boardwright_stages.splitting.piece import Piece, from_outline
from boardwright_stages.splitting.row import best_row
from boardwright_stages.splitting.settings import SplittingSettings

CASES = 220


def _small_case(seed: int) -> tuple[Chords, np.ndarray, SplittingSettings]:
    """A tapering or bent shelf, 4 to 7 straight lines across it at odd angles, a random cost for each."""
    rnd = random.Random(seed)
    length, narrow, wide = rnd.uniform(1500, 3500), rnd.uniform(300, 500), rnd.uniform(300, 700)
    ring = [(0.0, 0.0), (length, 0.0), (length, wide), (0.0, narrow)]
    if seed % 2:  # an L: a second limb upwards at the far end
        ring = [(0.0, 0.0), (length, 0.0), (length, 1400.0), (length - wide, 1400.0), (length - wide, narrow)]
        ring.append((0.0, narrow))
    piece = from_outline(tuple(ring), ())
    lines = []
    for _ in range(rnd.randint(4, 7)):
        lean = rnd.choice((0.0, 0.0, rnd.uniform(-0.3, 0.3)))
        if seed % 2 and rnd.random() < 0.4:
            lines.append((lean, 1.0, rnd.uniform(narrow, 1300)))
        else:
            lines.append((1.0, lean, rnd.uniform(200, length - 200)))
    normals = np.array([(a, b) for a, b, _ in lines])
    scale = np.hypot(normals[:, 0], normals[:, 1])
    found = chords.find(piece, normals / scale[:, None], np.array([c for _, _, c in lines]) / scale)
    cost = np.array([rnd.uniform(0.0, 0.5) for _ in range(len(found))])
    settings = SplittingSettings(max_length_mm=rnd.uniform(700, 1400), max_width_mm=rnd.uniform(600, 750))
    return found, cost, settings


def _brute(found: Chords, cost: np.ndarray, settings: SplittingSettings) -> float:
    """Every subset of the joints that makes a row, cut by the geometry library, judged piece by piece."""
    whole = shapely.Polygon(found.piece.rings[0])
    best = np.inf
    for count in range(1, len(found) + 1):
        for some in combinations(range(len(found)), count):
            cuts = [shapely.LineString((found.start[i], found.end[i])) for i in some]
            if any(shapely.crosses(a, b) for a, b in combinations(cuts, 2)):
                continue
            edges = shapely.union_all([whole.exterior, *(_longer(c) for c in cuts)])
            parts = [p for p in shapely.polygonize([edges]).geoms if whole.contains(p.point_on_surface())]
            touching = [sum(c.distance(p) < 1e-6 and _shares(c, p) for c in cuts) for p in parts]
            if len(parts) != count + 1 or max(touching) > 2:
                continue
            pieces = [from_outline(tuple(p.exterior.coords)[:-1], ()) for p in parts]
            if all(p.fits(settings.box_mm) for p in pieces):
                best = min(best, sum(cost[i] for i in some) + sum(_worth(p, settings) for p in pieces))
    return best


def _longer(line: shapely.LineString) -> shapely.LineString:
    (ax, ay), (bx, by) = line.coords
    far = 1e-7 / line.length
    dx, dy = (bx - ax) * far, (by - ay) * far
    return shapely.LineString(((ax - dx, ay - dy), (bx + dx, by + dy)))


def _shares(line: shapely.LineString, part: shapely.Polygon) -> bool:
    return bool(part.distance(line.interpolate(0.5, normalized=True)) < 1e-6)


def _worth(piece: Piece, settings: SplittingSettings) -> float:
    return float(worth.value(worth.whole(piece, settings), settings, 1.0)[0])


def test_every_row_tried_by_hand_gives_the_same_cost() -> None:
    feasible = 0
    for seed in range(CASES):
        found, cost, settings = _small_case(seed)
        row, brute = best_row(found, cost, settings), _brute(found, cost, settings)
        assert (row is None) == np.isinf(brute), seed
        if row is not None:
            feasible += 1
            assert row.cost == pytest.approx(brute, abs=1e-4), seed
            made = sum(shapely.area(shapely.polygons(p.rings[0])) for p in row.pieces)
            assert made == pytest.approx(found.piece.area, abs=1.0)
    assert feasible > CASES // 4  # both answers are met


@pytest.mark.parametrize("length", [3100.0, 4700.0, 7300.0])
def test_half_the_step_changes_the_cost_by_less_than_a_hundredth(length: float) -> None:
    piece = from_outline(((0.0, 0.0), (length, 0.0), (length, 600.0), (0.0, 450.0)), ())
    settings = SplittingSettings(max_length_mm=1300.0)
    costs = []
    for step in (settings.step_mm, settings.step_mm / 2):
        offsets = np.arange(step, length, step)
        found = chords.find(piece, np.tile((1.0, 0.0), (len(offsets), 1)), offsets)
        # a cost that changes along the shelf: it is dearest at every metre
        cost = 0.2 + 0.1 * np.cos(found.start[:, 0] / 1000 * 2 * np.pi)
        row = best_row(found, cost, settings)
        assert row is not None
        costs.append(row.cost)
    assert costs[1] <= costs[0] + 1e-9
    assert costs[0] - costs[1] < 0.01 * costs[0]
