"""Hatching fills its ring and nothing else, measured by shapely."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from joined import views_of
from shapely import LineString, Polygon

from boardwright_outputs.drawings.drawing import Polyline, Role
from boardwright_outputs.drawings.hatching import hatched

UPPER = ((300.0, 200.0), (200.0, 200.0), (200.0, 100.0), (100.0, 100.0), (100.0, 200.0), (0.0, 200.0))
BENT = ((0.0, 0.0), (300.0, 0.0), *UPPER)


def test_lines_lie_within_and_as_dense_as_told() -> None:
    """A U of 50 000 mm², a line every 10 mm: 5000 mm of lines, the edges aside."""
    whole = Polygon(BENT)
    lines = [LineString(line) for line in hatched(BENT, 10.0)]
    assert all(whole.buffer(1e-6).contains(line) for line in lines)
    assert sum(line.length for line in lines) == pytest.approx(whole.area / 10.0, rel=0.02)
    for line in lines:
        (x0, y0), (x1, y1) = line.coords
        assert y1 - y0 == pytest.approx(x1 - x0)


def test_the_well_of_a_board_is_hatched_from_above_and_below(layout: SimpleNamespace) -> None:
    for b, wells in (("B01", 0), ("B02", 1)):
        for view in views_of(layout, b)[:2]:
            drawn = [i for i in view.items if isinstance(i, Polyline) and i.role is Role.HATCH]
            assert bool(drawn) == bool(wells)
