"""No text lies across a cut, a hole, an edge or a dimension line, nor on other text (boxes are estimates)."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from lying import hard_segments

from boardwright_outputs.drawings import placing
from boardwright_outputs.drawings.drawing import (
    Box,
    Drawing,
    Polyline,
    Role,
    Text,
)
from boardwright_outputs.drawings.pen import Pen
from boardwright_outputs.drawings.room import crosses


def check(drawing: Drawing) -> None:
    boxes = [(i.text, i.box.grown(-1e-6)) for i in drawing.items if isinstance(i, Text)]
    for (one, a), (two, b) in combinations(boxes, 2):
        assert not a.meets(b), f"{one!r} lies on {two!r}"
    for segment in hard_segments(drawing):
        for text, box in boxes:
            assert not crosses(segment, box), f"{text!r} lies across {segment}"


def test_every_drawing(drawings: dict[str, Drawing]) -> None:
    for drawing in drawings.values():
        check(drawing)


def test_every_label_of_a_crowded_yard_stays_in_the_drawing() -> None:
    """Forty devices, 65 by 60 apart, on five tracks: every name near its device, none listed below."""
    pen = Pen(12.0)
    pen.ring(Role.OUTLINE, ((0.0, 0.0), (600.0, 0.0), (600.0, 400.0), (0.0, 400.0)))
    spots = [(60.0 + 65 * i, 80.0 + 60 * j) for i in range(8) for j in range(5)]
    for j in range(5):
        pen.line(Role.TRACK, (0.0, 80.0 + 60 * j), (600.0, 80.0 + 60 * j))
    for x, y in spots:
        pen.ring(Role.DEVICE, ((x - 8, y - 5), (x + 8, y - 5), (x + 8, y + 5), (x - 8, y + 5)))
    for n, at in enumerate(spots):
        pen.label_beside(f"PM{n:02d}", at, clear_mm=5.0)
    drawing = pen.drawing("t")
    check(drawing)
    assert not [i.text for i in drawing.items if isinstance(i, Text) and "(at" in i.text]


def test_a_name_rather_moves_away_than_across_members() -> None:
    """Lines 4 apart over the length of a riser of 40, and past its ends: its name of 27 by 10 would fit
    along it, and stands beyond them, 10 of them on either side, with a leader."""
    lines = [((-60.0, y), (100.0, y)) for y in range(-20, 21, 4)]
    for beyond, crossed in ((True, 0), (False, 3)):
        pen = Pen(10.0)
        for a, b in lines:
            pen.line(Role.MEMBER, a, b)
        pen.label_along("R10", (0.0, 0.0), (40.0, 0.0), beyond=beyond)
        (name,) = [i for i in pen.drawing("t").items if isinstance(i, Text)]
        assert sum(crosses(line, name.box) for line in lines) == crossed


def test_hostile_names_overlap_nothing_either(hostile_drawings: dict[str, Drawing]) -> None:
    for drawing in hostile_drawings.values():
        check(drawing)


point = st.tuples(st.integers(5, 395), st.integers(5, 75))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    holes=st.lists(point, max_size=30),
    names=st.lists(st.sampled_from(["1", "23", "B01-S1"]), min_size=30, max_size=30),
)
def test_labels_beside_crowded_holes(holes: list[tuple[int, int]], names: list[str]) -> None:
    pen = Pen(8.0)
    ring = ((0.0, 0.0), (400.0, 0.0), (400.0, 80.0), (0.0, 80.0))
    pen.ring(Role.THROUGH_CUT, ring)
    for x, y in holes:
        pen.circle(Role.HOLE, (x, y), 4.0)
    for (x, y), name in zip(holes, names, strict=False):
        pen.label_beside(name, (x, y), clear_mm=4.0)
    pen.label_inside("the part", ring)
    drawing = pen.drawing("t")
    check(drawing)
    assert sum(isinstance(i, Text) for i in drawing.items) == len(holes) + 1


def test_a_part_too_narrow_for_its_label_gets_a_leader() -> None:
    pen = Pen(10.0)
    sliver = ((0.0, 0.0), (40.0, 0.0), (40.0, 3.0), (0.0, 3.0))
    pen.ring(Role.THROUGH_CUT, sliver)
    pen.label_inside("B01-S1", sliver)
    drawing = pen.drawing("t")
    check(drawing)
    (label,) = (i for i in drawing.items if isinstance(i, Text))
    assert not label.box.meets(Box(0.0, 0.0, 40.0, 3.0))
    leaders = [i for i in drawing.items if isinstance(i, Polyline) and i.role is Role.DIMENSION]
    assert len(leaders) == 1
    (x, y), _ = leaders[0].points
    assert 0 < x < 40
    assert 0 < y < 3


def test_a_label_prefers_to_keep_off_track() -> None:
    pen = Pen(10.0)
    ring = ((0.0, 0.0), (300.0, 0.0), (300.0, 100.0), (0.0, 100.0))
    pen.ring(Role.OUTLINE, ring)
    pen.line(Role.TRACK, (0.0, 50.0), (300.0, 50.0))
    pen.label_inside("B01", ring)
    (label,) = (i for i in pen.drawing("t").items if isinstance(i, Text))
    assert not crosses(((0.0, 50.0), (300.0, 50.0)), label.box)


def test_a_label_without_any_room_goes_under_the_drawing() -> None:
    """A ground of hard lines a letter apart, far wider than a label moves."""
    pen = Pen(10.0)
    for i in range(-100, 101):
        pen.line(Role.THROUGH_CUT, (-1500.0, i * 8.0), (1500.0, i * 8.0))
    pen.label_beside("B01", (0.0, 0.0))
    drawing = pen.drawing("t")
    check(drawing)
    (label,) = (i for i in drawing.items if isinstance(i, Text))
    assert label.text == "B01 (at 0, 0)"
    assert label.box.top < -800


def test_a_label_runs_along_its_line_and_reads_from_the_right() -> None:
    pen = Pen(10.0)
    pen.line(Role.MEMBER, (50.0, 300.0), (50.0, 0.0))
    pen.label_along("B01-K1", (50.0, 300.0), (50.0, 0.0), clear_mm=6.0)
    (label,) = (i for i in pen.drawing("t").items if isinstance(i, Text))
    assert label.angle_deg == 90.0
    assert label.x_mm == 50.0 - 6.0 - 4.0  # 0.4 of the text height beyond the clear strip, on the left


def test_a_label_moves_off_track_while_there_is_clean_ground_near() -> None:
    """Tracks 14 apart leave no room for letters of 10; above the topmost there is."""
    pen = Pen(10.0)
    tracks = [((-200.0, 14.0 * i), (200.0, 14.0 * i)) for i in range(4)]
    for a, b in tracks:
        pen.line(Role.TRACK, a, b)
    pen.label_beside("PM05", (0.0, 28.0), clear_mm=3.0)
    (label,) = (i for i in pen.drawing("t").items if isinstance(i, Text))
    assert not any(crosses(track, label.box) for track in tracks)


def test_texts_keep_a_little_air_between_them() -> None:
    """Two points a word's width apart: a quarter of the letters' height is kept free round the first."""
    pen = Pen(10.0)
    for x in (0.0, 30.0):
        pen.label_beside("F03", (x, 0.0), clear_mm=2.0)
    first, second = (i.box for i in pen.drawing("t").items if isinstance(i, Text))
    assert not first.grown(2.5 - 1e-6).meets(second)


def test_a_name_that_fits_nowhere_else_is_written_smaller_inside() -> None:
    """Small pieces side by side, each with a hole: little room beside them, none inside at half the size."""
    pen = Pen(20.0)
    rings = []
    for n in range(9):
        for m in range(11):
            x, y = 90.0 * n, 40.0 * m
            rings.append(((x, y), (x + 90.0, y), (x + 90.0, y + 40.0), (x, y + 40.0)))
            pen.ring(Role.THROUGH_CUT, rings[-1])
            pen.circle(Role.HOLE, (x + 45.0, y + 20.0), 11.0)
    for n, ring in enumerate(rings):
        pen.label_inside(f"B06-S5-{n}", ring)
    texts = [i for i in pen.drawing("Small pieces").items if isinstance(i, Text)]
    assert sorted(t.text for t in texts) == sorted(f"B06-S5-{n}" for n in range(len(rings)))


def test_the_place_in_words_is_the_one_the_reader_knows() -> None:
    """The view of a level is shifted on the paper, and a board from below is turned over."""
    for view, known in (
        (placing.at(300.0, 2200.0), placing.back(placing.at(300.0, 2200.0))),
        (placing.mirrored(600.0), placing.mirrored(600.0)),
    ):
        pen = Pen(10.0)
        pen.known = known
        x, y = view((500.0, 300.0))
        for i in range(-100, 101):
            pen.line(Role.THROUGH_CUT, (x - 1500.0, y + i * 8.0), (x + 1500.0, y + i * 8.0))
        pen.label_beside("PM1", (x, y))
        (label,) = (i for i in pen.drawing("t").items if isinstance(i, Text))
        assert label.text == "PM1 (at 500, 300)"
