"""Clipping a line against a box, and the grid that makes it cheap."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Point
from shapely import box as rectangle

from boardwright_outputs.drawings.drawing import Box, Polyline, Role, Text
from boardwright_outputs.drawings.pen import Pen
from boardwright_outputs.drawings.room import Room, crosses, rounds

BOX = Box(0.0, 0.0, 10.0, 10.0)


def test_crossing() -> None:
    assert crosses(((-5, 5), (15, 5)), BOX)
    assert crosses(((2, 2), (3, 3)), BOX)  # wholly inside
    assert crosses(((-1, 8), (3, 12)), BOX)  # cuts the corner (0..1, 9..10)
    assert not crosses(((-5, 10), (15, 10)), BOX)  # along the edge
    assert not crosses(((-5, 12), (15, 12)), BOX)
    assert not crosses(((-4, 8), (0, 12)), BOX)
    assert not crosses(((11, 5), (20, 5)), BOX)


coordinate = st.integers(-60, 60)
end = st.tuples(coordinate, coordinate)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    lines=st.lists(st.tuples(end, end), max_size=8),
    x=coordinate,
    y=coordinate,
    w=st.integers(1, 30),
    h=st.integers(1, 30),
)
def test_the_grid_answers_as_if_every_line_were_asked(
    lines: list[tuple[tuple[int, int], tuple[int, int]]], x: int, y: int, w: int, h: int
) -> None:
    room = Room(cell_mm=7.0)
    for a, b in lines:
        room.add_line(a, b, hard=True)
    box = Box(x, y, x + w, y + h)
    assert room.free(box, soft_too=True) == (not any(crosses(line, box) for line in lines))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    circles=st.lists(st.tuples(end, st.floats(0.5, 50.0)), min_size=1, max_size=4),
    x=coordinate,
    y=coordinate,
    w=st.integers(1, 30),
    h=st.integers(1, 30),
)
def test_circles_are_round_lines(
    circles: list[tuple[tuple[int, int], float]], x: int, y: int, w: int, h: int
) -> None:
    """Against shapely's rings of 720 sides, where it is not a matter of their sagitta (r (1 - cos 0.25°))."""
    room = Room(cell_mm=7.0)
    for centre, radius in circles:
        room.add_circle(centre, radius, hard=True)
    text = Box(x, y, x + w, y + h)
    through = {rounds(circle, text) for circle in circles}
    assert room.free(text, soft_too=False) == (through == {False})
    for circle in circles:
        ring = LinearRing(Point(circle[0]).buffer(circle[1], quad_segs=180).exterior)
        surely = ring.intersects(rectangle(x + 0.01, y + 0.01, x + w - 0.01, y + h - 0.01))
        perhaps = ring.intersects(rectangle(x - 0.01, y - 0.01, x + w + 0.01, y + h + 0.01))
        assert surely <= rounds(circle, text) <= perhaps


def test_a_label_led_out_of_a_ring_begins_beside_what_stands_in_it() -> None:
    """A name on the middle of a small ring; a long text has no room in it and is led out at its own size."""
    ring = ((0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0))
    pen = Pen(20.0)
    pen.ring(Role.OUTLINE, ring)
    pen.label_inside("B01", ring, height_mm=30.0)
    pen.label_inside("a text too long for this ring", ring, height_mm=14.0, smallest=0.85)
    name, led = (i for i in pen.drawing("").items if isinstance(i, Text))
    assert led.height_mm == 14.0 * 0.85
    assert not led.box.meets(Box(0.0, 0.0, 200.0, 100.0))
    (line,) = (i for i in pen.drawing("").items if i.role is Role.DIMENSION)
    assert isinstance(line, Polyline)
    assert not crosses((line.points[0], line.points[1]), name.box)
