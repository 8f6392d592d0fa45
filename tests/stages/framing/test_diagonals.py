"""What to measure across a frame, by hand and on any outline."""

from __future__ import annotations

import math

import pytest
import shapely
from any_shapes import star_rings
from hypothesis import given, settings

from boardwright.plan.model import Ring
from boardwright_stages.framing.diagonals import diagonals


def test_a_rectangle_has_two_equal_ones() -> None:
    """1200 × 500: √(1200² + 500²) = 1300, a 5-12-13 triangle."""
    found = diagonals(((0, 0), (1200, 0), (1200, 500), (0, 500)))
    assert [d.length_mm for d in found] == [1300, 1300]


def test_an_l_by_hand() -> None:
    """Six corners, three diagonals. The longest inside: from (0, 0) to (1200, 400), along the arm. Next, from
    the same corner, to (400, 900), up the other arm; (0, 900) to (1200, 0) leaves the frame. Last the one
    to the inward corner (400, 400)."""
    ring = ((0, 0), (1200, 0), (1200, 400), (400, 400), (400, 900), (0, 900))
    assert [d.length_mm for d in diagonals(ring)] == pytest.approx(
        [math.hypot(1200, 400), math.hypot(400, 900), math.hypot(400, 400)], abs=1e-6
    )


def test_a_triangle_needs_none() -> None:
    assert diagonals(((0, 0), (900, 0), (0, 900))) == ()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(star_rings())
def test_they_part_any_frame_into_triangles(ring: Ring) -> None:
    """n corners, n - 2 triangles, n - 3 diagonals; four corners seen whole from each other get both."""
    found = diagonals(ring)
    if len(ring) == 4:
        assert 1 <= len(found) <= 2
        return
    assert len(found) == len(ring) - 3
    frame = shapely.Polygon(ring)
    cuts = shapely.union_all([frame.exterior, *(shapely.LineString((d.start, d.end)) for d in found)])
    triangles = shapely.get_parts(shapely.polygonize([cuts]))
    assert len(triangles) == len(ring) - 2
    assert sum(t.area for t in triangles) == pytest.approx(frame.area)
