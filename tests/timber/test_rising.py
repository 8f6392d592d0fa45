"""How high a deck is beside its track, by hand."""

from __future__ import annotations

import math

import pytest

from boardwright_timber.rising import Way, on_way


def bent(last_mm: float, turn_deg: float) -> Way:
    """100 mm straight and then ``last_mm`` more to the left, climbing 1 in 40 all along."""
    t = math.radians(turn_deg)
    end = (100 + last_mm * math.cos(t), last_mm * math.sin(t))
    return ((0.0, 0.0, 0.0), (100.0, 0.0, 2.5), (*end, 2.5 + last_mm / 40))


@pytest.mark.parametrize("last_mm", [0.2, 1.0, 30.0])
@pytest.mark.parametrize("aside_mm", [-60.0, -20.0, 20.0, 60.0])
def test_a_short_last_stretch_after_a_bend_carries_on_as_steep(last_mm: float, aside_mm: float) -> None:
    """Where a board's edge leaves 0.2 mm of a stretch that turns by 0.4°, the line that halves the angle and
    that across the end meet 57 mm aside (0.2 / sin 0.2°): near there heights ran away. Past the end the last
    stretch goes straight on; the bend moves stations by 60 · sin 0.4° = 0.4 mm at most."""
    way = bent(last_mm, 0.4)
    for past_mm in (-5.0, 0.0, 5.0, 40.0):
        place = (100 + last_mm + past_mm, aside_mm)
        _, height = on_way(way, place)
        assert height == pytest.approx((100 + last_mm + past_mm) / 40, abs=0.5 / 40)
    backward: Way = tuple((-x, y, z) for x, y, z in reversed(way))
    _, height = on_way(backward, (-(100 + last_mm + 5), aside_mm))
    assert height == pytest.approx((100 + last_mm + 5) / 40, abs=0.5 / 40)


def test_between_two_tracks_points_heights_run_evenly() -> None:
    """Beside a quarter circle of radius 300 in pieces of 5°, 40 mm to either side: as high as the arc there
    (but at its ends, whose drawn pieces point 2.5° aside). Inside the curve both pieces are near within
    40 · tan 2.5° = 1.7 mm of a corner, at most half of which is taken wrongly: 0.9 mm / 40 = 0.02."""
    steps = [math.radians(5 * k) for k in range(19)]
    way: Way = tuple((300 * math.sin(a), 300 - 300 * math.cos(a), 300 * a / 40) for a in steps)
    for radius in (260.0, 300.0, 340.0):
        for a in (0.1, 0.3, 0.7, 1.1, 1.5):
            p = (radius * math.sin(a), 300 - radius * math.cos(a))
            assert on_way(way, p)[1] == pytest.approx(300 * a / 40, abs=0.02)


CORNER: Way = ((0.0, 0.0, 0.0), (100.0, 0.0, 4.0), (100.0, 100.0, 8.0))


def test_a_deck_is_as_high_as_its_track_everywhere_on_it() -> None:
    """Up to a bend heights run as straight as the drawing has them: 1 in 25."""
    for far_mm in (0.0, 10.0, 50.0, 90.0, 100.0):
        assert on_way(CORNER, (far_mm, 0.0)) == pytest.approx((0.0, far_mm / 25))
        assert on_way(CORNER, (100.0, far_mm)) == pytest.approx((0.0, 4 + far_mm / 25))


def test_outside_a_bend_the_deck_has_no_step() -> None:
    """40 mm outside the corner the line that halves it passes (140, -40): 4 high. From there to the end of
    the second piece it is 140 long, so beside the corner, 40 of it on, 4 + 4 · 40 / 140; and before it the
    same mirrored."""
    assert on_way(CORNER, (140.0, -40.0))[1] == pytest.approx(4.0)
    for hair in (-1e-6, 0.0, 1e-6):
        assert on_way(CORNER, (140.0, hair))[1] == pytest.approx(4 + 4 * 40 / 140, abs=1e-6)
        assert on_way(CORNER, (100.0 + hair, -40.0))[1] == pytest.approx(4 * 100 / 140, abs=1e-6)


def test_a_point_told_twice_bends_nothing() -> None:
    twice: Way = (CORNER[0], CORNER[1], CORNER[1], CORNER[2])
    assert on_way(twice, (130.0, -10.0))[1] == pytest.approx(4.0)
    assert on_way(twice, (50.0, 0.0))[1] == pytest.approx(2.0)
