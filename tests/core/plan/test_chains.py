"""Loose pieces close to rings, whatever their order and direction."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan.chains import assemble
from boardwright.plan.rings import area, ring

CORNERS = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (150.0, 350.0), (0.0, 300.0)]
SIDES = [(CORNERS[i], CORNERS[(i + 1) % 5]) for i in range(5)]


@given(seed=st.integers(0, 10_000))
@settings(deadline=None, max_examples=50, derandomize=True)
def test_order_direction_and_small_gaps_do_not_matter(seed: int) -> None:
    luck = random.Random(seed)

    def near(p: tuple[float, float]) -> tuple[float, float]:
        a = luck.uniform(0, 2 * math.pi)
        return (p[0] + 0.04 * math.cos(a), p[1] + 0.04 * math.sin(a))

    pieces = [(near(a), near(b)) for a, b in SIDES]
    pieces = [p if luck.random() < 0.5 else p[::-1] for p in luck.sample(pieces, 5)]
    made = assemble(pieces, 0.1)
    assert len(made.rings) == 1
    assert not made.loose
    # Each corner moved by at most 0.04 mm: area error ≤ perimeter × 0.04 = 1460 × 0.04 = 58 mm²
    assert area(ring(made.rings[0].points)) == pytest.approx(area(CORNERS), abs=58.4)
    assert all(width <= 0.08 for _, width in made.gaps)


def test_exact_corners_stay_exact() -> None:
    made = assemble(SIDES, 0.1)
    assert ring(made.rings[0].points) == tuple(CORNERS)
    assert made.gaps == ()


def test_a_gap_wider_than_the_tolerance_stays_open() -> None:
    pieces = [*SIDES[:4], ((0.0, 300.0), (0.0, 0.2))]
    made = assemble(pieces, 0.1)
    assert not made.rings
    assert sorted((made.loose[0].points[0], made.loose[0].points[-1])) == [(0.0, 0.0), (0.0, 0.2)]
    assert assemble(pieces, 0.2).rings


def test_a_side_drawn_twice_is_used_once() -> None:
    made = assemble([*SIDES, SIDES[2][::-1]], 0.1)
    assert len(made.rings) == 1
    assert made.doubles == (5,)


def test_two_arcs_with_the_same_ends_are_not_doubles() -> None:
    upper = [(math.cos(a) * 50, math.sin(a) * 50) for a in (0, 1, 2, math.pi)]
    lower = [(x, -y) for x, y in upper]
    assert len(assemble([upper, lower], 0.1).rings) == 1


def test_a_branch_is_told() -> None:
    made = assemble([*SIDES, ((400.0, 300.0), (600.0, 300.0))], 0.1)
    assert made.branches == ((400.0, 300.0),)


def test_a_wide_tolerance_does_not_swallow_a_short_piece() -> None:
    # A 5 mm chamfer with a 10 mm tolerance: its ends are exact, so it is kept.
    pieces = [
        ((0.0, 0.0), (95.0, 0.0)),
        ((95.0, 0.0), (100.0, 5.0)),
        ((100.0, 5.0), (100.0, 100.0)),
        ((100.0, 100.0), (0.0, 0.0)),
    ]
    made = assemble(pieces, 10)
    assert len(made.rings) == 1
    assert len(made.rings[0].points) == 4
