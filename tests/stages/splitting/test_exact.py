"""All ways of cutting, tried by hand, cost the same as the search: L, T, U and wide shapes, side boards."""

from __future__ import annotations

import math
import os
import random
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
import shapely
from msgspec.structs import replace
from shapely.affinity import rotate

from boardwright import Notes
from boardwright.plan.model import Outline, Ring, TrackPlan
from boardwright_stages.splitting import chords, junctions, worth
from boardwright_stages.splitting.chords import Chords
from boardwright_stages.splitting.exact import GaveUpError, best_way
from boardwright_stages.splitting.floors import directions_of, least, least_of, points_apart
from boardwright_stages.splitting.keepaway import KeepAway
from boardwright_stages.splitting.piece import Cut, Piece, from_outline
from boardwright_stages.splitting.search import Search, State
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.solving import at_least
from boardwright_stages.splitting.tracks import BREACH_BOARDS, Tracks
from boardwright_stages.splitting.whole import split_plan
from boardwright_timber.model import Proof

CASES = 220 if os.environ.get("BOARDWRIGHT_DEEP") else 80
TABLES = 400 if os.environ.get("BOARDWRIGHT_DEEP") else 15
ALONG = (0.0, math.pi / 4)
MOST_LINES = 5 if os.environ.get("BOARDWRIGHT_DEEP") else 4


class FixedLines(Search):
    """A search that tries the same few lines on every piece."""

    normals: np.ndarray
    offsets: np.ndarray

    def tried(self, piece: Piece, fine: bool = False, wells: bool = False) -> Chords:
        return chords.find(piece, self.normals, self.offsets, wells)


class NoLines(FixedLines):
    """The same search without a line: pieces are boards as they are."""

    def __init__(self, other: Search) -> None:
        self.settings = other.settings

    def tried(self, piece: Piece, fine: bool = False, wells: bool = False) -> Chords:
        return chords.find(piece, np.empty((0, 2)), np.empty(0), wells)


def small_case(seed: int) -> tuple[FixedLines, Piece]:
    """An L, T, U or wide piece and a few lines: at its corners and at random, a few of them leaning."""
    rnd = random.Random(seed)
    a, b, d = rnd.uniform(1200, 2600), rnd.uniform(900, 1900), rnd.uniform(350, 700)
    x = rnd.uniform(200, a - d - 200) if a > d + 400 else 200.0
    ring: Ring = {
        0: ((0, 0), (a, 0), (a, d), (d, d), (d, b), (0, b)),
        1: ((0, 0), (a, 0), (a, d), (x + d, d), (x + d, b), (x, b), (x, d), (0, d)),
        2: ((0, 0), (a, 0), (a, b), (a - d, b), (a - d, d), (d, d), (d, b * 0.8), (0, b * 0.8)),
        3: ((0, 0), (a, 0), (a, b), (0, b * 0.9)),
    }[seed % 4]
    if seed % 4 == 2 and a < 2 * d + 100:
        ring = ((0, 0), (a, 0), (a, b), (0, b))
    piece = from_outline(ring, ())
    lines = []
    for _ in range(rnd.randint(3, MOST_LINES)):
        cx, cy = rnd.choice(ring)
        lean = rnd.choice((0.0, 0.0, 0.0, rnd.uniform(-0.2, 0.2)))
        if rnd.random() < 0.5:
            lines.append((1.0, lean, rnd.choice((cx, rnd.uniform(0, a)))))
        else:
            lines.append((lean, 1.0, rnd.choice((cy, rnd.uniform(0, b)))))
    settings = SplittingSettings(
        max_length_mm=rnd.uniform(1100, 1900),
        max_width_mm=rnd.uniform(650, 1000),
        min_length_mm=rnd.choice((0.0, 250.0)),
        uneven_weight=rnd.uniform(0, 1.0),
        shape_weight=rnd.uniform(0, 1.5),
        max_mass_kg=rnd.choice((None, None, 18.0)),
    )
    plan = TrackPlan(name="Case", drawing_file="", scale_ratio=87.0, outlines=())
    search = FixedLines(settings, KeepAway(plan, settings), Tracks(plan, settings), piece.main_directions)
    normals = np.array([(p, q) for p, q, _ in lines])
    scale = np.hypot(normals[:, 0], normals[:, 1])
    search.normals, search.offsets = normals / scale[:, None], np.array([c for _, _, c in lines]) / scale
    return search, piece


