"""The best row of joints: every row tried by hand gives the same cost; a finer grid hardly helps."""

from __future__ import annotations

import os
import random
from itertools import combinations

import numpy as np
import pytest
import shapely

from boardwright_stages.splitting import chords, worth
from boardwright_stages.splitting.chords import Chords
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.row import best_row, past_wells
from boardwright_stages.splitting.runs import Ways
from boardwright_stages.splitting.settings import SplittingSettings

CASES = 220 if os.environ.get("BOARDWRIGHT_DEEP") else 100


def _small_case(seed: int) -> tuple[Chords, np.ndarray, SplittingSettings]:
    """A tapering or bent shelf or a T, 4 to 6 lines across it at odd angles, a random cost for each."""
    rnd = random.Random(seed)
    length, narrow, wide = rnd.uniform(1500, 3500), rnd.uniform(300, 500), rnd.uniform(300, 700)
    ring = [(0.0, 0.0), (length, 0.0), (length, wide), (0.0, narrow)]
    if seed % 2:  # an L: a second limb upwards at the far end
        ring = [(0.0, 0.0), (length, 0.0), (length, 1400.0), (length - wide, 1400.0), (length - wide, narrow)]
        ring.append((0.0, narrow))
    if seed % 3 == 2:  # a T: a limb upwards in the middle, or a place for a side board
        at, limb = length / 2 - 200, rnd.choice((narrow + 250, 1400.0))
        ring = [(0.0, 0.0), (length, 0.0), (length, narrow), (at + wide, narrow), (at + wide, limb)]
        ring += [(at, limb), (at, narrow), (0.0, narrow)]
    well = rnd.uniform(0.05, 0.5) * length
    hole = ((well, 90.0), (well, 160.0), (well + 70.0, 170.0), (well + 70.0, 90.0))
    piece = from_outline(tuple(ring), (hole,) if seed % 3 == 1 else ())
    lines = []
    if seed % 3 == 2:  # its foot, and a joint to either side of it
        beside = at - rnd.uniform(20, 200), at + wide + rnd.uniform(20, 200)
        lines = [(0.0, 1.0, narrow), *((1.0, 0.0, x) for x in beside)]
    while len(lines) < 4 + seed % 3:
        lean = rnd.choice((0.0, 0.0, rnd.uniform(-0.3, 0.3)))
        if (seed % 2 or seed % 3 == 2) and rnd.random() < 0.3:
            lines.append((lean, 1.0, rnd.uniform(narrow, 1300)))
        else:
            lines.append((1.0, lean, rnd.uniform(200, length - 200)))
    normals = np.array([(a, b) for a, b, _ in lines])
    scale = np.hypot(normals[:, 0], normals[:, 1])
    found = chords.find(piece, normals / scale[:, None], np.array([c for _, _, c in lines]) / scale)
    found = found.pick(past_wells(found))
    cost = np.array([rnd.uniform(0.0, 0.5) for _ in range(len(found))])
    settings = SplittingSettings(max_length_mm=rnd.uniform(700, 1400), max_width_mm=rnd.uniform(600, 750))
    return found, cost, settings


def _brute(found: Chords, cost: np.ndarray, settings: SplittingSettings) -> tuple[float, int]:
    """Every set of joints that do not cross, cut by the geometry library, judged piece by piece.

    The least cost, and how many neighbours a board of that way has at most.
    """
    whole = shapely.Polygon(found.piece.rings[0], found.piece.rings[1:])
    cuts = [shapely.LineString((p, q)) for p, q in zip(found.start, found.end, strict=True)]
    apart = [[not shapely.crosses(a, b) for a in cuts] for b in cuts]
    ring = found.piece.rings[0]
    ways = Ways(np.roll(ring, -1, axis=0) - ring, found.end - found.start)
    worths: dict[bytes, float] = {}
    best, most = np.inf, 0
    for count in range(1, len(found) + 1):
        for some in combinations(range(len(found)), count):
            if not all(apart[i][k] for i, k in combinations(some, 2)):
                continue
            thin = shapely.union_all([cuts[i].buffer(1e-6, cap_style="flat") for i in some])
            parts = shapely.get_parts(shapely.difference(whole, thin))
            parts = [p for p in parts if p.area > worth.TINY_MM2]
            touching = [sum(_shares(cuts[i], p) for i in some) for p in parts]
            if len(parts) != count + 1 or max(touching) > 3:
                continue
            total = sum(cost[i] for i in some)
            for part in parts:
                key = np.round(shapely.get_coordinates(shapely.normalize(part)), 2).tobytes()
                if key not in worths:
                    worths[key] = _worth(part, ways, settings)
                total += worths[key]
            if total < best:
                best, most = total, max(touching)
    return best, most


def _shares(line: shapely.LineString, part: shapely.Polygon) -> bool:
    return bool(part.distance(line.interpolate(0.5, normalized=True)) < 1e-5)


def _worth(part: shapely.Polygon, ways: Ways, settings: SplittingSettings) -> float:
    """What a board is worth by the rectangles along edges and joints; infinite where it does not fit."""
    if not from_outline(tuple(part.exterior.coords)[:-1], ()).fits(settings.box_mm):
        return np.inf
    reach = np.ptp(shapely.get_coordinates(part) @ ways.both, axis=0)
    one = np.ones(1)
    sides = worth.boxed(one * part.area, one * part.length, 0 * one, reach[None, :], settings)
    return float(worth.value(sides, settings, 1.0)[0]) if sides.fits[0] else np.inf


def test_every_row_tried_by_hand_gives_the_same_cost() -> None:
    feasible = branching = wells = 0
    for seed in range(CASES):
        found, cost, settings = _small_case(seed)
        row = best_row(found, cost, settings)
        brute, neighbours = _brute(found, cost, settings)
        assert (row is None) == np.isinf(brute), seed
        if row is not None:
            feasible += 1
            branching += neighbours == 3
            wells += len(found.piece.rings) == 2
            assert row.cost == pytest.approx(brute, abs=1e-4), seed
            made = sum(shapely.Polygon(p.rings[0], p.rings[1:]).area for p in row.pieces)
            assert made == pytest.approx(found.piece.area, abs=1.0)
    assert feasible > CASES // 4  # both answers are met
    assert branching >= 5  # boards with three neighbours
    assert wells >= 5  # a well within one of the boards


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
