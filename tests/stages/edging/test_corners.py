"""Ends of two strips at a corner: by hand, and for any corner proved on the two shapes."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from boardwright_stages.edging.corners import Ext, Strip, alone, meeting

MANY = settings(max_examples=200, deadline=None, derandomize=True)
T = 4.0
LONG = 500.0


@pytest.mark.parametrize(
    ("turn", "past", "other"),
    [
        # outer, square: one runs on by the other's thickness and covers its end
        (90.0, (4.0, 4.0), (0.0, 0.0)),
        # inner, square: one reaches the edge beyond, the other ends at its face
        (-90.0, (0.0, 0.0), (-4.0, -4.0)),
        # outer, 60°: both mitred at 30°: 4 tan 30° = 2.309
        (60.0, (0.0, 2.3094), (0.0, 2.3094)),
        (-60.0, (0.0, -2.3094), (0.0, -2.3094)),
        # outer, a sharp corner of 60°, the edge turns by 120°: 4 / sin 120° = 4.619, 4 cot 60° = 2.309
        (120.0, (4.6188, 4.6188), (0.0, 2.3094)),
    ],
)
def test_by_hand(turn: float, past: tuple[float, float], other: tuple[float, float]) -> None:
    found = meeting(turn, Strip(T, True), Strip(T, True))
    for ext, wanted in zip(found, (past, other), strict=True):
        assert ext == pytest.approx(wanted, abs=1e-4)


def test_bent_strips_are_cut_square_and_stay_apart() -> None:
    past, other = meeting(60.0, Strip(T, False), Strip(T, True))
    assert past == other == Ext(0.0, 0.0)  # open outside by a wedge, filled
    past, other = meeting(-60.0, Strip(T, True), Strip(T, False))
    assert past == other == pytest.approx((-2.3094, -2.3094), abs=1e-4)


def test_a_thick_backscene_covers_the_end_of_a_thin_fascia() -> None:
    """6.5 mm past the corner of a board whose fascia is 4 mm thick: 4 mm beyond at an outer corner. At an
    inner one the fascia ends at the backscene's face: 6.5 mm before."""
    past, other = meeting(90.0, Strip(6.5, True), Strip(4.0, True))
    assert (past, other) == (pytest.approx((4.0, 4.0)), pytest.approx((0.0, 0.0)))
    past, other = meeting(-90.0, Strip(6.5, True), Strip(4.0, True))
    assert (past, other) == (pytest.approx((0.0, 0.0)), pytest.approx((-6.5, -6.5)))


thicknesses = st.floats(1, 18)


@MANY
@given(st.floats(16, 160), st.sampled_from([-1, 1]), thicknesses, thicknesses, st.booleans(), st.booleans())
@example(60.0, 1, 4.0, 4.0, True, True)
@example(30.0, -1, 6.5, 6.5, True, True)
def test_any_corner(turn: float, way: int, thick: float, its: float, first: bool, second: bool) -> None:
    """A strip along the x axis to (0, 0) and one on from there: neither is in the other or in the board."""
    turn *= way
    past, other = meeting(turn, Strip(thick, first), Strip(its, second))
    one = strip((-LONG, 0.0), (0.0, 0.0), thick, Ext(0.0, 0.0), past)
    a = math.radians(turn)
    end = (LONG * math.cos(a), LONG * math.sin(a))
    two = strip((0.0, 0.0), end, its, other, Ext(0.0, 0.0))
    assert one.is_valid
    assert two.is_valid
    assert one.intersection(two).area < 1e-6
    if first and second and abs(abs(turn) - 90) <= 15:
        assert one.distance(two) < 1e-6
    assert one.intersection(board(turn)).area < 1e-6
    assert two.intersection(board(turn)).area < 1e-6


@MANY
@given(st.floats(16, 160), st.sampled_from([-1, 1]), st.floats(1, 12))
def test_any_corner_with_one_strip(turn: float, way: int, thick: float) -> None:
    one = strip((-LONG, 0.0), (0.0, 0.0), thick, Ext(0.0, 0.0), alone(turn * way, thick))
    assert one.intersection(board(turn * way)).area < 1e-6
    assert one.area > thick * (LONG - 6 * thick)


def strip(
    a: tuple[float, float], b: tuple[float, float], thick: float, before: Ext, after: Ext
) -> shapely.Polygon:
    """On the right of the way from a to b."""
    long = math.dist(a, b)
    dx, dy = (b[0] - a[0]) / long, (b[1] - a[1]) / long

    def at(along: float, out: float) -> tuple[float, float]:
        return a[0] + dx * along + dy * out, a[1] + dy * along - dx * out

    return shapely.Polygon(
        [
            at(-before.inner, 0.0),
            at(long + after.inner, 0.0),
            at(long + after.outer, thick),
            at(-before.outer, thick),
        ]
    )


def board(turn: float) -> shapely.Geometry:
    """All that lies left of an edge that comes along the x axis and turns at (0, 0): a fan of points."""
    first, last = 180.0, turn
    angles = [first + (last - first) * n / 64 for n in range(65)]
    far = [(LONG / 3 * math.cos(math.radians(a)), LONG / 3 * math.sin(math.radians(a))) for a in angles]
    return shapely.Polygon([(0.0, 0.0), *far])
