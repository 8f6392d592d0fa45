"""Places and tangents along tracks, against the circles and lines they were drawn from."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan.model import Track
from boardwright.plan.way import Way

TRACK = {"layer": "Track"}
type Draw = Callable[[Any], None]


def s_bend(msp: Any) -> None:
    """100 mm straight, right-hand quarter of radius 300, left-hand quarter of radius 200, 50 mm straight."""
    msp.add_line((50, 450), (150, 450), dxfattribs=TRACK)
    msp.add_arc((150, 150), 300, 0, 90, dxfattribs=TRACK)
    msp.add_arc((650, 150), 200, 180, 270, dxfattribs=TRACK)
    msp.add_line((700, -50), (650, -50), dxfattribs=TRACK)


@pytest.fixture(scope="module")
def way(read: Any) -> Way:
    def draw(doc: Any) -> None:
        edge = [(0, -100), (1000, -100), (1000, 500), (0, 500)]
        doc.modelspace().add_lwpolyline(edge, close=True, dxfattribs={"layer": "Edge"})
        s_bend(doc.modelspace())

    (track,) = read(draw).plan.tracks
    assert track.points[0] == (50, 450)
    return Way(track)


RIGHT, LEFT = 300 * math.pi / 2, 200 * math.pi / 2
STATIONS = [
    (0.0, 50, 450, 0, 0),
    (60.0, 110, 450, 0, 0),
    # 30° into the right-hand bend: 300·π/6 = 157.08 mm on; the centre is (150, 150)
    (
        100 + 300 * math.pi / 6,
        150 + 300 * math.sin(math.pi / 6),
        150 + 300 * math.cos(math.pi / 6),
        330,
        -1 / 300,
    ),
    (100 + RIGHT - 1e-9, 450, 150, 270, -1 / 300),
    # 60° into the left-hand bend about (650, 150), entered at (450, 150) going down
    (
        100 + RIGHT + 200 * math.pi / 3,
        650 - 200 * math.cos(math.pi / 3),
        150 - 200 * math.sin(math.pi / 3),
        330,
        1 / 200,
    ),
    (100 + RIGHT + LEFT + 20, 670, -50, 0, 0),
    (9e9, 700, -50, 0, 0),
    (-5.0, 50, 450, 0, 0),
]


@pytest.mark.parametrize(("distance", "x", "y", "direction", "bend"), STATIONS)
def test_stations_by_arithmetic(
    way: Way, distance: float, x: float, y: float, direction: float, bend: float
) -> None:
    found = way.at(distance)
    assert (found.x_mm, found.y_mm) == pytest.approx((x, y), abs=1e-5)
    assert (found.direction_deg - direction + 180) % 360 - 180 == pytest.approx(0, abs=1e-5)
    assert found.bend == pytest.approx(bend, abs=1e-12)


def test_length_is_that_of_the_arcs(way: Way) -> None:
    # 100 + 300·π/2 + 200·π/2 + 50 = 935.398 mm; the chords alone are some 0.03 mm shorter
    assert way.length_mm == pytest.approx(150 + RIGHT + LEFT, abs=1e-4)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.floats(40, 3000),
    st.floats(0, 360),
    st.floats(2, 358),
    st.floats(0, 1),
    st.floats(0.005, 2),
)
def test_any_arc_at_any_chord_error(
    read: Any, radius: float, start: float, sweep: float, part: float, chords: float
) -> None:
    """However coarse the chords, place, tangent and length are those of the arc."""

    def draw(doc: Any) -> None:
        edge = [(-9000, -9000), (9000, -9000), (9000, 9000), (-9000, 9000)]
        doc.modelspace().add_lwpolyline(edge, close=True, dxfattribs={"layer": "Edge"})
        ends = (start, start + sweep)
        doc.modelspace().add_arc((7, -11), radius, *ends, dxfattribs=TRACK)

    (track,) = read(draw, chord_error_mm=chords).plan.tracks
    way = Way(track)
    length = math.radians(sweep) * radius
    assert way.length_mm == pytest.approx(length, rel=1e-6, abs=1e-4)
    found = way.at(length * part)
    assert math.dist((found.x_mm, found.y_mm), (7, -11)) == pytest.approx(radius, abs=2e-5)
    radial = math.atan2(found.y_mm + 11, found.x_mm - 7)
    off = (math.radians(found.direction_deg) - radial) % math.pi
    assert off == pytest.approx(math.pi / 2, abs=1e-9)
    assert abs(found.bend) == pytest.approx(1 / radius)


def test_a_point_is_no_way() -> None:
    with pytest.raises(ValueError, match="no length"):
        Way(Track(id="TR001", points=((1.0, 2.0),))).at(0)
