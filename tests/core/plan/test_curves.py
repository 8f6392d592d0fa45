"""Flattening keeps its chord error, on the true curve."""

from __future__ import annotations

import math
from itertools import pairwise

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import curves
from boardwright.plan.settings import DrawingSettings


@given(
    radius=st.floats(0.5, 5000),
    start=st.floats(-7, 7),
    sweep=st.floats(-2 * math.pi, 2 * math.pi).filter(lambda s: abs(s) > 1e-3),
    error=st.floats(0.005, 1),
)
@settings(deadline=None, max_examples=80, derandomize=True)
def test_arc_pieces_stray_no_farther_than_the_error(
    radius: float, start: float, sweep: float, error: float
) -> None:
    points = curves.arc((10, -20), radius, start, sweep, error)
    for a, b in pairwise(points):
        assert math.dist(a, (10, -20)) == pytest.approx(radius)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        assert radius - math.dist(middle, (10, -20)) <= max(error, radius * 1e-9) * (1 + 1e-6)


def test_number_of_pieces_by_hand() -> None:
    # r = 500, error 0.05: step = 2·acos(1 − 0.05/500) = 2·acos(0.9999) = 0.028284 rad;
    # a quarter circle is 1.570796 rad: 1.570796 / 0.028284 = 55.5, so 56 pieces.
    assert curves.pieces(500, math.pi / 2, 0.05) == 56


def test_bulge_one_is_a_half_circle_to_the_right_of_its_chord_when_positive() -> None:
    # Bulge 1 = tan(180°/4). From (0,0) to (200,0), anticlockwise: through (100,-100).
    points = curves.bulge_arc((0, 0), (200, 0), 1.0, 0.01)
    assert points[-1] == (200, 0)
    assert min(y for _, y in points) == pytest.approx(-100, abs=0.01)
    assert all(math.dist(p, (100, 0)) == pytest.approx(100) for p in points)
    other = curves.bulge_arc((0, 0), (200, 0), -1.0, 0.01)
    assert max(y for _, y in other) == pytest.approx(100, abs=0.01)


@given(bulge=st.floats(-5, 5).filter(lambda b: abs(b) > 1e-3))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_bulge_height_is_bulge_times_half_the_chord(bulge: float) -> None:
    # Sagitta of an arc of bulge b on a chord c: b·c/2, right of the chord for positive b.
    points = [(0.0, 0.0), *curves.bulge_arc((0, 0), (100, 0), bulge, 1e-3)]
    deepest = max(points, key=lambda p: abs(p[1]))
    assert deepest[1] == pytest.approx(-bulge * 50, abs=1.1e-3)


def test_ellipse_lies_on_itself() -> None:
    for x, y in curves.ellipse((0, 0), (300, 0), (0, 100), 0, 2 * math.pi, 0.05):
        assert (x / 300) ** 2 + (y / 100) ** 2 == pytest.approx(1)


def test_far_too_large_an_arc_is_refused() -> None:
    with pytest.raises(curves.TooManyPiecesError):
        curves.pieces(1e12, 6.28, 0.05)
    with pytest.raises(ValueError, match="finite"):
        curves.pieces(math.nan, 1, 0.05)


@pytest.mark.parametrize("error_mm", [0.0, 1e-7, 0.0009, -1.0, 5.1])
def test_a_chord_error_nobody_can_cut_to_is_refused(error_mm: float) -> None:
    """Below a thousandth of a millimetre curves become thousands of pieces, and no saw is the better."""
    with pytest.raises(msgspec.ValidationError, match="chord_error_mm"):
        msgspec.convert({"chord_error_mm": error_mm}, DrawingSettings)