def brute(
    search: FixedLines, shape: shapely.Polygon, met: dict[bytes, float], along: Sequence[float] = ()
) -> float:
    """Least cost over every way to cut a shape: the geometry library cuts, nothing is given up early.

    ``along``: every board lies along one of these angles.
    """
    key = np.unique(np.round(shapely.get_coordinates(shape), 3), axis=0).tobytes()
    if key not in met:
        piece = from_outline(tuple(shape.exterior.coords)[:-1], ())
        settings = search.settings
        fits = worth.fits(piece, settings)
        turned = [rotate(shape, -angle, (0, 0), use_radians=True).bounds for angle in along]
        sizes = [sorted((x1 - x0, y1 - y0)) for x0, y0, x1, y1 in turned]
        long, short = settings.box_mm
        if along and not any(w <= short + 0.01 and length <= long + 0.01 for w, length in sizes):
            fits = False
        best = float(worth.value(worth.whole(piece, settings), settings, 1.0)[0]) if fits else math.inf
        found = search.tried(piece)
        cost = search.judge(found)[0] if len(found) else []
        for i in range(len(found)):
            parts = _parted(shape, found.start[i], found.end[i])
            if len(parts) == 2 and min(p.area for p in parts) > worth.TINY_MM2:
                best = min(best, float(cost[i]) + sum(brute(search, p, met, along) for p in parts))
        met[key] = best
    return met[key]


def _parted(shape: shapely.Polygon, start: Any, end: Any) -> list[shapely.Polygon]:
    cut = shapely.LineString((start, end))
    edges = shapely.snap(shape.exterior, shapely.MultiPoint((start, end)), 1e-5)
    faces = shapely.polygonize([shapely.union_all([edges, cut], grid_size=1e-6)]).geoms
    return [f for f in faces if shape.contains(f.point_on_surface())]


def test_every_way_tried_by_hand_costs_the_same() -> None:
    feasible = side_boards = 0
    for seed in range(CASES):
        search, piece = small_case(seed)
        way = best_way(search, piece, most_pieces=10_000)
        by_hand = brute(search, shapely.Polygon(piece.rings[0]), {})
        assert (way is None) == math.isinf(by_hand), seed
        if way is None:
            continue
        feasible += 1
        assert way.cost == pytest.approx(by_hand, abs=2e-4), seed
        assert sum(p.area for p in way.pieces) == pytest.approx(piece.area, abs=1.0)
        assert all(worth.fits(p, search.settings) for p in way.pieces)
        floor = least(worth.whole(piece, search.settings), search.settings)[0]
        assert floor <= by_hand + 1e-9, seed
        if seed % 8 == 0:  # the bound that is told looks closer, and takes longer
            told = at_least(piece, State((), (), (), (), 0.0, math.inf), search.settings, search.tracks)
            assert floor - 1e-9 <= told <= by_hand + 1e-9, seed
        ends = [p for c in way.cuts for p in (c.start, c.end)]
        edge = shapely.Polygon(piece.rings[0]).exterior
        side_boards += any(edge.distance(shapely.Point(p)) > 1.0 for p in ends)
    assert feasible > CASES // 4
    assert side_boards >= CASES // 40  # joints that end on other joints: no row


