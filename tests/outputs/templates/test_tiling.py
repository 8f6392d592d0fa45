"""Windows cover the part, overlap as asked, and share their crosses."""

from __future__ import annotations

import math

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan.model import Ring
from boardwright_outputs.drawings.drawing import Box, box_of
from boardwright_outputs.templates.paper import LONGEST_MM, pages
from boardwright_outputs.templates.settings import TemplateSettings
from boardwright_outputs.templates.tiling import tiled

SQUARE: Ring = ((0.0, 0.0), (500.0, 0.0), (500.0, 400.0), (0.0, 400.0))


@st.composite
def blobs(draw: st.DrawFn) -> Ring:
    """A star-shaped ring of any size and leaning."""
    count = draw(st.integers(3, 14))
    radii = draw(st.lists(st.floats(20, 900), min_size=count, max_size=count))
    return tuple(
        (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
        for i, r in enumerate(radii)
    )


@given(blobs(), st.floats(120, 700), st.floats(120, 700), st.floats(5, 50))
@settings(max_examples=150, deadline=None, derandomize=True)
def test_windows_cover_the_part(ring: Ring, wide: float, high: float, overlap: float) -> None:
    tiling = tiled((ring,), box_of(ring), (wide, high), overlap)
    shape = shapely.Polygon(ring)
    shown = shapely.union_all([shapely.box(*_corners(t.window)) for t in tiling.tiles])
    assert shape.difference(shown.buffer(1e-6)).area < 1e-6 * shape.area
    assert shape.boundary.difference(shown.buffer(1e-6)).length < 1e-3
    for tile in tiling.tiles:
        assert shapely.box(*_corners(tile.window)).distance(shape) <= math.sqrt(2) * overlap + 1e-6
        assert math.isclose(tile.window.width, wide)
        assert math.isclose(tile.window.height, high)
    assert len({t.name for t in tiling.tiles}) == len(tiling.tiles)


@given(blobs(), st.floats(120, 700), st.floats(120, 700), st.floats(5, 50))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_neighbours_overlap_and_share_crosses(ring: Ring, wide: float, high: float, overlap: float) -> None:
    tiling = tiled((ring,), box_of(ring), (wide, high), overlap)
    for a in tiling.tiles:
        for b in tiling.tiles:
            if a.window.bottom == b.window.bottom and 0 < b.window.left - a.window.left < wide:
                assert math.isclose(a.window.right - b.window.left, overlap, abs_tol=1e-6)
                both = Box(b.window.left, a.window.bottom, a.window.right, a.window.top)
                assert any(
                    both.left < x < both.right and both.bottom < y < both.top for x, y in tiling.crosses
                )


def test_a_part_of_a_page_takes_one_page() -> None:
    tiling = tiled((SQUARE,), box_of(SQUARE), (520.0, 420.0), 10.0)
    assert [t.name for t in tiling.tiles] == ["A1"]
    assert tiling.crosses == ()
    assert tiling.tiles[0].window == Box(-10.0, -10.0, 510.0, 410.0)


def test_an_empty_corner_is_not_printed() -> None:
    ring: Ring = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 100.0), (100.0, 100.0), (100.0, 1000.0), (0.0, 1000.0))
    names = {t.name for t in tiled((ring,), box_of(ring), (210.0, 210.0), 10.0).tiles}
    assert names == {"A1", "B1", "C1", "D1", "E1", "A2", "A3", "A4", "A5"}


def test_a_roll_is_as_long_as_needed() -> None:
    choice = pages(TemplateSettings(paper="roll"), (1200.0, 500.0))
    assert choice[0].height_mm == 610.0
    assert choice[0].window[0] == 1200.0
    assert max(p.width_mm for p in pages(TemplateSettings(paper="roll"), (90_000.0, 500.0))) == LONGEST_MM


def _corners(box: Box) -> tuple[float, float, float, float]:
    return box.left, box.bottom, box.right, box.top
