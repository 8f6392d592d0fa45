"""Names follow the layout, and a board's axes follow its edges."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from boardwright_stages.splitting.axes import local_axes
from boardwright_stages.splitting.naming import walk

LIMITS = (1200.0, 750.0)


def test_a_line_of_boards_is_walked_from_its_left_end() -> None:
    centres = [(2000.0, 0.0), (0.0, 0.0), (1000.0, 0.0)]
    assert walk(centres, [{2}, {2}, {0, 1}]) == [1, 2, 0]


def test_a_side_board_comes_right_after_the_board_it_hangs_on() -> None:
    """0 – 1 – 2 – 3 in a line, 4 beside 1."""
    centres = [(0.0, 0.0), (1000.0, 0.0), (2000.0, 0.0), (3000.0, 0.0), (1000.0, 600.0)]
    assert walk(centres, [{1}, {0, 2, 4}, {1, 3}, {2}, {1}]) == [0, 1, 4, 2, 3]


def test_a_ring_is_walked_once_round_from_its_lower_left_board() -> None:
    centres = [(1000.0, 1000.0), (0.0, 0.0), (1000.0, 0.0), (0.0, 1000.0)]
    assert walk(centres, [{2, 3}, {2, 3}, {0, 1}, {0, 1}]) == [1, 3, 0, 2]


def test_boards_that_do_not_touch_are_walked_group_by_group() -> None:
    assert walk([(5.0, 0.0), (0.0, 0.0)], [set(), set()]) == [1, 0]


def ring(*points: tuple[float, float], turned: float = 0.0) -> Any:
    c, s = math.cos(math.radians(turned)), math.sin(math.radians(turned))
    return np.array([(x * c - y * s, x * s + y * c) for x, y in points])


@pytest.mark.parametrize("turned", [0.0, 20.0, 89.999, 90.0, 135.0, 179.0, 180.0])
def test_axes_lie_along_the_length_between_0_and_180(turned: float) -> None:
    board = ring((0, 0), (1000, 0), (1000, 500), (0, 500), turned=turned)
    origin, angle, length, width = local_axes(board, LIMITS)
    assert angle == pytest.approx(turned % 180, abs=1e-4)
    assert (length, width) == pytest.approx((1000, 500))
    a = math.radians(angle)
    d = board - np.array(origin)
    assert (d @ np.array((math.cos(a), math.sin(a)))).min() == pytest.approx(0, abs=1e-5)
    assert (d @ np.array((-math.sin(a), math.cos(a)))).min() == pytest.approx(0, abs=1e-5)


def test_a_square_board_lies_along_x() -> None:
    for nudge in (-0.004, 0.0, 0.004):
        board = ring((0, 0), (600 + nudge, 0), (600 + nudge, 600), (0, 600))
        assert local_axes(board, LIMITS)[1] == 0


def test_a_board_with_a_bulge_keeps_the_axes_of_its_straight_back() -> None:
    """The smallest rectangle of this shape is turned a little; the straight back is worth 2 % of area."""
    front = [(1000 - 10 * i, 500 + 12 * math.sin(math.pi * (i / 100) ** 2)) for i in range(101)]
    _, angle, length, width = local_axes(ring((0, 0), (1000, 0), *front), LIMITS)
    assert (angle, length, width) == (0, 1000, pytest.approx(512, abs=0.1))
