"""Clipping a line against a box, and the grid that makes it cheap."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Point
from shapely import box as rectangle

from boardwright_outputs.drawings.drawing import Box, Polyline, Role, Text
from boardwright_outputs.drawings.pen import _CLEAN, _RINGS, Pen
from boardwright_outputs.drawings.room import Room, crosses, rounds
from boardwright_outputs.drawings.tries import beside, directions, leader_to

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


side = st.integers(1, 30)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(texts=st.lists(st.tuples(coordinate, coordinate, side, side), max_size=8), a=end, b=end)
def test_a_text_on_a_line_is_found_as_if_every_text_were_asked(
    texts: list[tuple[int, int, int, int]], a: tuple[int, int], b: tuple[int, int]
) -> None:
    room = Room(cell_mm=7.0)
    boxes = [Box(x, y, x + w, y + h) for x, y, w, h in texts]
    for box in boxes:
        room.add_text(box)
    found = room.text_on(a, b)
    on = [box for box in boxes if crosses((a, b), box)]
    assert found in on if on else found is None


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    texts=st.lists(st.tuples(coordinate, coordinate, side, side), max_size=12),
    lines=st.lists(st.tuples(end, end, st.booleans()), max_size=6),
    leader=st.booleans(),
)
def test_a_label_takes_the_first_place_that_is_free(
    texts: list[tuple[int, int, int, int]],
    lines: list[tuple[tuple[int, int], tuple[int, int], bool]],
    leader: bool,
) -> None:
    """Against every place asked in full, nothing remembered from one to the next: ring by ring outward, first
    those clear of all, then those clear of text and hard lines, the leader clear of text."""
    pen = Pen(2.0)
    for x, y, w, h in texts:
        pen.room.add_text(Box(x, y, x + w, y + h))
    for a, b, hard in lines:
        pen.room.add_line(a, b, hard)
    rings = [(n, (True,)) for n in range(_CLEAN)] + [(n, (True, False)) for n in range(1, _RINGS)]
    wanted = next(
        (
            item
            for n, ways in rings
            for soft in ways
            for d in directions(8 if n < 3 else 24)
            for item in (beside("B1", (0.0, 0.0), d, 1.0 + n * 1.8, 2.0, Role.TEXT),)
            if pen.room.free(item.box, soft_too=soft)
            and not ((leader or n > 1) and pen.room.text_on(*leader_to((0.0, 0.0), d, 0.0, item.box)))
        ),
        None,
    )
    pen.label_beside("B1", (0.0, 0.0), leader=leader)
    (written,) = (i for i in pen.drawing("t").items if isinstance(i, Text))
    assert written == wanted or (wanted is None and written.text == "B1 (at 0, 0)")


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
