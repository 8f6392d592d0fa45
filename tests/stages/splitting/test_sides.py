"""Side boards: every way tried by hand to part a shelf with a wider place gives the same cost."""

from __future__ import annotations

import math
import os
import random
from itertools import combinations
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from boardwright.plan.model import TrackPlan
from boardwright_stages.splitting import chords, worth
from boardwright_stages.splitting.chords import Chords
from boardwright_stages.splitting.keepaway import KeepAway
from boardwright_stages.splitting.piece import Cut, Piece, from_outline
from boardwright_stages.splitting.runs import Ways
from boardwright_stages.splitting.search import Search
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.sides import Foot
from boardwright_stages.splitting.slices import Slices
from boardwright_stages.splitting.tracks import Tracks
from boardwright_timber.model import Proof

CASES = 220 if os.environ.get("BOARDWRIGHT_DEEP") else 36
NEAR_MM = 1e-3


class FixedLines(Search):
    """A search that tries the same few lines on every piece."""

    normals: np.ndarray
    offsets: np.ndarray

    def lines(self, piece: Piece, fine: bool = False) -> tuple[np.ndarray, np.ndarray]:
        return self.normals, self.offsets


def small_case(seed: int) -> tuple[FixedLines, Piece]:
    """A shelf with a wider place in its front; its foot and 3 lines, most of them across the shelf."""
    rnd = random.Random(seed)
    length, deep = rnd.uniform(1700, 2600), rnd.uniform(350, 600)
    left, wide, more = rnd.uniform(250, 600), rnd.uniform(700, 1000), rnd.uniform(300, 600)
    right = min(left + wide, length - 250)
    ring = (
        (0.0, 0.0),
        (length, 0.0),
        (length, deep),
        (right, deep),
        (right, deep + more),
        (left, deep + more),
        (left, deep),
        (0.0, deep),
    )
    lines = [(0.0, 1.0, deep)]
    for _ in range(3):
        lean = rnd.choice((0.0, 0.0, rnd.uniform(-0.1, 0.1)))
        x = rnd.choice((rnd.uniform(200, length - 200), rnd.uniform(left + 150, right - 150), left, right))
        lines.append((1.0, lean, x + lean * deep if x in (left, right) else x))
    settings = SplittingSettings(
        max_length_mm=rnd.uniform(1000, 1300),
        max_width_mm=rnd.uniform(620, 750),
        min_length_mm=0.0,
        shortest_joint_mm=0.0,
        roomy_joint_mm=0.0,
        uneven_weight=rnd.uniform(0, 1.0),
        shape_weight=rnd.uniform(0, 2.0),
    )
    piece = from_outline(ring, ())
    plan = TrackPlan(name="Case", drawing_file="", scale_ratio=87.0, outlines=())
    search = FixedLines(settings, KeepAway(plan, settings), Tracks(plan, settings), piece.main_directions)
    normals = np.array([(p, q) for p, q, _ in lines])
    scale = np.hypot(normals[:, 0], normals[:, 1])
    search.normals, search.offsets = normals / scale[:, None], np.array([c for _, _, c in lines]) / scale
    return search, piece


def brute(search: FixedLines, piece: Piece) -> tuple[float, bool]:
    """Least cost over all rows and branches, and all that end on the foot; does one of these cost least?"""
    found, cost = joints(search, piece)
    plain = rows(search, piece, found, cost, ())
    best, deep = math.inf, float(piece.rings[0][2][1])
    for k in range(len(found)):
        if abs(found.start[k][1] - deep) + abs(found.end[k][1] - deep) > NEAR_MM:
            continue
        parts, cut = piece.cut(*found.nodes(k))
        place, rest = sorted(parts, key=lambda p: -float(p.xy[:, 1].min()))
        if place.area > min(6 * math.prod(search.settings.box_mm), found.length[k] ** 2 + 1.0):
            continue
        aside = rows(search, place, *joints(search, place), ())
        beside, price = joints(search, rest)
        whole = {ends_of(found, i): float(cost[i]) for i in range(len(found))}
        price = np.array([whole.get(ends_of(beside, i), float(price[i])) for i in range(len(beside))])
        ends = tuple(i for i in range(len(beside)) if on(beside.start[i], cut) != on(beside.end[i], cut))
        best = min(best, float(cost[k]) + aside + rows(search, rest, beside, price, ends))
    return min(plain, best), best < plain - NEAR_MM


def joints(search: FixedLines, piece: Piece) -> tuple[Chords, np.ndarray]:
    found = chords.find(piece, search.normals, search.offsets)
    if not len(found):
        return found, np.zeros(0)
    cost, _, sound = search.judge(found)
    return found.pick(sound), cost[sound]


