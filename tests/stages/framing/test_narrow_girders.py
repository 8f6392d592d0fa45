"""Girders on boards hardly wider than their flanges."""

from __future__ import annotations

import itertools

import pytest
import shapely
from any_shapes import board_of

from boardwright import Notes
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_timber.model import BoardPlan

FRAMING = FramingSettings(member_thickness_mm=12)


@pytest.mark.parametrize(("wide", "style"), [(110.0, "box"), (200.0, "l-girder")])
def test_a_strip_too_narrow_for_two_flanges_is_a_box(wide: float, style: str) -> None:
    """Two flanges of 44 mm do not go beside one another into the 86 mm between its sides."""
    notes = Notes()
    ring = ((0.0, 0.0), (900.0, 0.0), (900.0, wide), (0.0, wide))
    made = l_girder(board_of(ring), BoardPlan(board="B01"), FRAMING, GirderSettings(), notes)
    assert made.style == style
    assert ("BW-FRAME-010" in {f.code for f in notes.findings}) == (style == "box")
    for one, other in itertools.combinations(made.members, 2):
        if one.meets_height(other):
            wood = shapely.Polygon(one.outline).intersection(shapely.Polygon(other.outline))
            assert wood.area < 0.01
