"""Offsets inwards stay sound."""

from __future__ import annotations

import pytest
import shapely

from boardwright_stages.offsets import inset


def test_what_an_offset_leaves_unsound_is_mended() -> None:
    """Two triangles, one of them a sliver of 1e-14 mm: grown and shrunk by 10 mm, they cross themselves."""
    sliver = (
        (456.4767033896576, -92.57022738504),
        (440.71666582502456, -89.93365511391247),
        (440.71666582502456, -89.93365511391245),
    )
    other = (
        (564.056254758597, 302.0480414829489),
        (456.4767033896576, -92.57022738504),
        (459.73140766441225, -73.11532277274168),
    )
    shape = shapely.MultiPolygon([shapely.Polygon(sliver), shapely.Polygon(other)])
    grown = shape.buffer(10.0)
    mended = inset(grown, 10.0)
    assert mended.is_valid
    assert mended.union(shape).area == pytest.approx(grown.buffer(-10.001).union(shape).area, abs=1.0)
    square = shapely.box(0, 0, 100, 50)
    assert inset(square, 10.0).equals(shapely.box(10, 10, 90, 40))
    assert inset(square, 30.0).is_empty