def table(seed: int) -> tuple[FixedLines, Piece]:
    """A table wide both ways, every third one an L, every third one with a 45° corner; lines along them."""
    rnd = random.Random(seed)
    columns, rows = 2 if seed % 3 == 2 else rnd.choice((2, 2, 3)), 2
    a, b = columns * rnd.uniform(700, 1300), rows * rnd.uniform(500, 700)
    c, d = rnd.uniform(0.3, 0.6) * a, b / 2 + rnd.uniform(-60, 60)
    ring: Ring = ((0, 0), (a, 0), (a, b), (0, b))
    if seed % 3 == 1:
        ring = ((0, 0), (a, 0), (a, b), (c, b), (c, b - d), (0, b - d))
    if seed % 3 == 2:
        ring = ((0, 0), (a, 0), (a, b / 2), (a - b / 2, b), (0, b))
    piece = from_outline(ring, ())
    across = [k * a / columns + rnd.uniform(-60, 60) for k in range(1, columns)]
    along = [b - d]
    if columns == 2:
        across.append(rnd.choice((c, rnd.uniform(200, a - 200))))
        along += [b / 2 + rnd.uniform(-60, 60)] * rnd.randint(0, 1)
    settings = SplittingSettings(
        max_length_mm=a / columns * rnd.uniform(1.08, 1.4),
        max_width_mm=b / rows * rnd.uniform(1.08, 1.4),
        min_length_mm=rnd.choice((0.0, 250.0)),
        uneven_weight=rnd.uniform(0, 1.5),
        shape_weight=rnd.uniform(0, 1.5),
        joint_length_weight=rnd.uniform(0, 0.5),
        max_mass_kg=rnd.choice((None, None, 16.0)),
    )
    plan = TrackPlan(name="Case", drawing_file="", scale_ratio=87.0, outlines=())
    search = FixedLines(settings, KeepAway(plan, settings), Tracks(plan, settings), piece.main_directions)
    search.normals = np.array([(1.0, 0.0)] * len(across) + [(0.0, 1.0)] * len(along))
    search.offsets = np.array(across + along)
    if seed % 3 == 2:
        search.normals = np.vstack((search.normals, np.full(2, math.sqrt(0.5))))
        search.offsets = np.append(search.offsets, (a + rnd.uniform(-0.2, 0.3) * b) * math.sqrt(0.5))
    return search, piece


def test_every_way_to_cut_a_table_tried_by_hand_costs_the_same_and_no_less_than_told() -> None:
    boards = []
    for seed in range(TABLES):
        search, piece = table(seed)
        settings = search.settings
        along = directions_of(piece)
        assert along == pytest.approx((0.0, math.pi / 4) if seed % 3 == 2 else (0.0,))
        way = best_way(search, piece, most_pieces=10_000, along=along)
        by_hand = brute(search, shapely.Polygon(piece.rings[0]), {}, along)
        assert (way is None) == math.isinf(by_hand), seed
        if way is None:
            continue
        boards.append(len(way.pieces))
        assert way.cost == pytest.approx(by_hand, abs=2e-4), seed
        assert least_of(piece, settings, along) <= by_hand + 1e-9, seed
        assert best_way(search, piece, 10_000, by_hand - 2e-4, along) is None
    assert len(boards) > TABLES // 2
    assert sum(n >= 4 for n in boards) > TABLES // 3


def with_room(
    search: FixedLines,
    waiting: tuple[shapely.Polygon, ...],
    made: tuple[float, tuple[Cut, ...]],
    best: float,
    known: dict[bytes, Any],
) -> float:
    """Least cost over every way, one after the other, whose joints' ends leave room for bolts."""
    spent, cuts = made
    if spent >= best:
        return best
    if not waiting:
        return best if junctions.cost_of(cuts, (), search.settings.shortest_joint_mm or 0.0) else spent
    shape, rest = waiting[0], waiting[1:]
    key = np.unique(np.round(shapely.get_coordinates(shape), 3), axis=0).tobytes()
    if key not in known:
        found = search.tried(from_outline(tuple(shape.exterior.coords)[:-1], ()))
        cost = search.judge(found)[0].tolist() if len(found) else []
        ends = [(tuple(p), tuple(q)) for p, q in zip(found.start.tolist(), found.end.tolist(), strict=True)]
        parts = [_parted(shape, p, q) for p, q in ends]
        known[key] = [(c, Cut(*e), p) for c, e, p in zip(cost, ends, parts, strict=True) if len(p) == 2]
    alone = brute(NoLines(search), shape, {}, ALONG)
    best = with_room(search, rest, (spent + alone, cuts), best, known)
    for cost, cut, parts in known[key]:
        best = with_room(search, (*parts, *rest), (spent + cost, (*cuts, cut)), best, known)
    return best


