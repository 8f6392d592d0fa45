"""No way has fewer boards than told: against boxes laid by hand, boards that were cut, and known shapes."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely

from boardwright.plan.model import Outline, Ring, Track, TrackPlan
from boardwright_stages.splitting import holding
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.tracks import Tracks

LONG, SHORT = 1200.0, 750.0
BEND: Ring = ((0, 0), (2600, 0), (2600, 500), (1200, 500), (1200, 1800), (500, 1800), (500, 500), (0, 400))
WELL: Ring = ((700, 100), (1000, 100), (1000, 350), (700, 350))


def strip(length: float, width: float, turned_deg: float = 0.0) -> Ring:
    c, s = math.cos(math.radians(turned_deg)), math.sin(math.radians(turned_deg))
    return tuple(
        (x * c - y * s, x * s + y * c) for x, y in ((0, 0), (length, 0), (length, width), (0, width))
    )


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.2, 2.9])
def test_areas_in_cells_are_exact(turn: float) -> None:
    """Each cell against the geometry library, for a bend with a well, turned."""
    shape = shapely.Polygon(BEND, [WELL])
    corner, cells = holding._cells(holding._edges(shape), turn, 40.0)
    turned = shapely.transform(
        shape, lambda p: p @ np.array(((math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))))
    )
    for row in range(0, cells.shape[0], 5):
        for column in range(0, cells.shape[1], 5):
            x, y = corner + np.array((column, row)) * 40.0
            there = shapely.clip_by_rect(turned, x, y, x + 40.0, y + 40.0).area
            assert cells[row, column] == pytest.approx(there, abs=1e-3)
    assert cells.sum() == pytest.approx(shape.area)


@pytest.mark.parametrize("turned", [0.0, 31.0])
def test_a_shelf_narrower_than_a_board_needs_boards_by_its_length(turned: float) -> None:
    """6000 × 600 mm: 5 of 1200 mm; by area of 1200 × 750 mm it would be 4. Never more than 5, and near it."""
    told = holding.boards_at_least(from_outline(strip(6000, 600, turned), ()), LONG, SHORT)
    assert 4.5 < told <= 5.0


def test_one_box_is_one_board_and_a_grid_is_as_many() -> None:
    assert holding.boards_at_least(from_outline(strip(LONG, SHORT), ()), LONG, SHORT) <= 1.0
    grid = holding.boards_at_least(from_outline(strip(3 * LONG, 2 * SHORT), ()), LONG, SHORT)
    assert 5.4 < grid <= 6.0


def test_no_box_laid_at_random_holds_more_than_its_share() -> None:
    """∫ 1/H over what a box holds is at most 1: boards cut off a bend, each told alone, say so together."""
    rnd = random.Random(5)
    shape = shapely.Polygon(BEND, [WELL])
    whole = holding.boards_at_least(from_outline(BEND, (WELL,)), LONG, SHORT)
    for _ in range(25):
        # boxes at random places and angles until the bend is used up: as many as were needed
        left, used = shape, 0
        while left.area > 1.0:
            at = left.representative_point()
            box = shapely.box(-LONG / 2, -SHORT / 2, LONG / 2, SHORT / 2)
            a, dx, dy = rnd.uniform(0, math.pi), rnd.uniform(-300, 300), rnd.uniform(-200, 200)
            matrix = np.array(((math.cos(a), math.sin(a)), (-math.sin(a), math.cos(a))))
            laid = shapely.transform(box, lambda p, m=matrix, o=(at.x + dx, at.y + dy): p @ m + o)
            left, used = shapely.difference(left, laid), used + 1
        assert used >= whole - 1e-9
    assert whole > shape.area / (LONG * SHORT)  # it says more than the area alone


def test_large_layouts_are_looked_at_in_tiles() -> None:
    """A hundred metres: 100000 / 1200 = 83.3 boards."""
    told = holding.boards_at_least(from_outline(strip(100_000, 600), ()), LONG, SHORT)
    assert 75 < told <= 83.4
    # too large to say: more tiles than are looked at
    assert holding.boards_at_least(from_outline(strip(90_000, 90_000), ()), LONG, SHORT) == 0.0


def test_tracks_must_be_cut_where_they_reach_farther_than_a_board() -> None:
    """6000 mm of track and boards of at most hypot(1200, 750) = 1415 mm: 4 strides, so 4 cuts at least."""
    tracks = (
        Track(id="K1", points=((0, 100), (6000, 100))),
        Track(id="K2", points=((0, 200), (1400, 200))),
        Track(id="K3", points=((-5000, 300), (1000, 300))),  # mostly off the board
    )
    outline = Outline(id="A", ring=strip(6000, 600))
    plan = TrackPlan(name="Case", drawing_file="", scale_ratio=87.0, outlines=(outline,), tracks=tracks)
    piece = from_outline(outline.ring, ())
    assert Tracks(plan, SplittingSettings()).cuts_at_least(piece, math.hypot(LONG, SHORT)) == 4
