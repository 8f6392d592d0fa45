"""Shared geometry by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from boardwright_timber.geometry import (
    Line,
    line_through,
    lower_left_first,
    meet,
    oriented,
    signed_area,
    snap,
    without_repeats,
)

SQUARE = ((0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0))


def test_snap_rounds_to_a_nanometre_and_has_no_negative_zero() -> None:
    assert snap(1.23456789) == 1.234568
    assert math.copysign(1.0, snap(-1e-9)) == 1.0


def test_area_and_orientation() -> None:
    assert signed_area(SQUARE) == 6.0
    turned = oriented(SQUARE, anticlockwise=False)
    assert signed_area(turned) == -6.0
    assert turned[0] == SQUARE[0]
    assert oriented(SQUARE, anticlockwise=True) is SQUARE


def test_lower_left_first_whatever_the_start() -> None:
    """(0, 0) has the least x + y; of (0, 3) and (3, 0) the first has the least x."""
    for k in range(4):
        assert lower_left_first(SQUARE[k:] + SQUARE[:k]) == SQUARE
    diamond = ((3.0, 0.0), (6.0, 3.0), (3.0, 6.0), (0.0, 3.0))
    assert lower_left_first(diamond)[0] == (0.0, 3.0)


def test_repeats_go_also_round_the_corner() -> None:
    assert without_repeats(((0, 0), (0, 1e-7), (1, 0), (1, 1), (0, 0))) == ((0, 0), (1, 0), (1, 1))


def test_a_line_moved_left_of_travel() -> None:
    """Travelling along +x, left is +y."""
    line = line_through((0, 0), (5, 0)).moved_left(12)
    assert (line.x, line.y) == (0, 12)
    assert line.left((3, 20)) == 8
    assert line.along((3, 20)) == 3


def test_turns_are_positive_anticlockwise() -> None:
    east, north = Line(0, 0, 1, 0), Line(0, 0, 0, 1)
    assert east.turn_to(north) == 90
    assert north.turn_to(east) == -90


def test_parallel_lines_do_not_meet_and_a_point_is_no_line() -> None:
    assert meet(Line(0, 0, 1, 0), Line(0, 5, 1, 0)) is None
    with pytest.raises(ValueError, match="two different points"):
        line_through((1, 1), (1, 1))


POINTS = st.tuples(st.floats(-3000, 3000), st.floats(-3000, 3000))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(POINTS, POINTS, POINTS, POINTS)
def test_where_lines_meet_is_on_both(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> None:
    assume(math.dist(a, b) > 1 and math.dist(c, d) > 1)
    p, q = line_through(a, b), line_through(c, d)
    assume(abs(math.sin(math.radians(p.turn_to(q)))) > 0.05)
    at = meet(p, q)
    assert at is not None
    assert abs(p.left(at)) < 1e-6
    assert abs(q.left(at)) < 1e-6