def test_every_way_that_leaves_room_for_bolts_tried_by_hand_costs_the_same() -> None:
    """Cuts on either side of another one end corner to corner or far enough apart."""
    dearer = 0
    for seed in range(12 if os.environ.get("BOARDWRIGHT_DEEP") else 2):
        search, piece = table(3 * seed + 2)
        search.settings = replace(search.settings, shortest_joint_mm=150.0)
        search.normals = np.vstack((search.normals, search.normals[0]))
        search.offsets = np.append(search.offsets, search.offsets[0] - 100.0)
        way = best_way(search, piece, 10_000, along=ALONG)
        by_hand = with_room(search, (shapely.Polygon(piece.rings[0]),), (0.0, ()), BREACH_BOARDS, {})
        assert (way is None or way.cost >= BREACH_BOARDS) == (by_hand == BREACH_BOARDS), seed
        if way is not None and by_hand < BREACH_BOARDS:
            assert way.cost == pytest.approx(by_hand, abs=2e-4), seed
            dearer += by_hand > brute(search, shapely.Polygon(piece.rings[0]), {}, ALONG) + 1e-3
    assert dearer  # where the cheapest cuts leave too little


def test_a_table_of_four_boards_is_proven_and_one_of_nine_nearly() -> None:
    """2000 × 1300 mm: no board of 1200 × 750 mm along its edges holds two of its corners."""
    (four,) = split(((0, 0), (2000, 0), (2000, 1300), (0, 1300))).costs
    assert (four.proof, four.boards, four.at_least) == (Proof.WAYS, 4, four.cost)
    (nine,) = split(((0, 0), (3300, 0), (3300, 2200), (0, 2200)), prove_pieces=0).costs
    assert (nine.proof, nine.boards) == (Proof.NONE, 9)
    assert 0.99 * nine.cost < nine.at_least <= nine.cost


def test_a_table_with_a_corner_at_45_degrees_is_proven_along_its_directions() -> None:
    """2300 × 1300 mm, 400 mm of a corner cut off: no board along 0° or 45° holds two of four corners."""
    (told,) = split(((0, 0), (2300, 0), (2300, 900), (1900, 1300), (0, 1300)), step_mm=50.0).costs
    assert (told.proof, told.boards) == (Proof.ALONG, 4)
    assert told.at_least < told.cost  # boards and joints at any angle: less is known


def test_a_wide_tapering_table_is_proven_along_its_directions() -> None:
    (told,) = split(((0, 0), (2200, 0), (2200, 1300), (0, 1220)), step_mm=100.0).costs
    assert (told.proof, told.boards) == (Proof.ALONG, 4)


def test_a_tapering_table_is_cut_into_no_shard() -> None:
    """A row of joints would leave a splinter at the wide end, as 1300 mm are more than a board is long."""
    made = split(((0, 0), (2000, 0), (2000, 1300), (0, 1000)), prove_pieces=0)
    assert len(made.boards) == 4
    assert min(b.width_mm for b in made.boards) > 400


def test_points_along_a_long_shelf_are_counted_too() -> None:
    """20 m of shelf: its ends, and points 1200 mm apart between them, are 17; no board holds two."""
    shelf = from_outline(((0, 0), (20_000, 0), (20_000, 600), (0, 600)), ())
    assert points_apart(shelf, (1200.0, 750.0), (0.0,)) == 17


def test_the_search_gives_up_where_more_pieces_than_allowed_are_met() -> None:
    search, piece = small_case(1)
    with pytest.raises(GaveUpError):
        best_way(search, piece, most_pieces=0)


def split(ring: Ring, **settings: float) -> Any:
    plan = TrackPlan(name="Case", drawing_file="", scale_ratio=87.0, outlines=(Outline(id="A", ring=ring),))
    return split_plan(plan, SplittingSettings(**settings), Notes())


def test_what_a_splitting_costs_is_told_with_what_it_is_proven_over() -> None:
    (whole,) = split(((0, 0), (900, 0), (900, 500), (0, 500))).costs
    assert (whole.proof, whole.boards, whole.at_least) == (Proof.WHOLE, 1, whole.cost)
    (few,) = split(((0, 0), (2000, 0), (2000, 500), (0, 500))).costs
    assert (few.proof, few.boards, few.at_least) == (Proof.WAYS, 2, few.cost)
    (row,) = split(((0, 0), (9000, 0), (9000, 500), (0, 500))).costs
    assert (row.proof, row.boards) == (Proof.ROWS, 8)
    # 9000 × 500 of 1200 × 750 is 5 boards by area, 9000 mm by a diagonal of 1415 mm is 7
    assert 7 < row.at_least <= row.cost
    (far,) = split(((0, 0), (9000, 0), (9000, 1400), (8000, 1400), (8000, 500), (0, 500))).costs
    assert far.at_least <= far.cost