def ends_of(found: Chords, k: int) -> tuple[float, ...]:
    return (*np.round(found.start[k], 3).tolist(), *np.round(found.end[k], 3).tolist())


def on(p: Any, cut: Cut) -> bool:
    """Is a point on the foot, not at one of its ends?"""
    line = shapely.LineString((cut.start, cut.end))
    return line.distance(shapely.Point(p)) < NEAR_MM < line.boundary.distance(shapely.Point(p))


def rows(search: FixedLines, piece: Piece, found: Chords, cost: np.ndarray, ends: tuple[int, ...]) -> float:
    """Every set of joints that do not cross, cut by the geometry library, judged piece by piece.

    ``ends``: joints of which at least one must be there, and that bound no board with three joints.
    """
    whole, ring = shapely.Polygon(piece.rings[0]), piece.rings[0]
    ways = Ways(np.roll(ring, -1, axis=0) - ring, found.end - found.start)
    worths: dict[bytes, float] = {}
    best = board(search, whole, ways) if not ends else math.inf
    cuts = [shapely.LineString((p, q)) for p, q in zip(found.start, found.end, strict=True)]
    apart = [[not shapely.crosses(a, b) for a in cuts] for b in cuts]
    for count in range(1, len(found) + 1):
        for some in combinations(range(len(found)), count):
            if ends and not set(some) & set(ends):
                continue
            if not all(apart[i][k] for i, k in combinations(some, 2)):
                continue
            thin = shapely.union_all([cuts[i].buffer(1e-6, cap_style="flat") for i in some])
            parts = shapely.get_parts(shapely.difference(whole, thin))
            parts = [p for p in parts if p.area > worth.TINY_MM2]
            if len(parts) != count + 1:
                continue
            total = float(cost[list(some)].sum())
            for part in parts:
                key = np.round(shapely.get_coordinates(shapely.normalize(part)), 2).tobytes()
                if key not in worths:
                    worths[key] = board(search, part, ways)
                touching = [
                    i for i in some if part.distance(cuts[i].interpolate(0.5, normalized=True)) < 1e-5
                ]
                many = len(touching) > (2 if set(touching) & set(ends) else 3)
                total += math.inf if many else worths[key]
            best = min(best, total)
    return best


def board(search: FixedLines, part: Any, ways: Ways) -> float:
    """What a board is worth by the rectangles along edges and joints; infinite where it does not fit."""
    if not from_outline(tuple(part.exterior.coords)[:-1], ()).fits(search.settings.box_mm):
        return math.inf
    reach = np.ptp(shapely.get_coordinates(part) @ ways.both, axis=0)
    one = np.ones(1)
    sides = worth.boxed(one * part.area, one * part.length, 0 * one, reach[None, :], search.settings)
    return float(worth.value(sides, search.settings, 1.0)[0]) if sides.fits[0] else math.inf


def test_every_way_with_a_side_board_tried_by_hand_costs_the_same() -> None:
    feasible = with_foot = 0
    for seed in range(CASES):
        search, piece = small_case(seed)
        by_hand, ends_on_foot = brute(search, piece)
        row, _ = search.joined(*search.joints(piece, ()))
        assert (row is None) == math.isinf(by_hand), seed
        if row is None:
            continue
        feasible += 1
        with_foot += ends_on_foot
        assert row.cost == pytest.approx(by_hand, abs=1e-3), seed
        assert sum(p.area for p in row.pieces) == pytest.approx(piece.area, abs=1.0)
    assert feasible > CASES // 4
    assert with_foot >= 5  # boards that meet a side board's long edge: no row


def test_a_yard_on_a_shelf_is_side_boards_along_its_foot(plan_of: Any, cut: Any) -> None:
    """6000 × 600 with a yard 2400 × 600 in front: 2.4 m² more than 3.6 m² of shelf: 5 + 2 boards, no fewer.

    Shelf 5 × 1200; the yard is two boards of 1200, whose joint may meet one of the shelf's at a point.
    """
    ring = ((0, 0), (6000, 0), (6000, 600), (4300, 600), (4300, 1200), (1900, 1200), (1900, 600), (0, 600))
    made, _ = cut(plan_of(ring))
    assert len(made.boards) == 7
    (told,) = made.costs
    assert told.proof is Proof.ROWS


def test_a_foot_with_no_joint_beside_it_has_no_pairs() -> None:
    """As on what is left of a piece once the foot is cut, where no line would part it well."""
    none = np.empty(0, dtype=np.intp)
    foot = Foot(joint=0, slices=cast(Slices, SimpleNamespace(order=none)), own=none, known=none)
    assert [len(part) for part in foot.pairs()] == [0, 0, 0]
