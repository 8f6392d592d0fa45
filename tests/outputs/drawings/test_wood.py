"""Elevations with their sizes, a board taken apart with its names, a board on its legs."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from boardwright_outputs.drawings.drawing import Polyline, Role, Text
from boardwright_outputs.drawings.pen import Pen
from boardwright_outputs.drawings.room import crosses
from boardwright_outputs.drawings.views.legs import standing
from boardwright_outputs.drawings.views.wood import elevations, taken_apart
from boardwright_timber.model import BoardStand, BoardViews, Leg, SeenLine, SeenName


def written(pen: Pen) -> list[Text]:
    return [i for i in pen.drawing("").items if isinstance(i, Text)]


def _box_lines(x: float, z: float, wide: float, high: float, deck: bool = False) -> list[SeenLine]:
    corners = ((x, z), (x + wide, z), (x + wide, z + high), (x, z + high))
    return [SeenLine(deck, a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]


def test_elevations_bear_their_sizes() -> None:
    """A frame 90 deep under a deck of 9, on a board 1200 × 600: length, and heights from the lowest edge."""
    views = BoardViews(
        board="B01",
        front=(*_box_lines(0, -90, 1200, 90), *_box_lines(0, 0, 1200, 9, deck=True)),
        right_end=(*_box_lines(0, -90, 600, 90), *_box_lines(0, 0, 600, 9, deck=True)),
    )
    pen = Pen(16.0)
    elevations(pen, views)
    figures = [t.text for t in written(pen) if t.role is Role.DIMENSION]
    assert sorted(figures) == sorted(["1200", "600", *(2 * ["0", "90", "99"])])


def test_a_board_apart_names_its_parts_where_they_are_seen() -> None:
    """Names without the board's own, on their first spot with room; with none, beside it with a leader."""
    lines = tuple(_box_lines(0, 0, 400, 90))
    names = (
        SeenName("B01-S1", ((200.0, 45.0),)),
        SeenName("B01-J1", ((200.0, 47.0), (300.0, 47.0))),
        SeenName("B01-J2", ((300.0, 60.0),)),
    )
    pen = Pen(16.0)
    taken_apart(pen, "B01", BoardViews(board="B01", apart=lines, names=names))
    found = {t.text: t for t in written(pen)}
    assert {"S1", "J1", "J2"} <= set(found)
    hangs = 90.0 + 2 * 16.0  # below its heading
    for name, x, y in (("S1", 200.0, 45.0), ("J1", 300.0, 47.0)):
        assert found[name].x_mm == x
        assert found[name].y_mm + found[name].height_mm / 2 == pytest.approx(y - hangs)
    assert not found["J2"].box.meets(found["J1"].box)
    assert any(i.role is Role.DIMENSION for i in pen.drawing("").items)


def legs_at(*places: float) -> tuple[Leg, ...]:
    """Legs under the front side, so far along it."""
    return tuple(
        Leg(
            id=f"B01-L{n}",
            member="B01-S1",
            x_mm=x,
            y_mm=6.0,
            side_mm=44.0,
            top_mm=-90.0,
            length_mm=800.0,
            foot_mm=25.0,
        )
        for n, x in enumerate(places, 1)
    )


@pytest.mark.parametrize("places", [(30.0, 570.0), (30.0, 500.0, 598.0), (2.0, 100.0, 570.0)])
def test_names_of_legs_stand_clear_of_the_dimension_lines(places: tuple[float, ...]) -> None:
    """A leg at the very end of a board, where the height over all is dimensioned close beside it; and another
    so near that the name has no room between the two."""
    legs = legs_at(*places)
    pen = Pen(16.0)
    standing(pen, _box_lines(0, -90, 600, 99), BoardStand(board="B01", legs=legs))
    items = pen.drawing("").items
    lines = [s for i in items if i.role is Role.DIMENSION and isinstance(i, Polyline) for s in i.segments]
    for name in (t for t in written(pen) if t.text.startswith("L")):
        assert not [line for line in lines if crosses(line, name.box)], name.text


def test_a_leg_beside_an_end_is_drawn_where_it_stands_itself() -> None:
    """At the inner face of an end 12 thick, its middle 6 mm from the board's end: from 12 to 56."""
    (one,) = legs_at(6.0)
    pen = Pen(16.0)
    stand = BoardStand(board="B01", legs=(replace(one, off_mm=(28.0, 0.0)),))
    standing(pen, _box_lines(0, -90, 600, 99), stand)
    members = [i for i in pen.drawing("").items if i.role is Role.MEMBER and isinstance(i, Polyline)]
    low = [p for i in members for s in i.segments for p in s if p[1] < -100]
    assert (min(x for x, _ in low), max(x for x, _ in low)) == (12.0, 56.0)


def test_names_of_legs_that_stand_close_lie_across_none_of_them() -> None:
    """Legs 90 mm apart under a long name: it is read from the right, between two of them."""
    legs = legs_at(30.0, 120.0, 210.0, 300.0, 390.0, 480.0)
    pen = Pen(16.0)
    standing(pen, _box_lines(0, -90, 600, 99), BoardStand(board="B01", legs=legs))
    items = pen.drawing("").items
    lines = [s for i in items if i.role is Role.MEMBER and isinstance(i, Polyline) for s in i.segments]
    names = [t for t in written(pen) if t.text.startswith("L")]
    assert len(names) == 6
    for name in names:
        assert not [line for line in lines if crosses(line, name.box)], name.text
    assert {t.angle_deg for t in names} == {0.0, 90.0}
