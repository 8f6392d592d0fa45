"""Tracks that cross: two tracks of their own lengths, one crossing kept clear of joints, however drawn."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Severity
from boardwright.plan import crossings, heights
from boardwright.plan.centrelines import assemble
from boardwright.plan.model import Track

TRACK = {"layer": "Tracks"}
type Draw = Callable[[Any], None]
LONG = ((100.0, 100.0), (900.0, 300.0))
SHORT = ((300.0, 300.0), (700.0, 100.0))
MIDDLE = (500.0, 200.0)  # of both


def drawn(*pieces: tuple[tuple[float, ...], tuple[float, ...]]) -> Callable[[Draw], Draw]:
    def on(board: Draw) -> Draw:
        def draw(doc: Any) -> None:
            board(doc)
            for a, b in pieces:
                doc.modelspace().add_line(a, b, dxfattribs=TRACK)

        return draw

    return on


WAYS = {
    "drawn through": drawn(LONG, SHORT),
    "one in pieces": drawn((LONG[0], MIDDLE), (MIDDLE, LONG[1]), SHORT),
    "all in pieces": drawn((LONG[0], MIDDLE), (MIDDLE, LONG[1]), (SHORT[0], MIDDLE), (MIDDLE, SHORT[1])),
}


@pytest.mark.parametrize("way", WAYS)
def test_two_tracks_and_one_crossing(read: Any, board: Draw, way: str) -> None:
    case = read(WAYS[way](board))
    lengths = sorted(t.length_mm for t in case.plan.tracks)
    assert lengths == pytest.approx([math.dist(*SHORT), math.dist(*LONG)], abs=1e-6)
    (crossing,) = case.plan.turnouts
    slip = way != "drawn through"  # pieces that meet at less than 50° may be a slip: a turnout's name
    assert (crossing.id, crossing.crossing) == (("T01", False) if slip else ("C01", True))
    assert (crossing.x_mm, crossing.y_mm) == pytest.approx(MIDDLE)
    assert slip or "1 crossing found" in case.notes["BW-READ-076"].says
    # At 1:87 sleepers are clear of each other 2.8 m / 87 = 32 mm apart. The lines part by an angle of
    # atan(1/4) + atan(1/2) = 40.6°, so 32 / sin(40.6°) = 49 mm on
    wide = max(x for x, _ in crossing.ring) - min(x for x, _ in crossing.ring)
    assert 2 * 40 < wide < 2 * 80
    assert read(WAYS[way](board), find_crossings=False, find_turnouts=False).plan.turnouts == ()


def test_square_crossings_in_pieces_are_no_slips(read: Any, board: Draw) -> None:
    ends = [(400.0, 100.0), (600.0, 300.0), (600.0, 100.0), (400.0, 300.0)]
    plan = read(drawn(*((end, MIDDLE) for end in ends))(board)).plan
    assert [t.id for t in plan.turnouts] == ["C01"]
    assert sorted(t.length_mm for t in plan.tracks) == pytest.approx([math.hypot(200, 200)] * 2)


def test_a_bridge_at_its_height_is_no_crossing(read: Any, board: Draw) -> None:
    over = ((300.0, 300.0, 60.0), (700.0, 100.0, 60.0))
    assert read(drawn(LONG, over)(board)).plan.turnouts == ()
    near = ((300.0, 300.0, 5.0), (700.0, 100.0, 5.0))
    assert len(read(drawn(LONG, near)(board)).plan.turnouts) == 1


def test_ends_that_meet_a_line_and_lines_that_touch_do_not_cross(read: Any, board: Draw) -> None:
    meets = ((100.0, 400.0), (500.0, 200.3))  # ends 0.3 mm past the middle of the long line
    assert not any(t.crossing for t in read(drawn(LONG, meets)(board)).plan.turnouts)
    along = ((100.0, 101.0), (900.0, 299.0))  # crosses at 0.14°
    assert not any(t.crossing for t in read(drawn(LONG, along)(board)).plan.turnouts)


def test_a_track_that_crosses_itself(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        loop = [(100, 250), (800, 250), (800, 450), (400, 450), (400, 50)]
        doc.modelspace().add_lwpolyline(loop, dxfattribs=TRACK)

    plan = read(draw).plan
    assert [(t.x_mm, t.y_mm, t.crossing) for t in plan.turnouts] == [(400, 250, True)]
    assert [t.length_mm for t in plan.tracks] == [700 + 200 + 400 + 400]


def test_a_motor_is_not_moved_to_a_crossing() -> None:
    from boardwright.findings import Notes
    from boardwright.plan.device_places import to_turnouts
    from boardwright.plan.kinds import Catalogue
    from boardwright.plan.model import Device, Turnout
    from boardwright.plan.settings import DeviceSettings

    motor = Device(id="M1", kind="servo", x_mm=5, y_mm=0, length_mm=9, width_mm=9, depth_mm=9, clearance_mm=9)
    ring = ((0.0, 0.0), (9.0, 0.0), (0.0, 9.0))
    diamond = Turnout(id="C01", x_mm=0, y_mm=0, ring=ring, crossing=True)
    turnout = Turnout(id="T01", x_mm=20, y_mm=0, ring=ring)
    catalogue = Catalogue(DeviceSettings(snap_to_turnout_mm=50), Notes())
    (moved,) = to_turnouts([motor], [diamond, turnout], catalogue, Notes())
    assert (moved.x_mm, moved.y_mm) == (20, 0)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(
    st.lists(
        st.tuples(st.floats(-500, 500), st.floats(-500, 500), st.floats(0, 180), st.floats(50, 900)),
        min_size=2,
        max_size=9,
    )
)
def test_crossings_of_any_lines_against_solving_two_equations(
    drawn_lines: list[tuple[float, float, float, float]],
) -> None:
    lines = []
    for x, y, turn, half in drawn_lines:
        ux, uy = half * math.cos(math.radians(turn)), half * math.sin(math.radians(turn))
        lines.append([(x - ux, y - uy), (x + ux, y + uy)])
    expected = 0
    for i, (a, b) in enumerate(lines):
        for j, (c, d) in enumerate(lines[:i]):
            apart = abs(drawn_lines[i][2] - drawn_lines[j][2]) % 180
            if min(apart, 180 - apart) < 3.001:
                continue
            determinant = (b[0] - a[0]) * (c[1] - d[1]) - (c[0] - d[0]) * (b[1] - a[1])
            s = ((c[0] - a[0]) * (c[1] - d[1]) - (c[0] - d[0]) * (c[1] - a[1])) / determinant
            t = ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) / determinant
            first, second = math.dist(a, b), math.dist(c, d)
            expected += 1 < s * first < first - 1 and 1 < t * second < second - 1
    found = crossings.find(lines, 1.0, 100.0)
    assert found is not None
    assert len(found) == expected


def test_a_plan_without_tracks_has_no_crossings(read: Any, board: Draw) -> None:
    assert crossings.find([], 1.0, 100.0) == []
    assert read(board).plan.turnouts == ()


def test_lengths_stay_when_a_plan_is_assembled() -> None:
    found = assemble([LONG, SHORT], 1.0, 100.0)
    assert len(found.lines) == 2
    assert [c.at for c in found.crossings] == [pytest.approx(MIDDLE)]
    assert found.partings == ()


def test_slopes_of_a_track() -> None:
    """Level for 200, 1 in 40 over two pieces of 200, down 1 in 20 for 100."""
    points = ((0.0, 0.0), (200.0, 0.0), (400.0, 0.0), (600.0, 0.0), (600.0, 100.0))
    track = Track(id="T", points=points, heights_mm=(0, 0, 5, 10, 5))
    found = [(s.first, s.last, round(s.grade, 6)) for s in heights.slopes(track)]
    assert found == [(0, 1, 0), (1, 3, 0.025), (3, 4, -0.05)]
    assert heights.slopes(Track(id="T", points=points)) == []
    assert heights.height_at(track, (500.0, 0.0)) == 7.5
    assert heights.height_at(track, (600.0, 50.0)) == 7.5
    assert heights.steepest(track) == (0.05, 600)


@pytest.mark.parametrize(
    ("points", "says"),
    [
        # 40 over 800: 5.0 %
        (
            ((100, 250, 0), (900, 250, 40)),
            "TR001 by 40 mm over 800 mm (5.0 %), at its steepest 1 in 20 (5.0 %)",
        ),
        # level, 30 up over 300 (10.0 %), level again
        (
            ((100, 250, 10), (300, 250, 10), (600, 250, 40), (900, 250, 40)),
            "TR001 by 30 mm over 300 mm (10.0 %), at its steepest 1 in 10 (10.0 %)",
        ),
        # 10 over 600 and 20 over 200 (1 in 10), two steps of 10 mm in length 1 mm up that are no gradient
        (
            ((100, 250, 0), (700, 250, 10), (710, 250, 11), (720, 250, 12), (900, 250, 30)),
            "TR001 by 30 mm over 800 mm (3.8 %), at its steepest 1 in 10 (10.0 %)",
        ),
        (((100, 250, 90), (900, 250, 90)), None),  # high up, but level
        (((100, 250, 0), (900, 250, 4)), None),
    ],
)
def test_a_track_drawn_with_a_climb_is_told(read: Any, board: Draw, points: Any, says: str | None) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_polyline3d(points, dxfattribs=TRACK)

    told = read(draw).notes.get("BW-READ-088")
    assert (told is not None) == (says is not None)
    if told and says:
        assert says in told.says
        assert told.severity is Severity.NOTE


def test_the_place_of_a_climb_is_where_it_begins(read: Any, board: Draw) -> None:
    """The branch goes on from a level line, on another layer and in one track with it: its foot is told."""

    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_line((100, 250), (500, 250), dxfattribs=TRACK)
        doc.modelspace().add_polyline3d(((500, 250, 0), (900, 250, 8)), dxfattribs=TRACK)

    (where,) = read(draw).notes["BW-READ-088"].where
    assert (where.item, where.x_mm, where.y_mm) == ("TR001", 500, 250)
    assert where.handle is None


@pytest.mark.parametrize(
    ("up_mm", "limit", "says"),
    [
        # over 800 mm: 32 are 4 %, 40 are 5 %
        (32, {}, ""),
        (40, {}, "steeper than 4 %, which trains may not climb: TR001 1 in 20 (5.0 %)"),
        (40, {"steepest_percent": 5.0}, ""),
        (
            20,
            {"steepest_percent": 2.0},
            "steeper than 2 %, which trains may not climb: TR001 1 in 40 (2.5 %)",
        ),
        (400, {"steepest_percent": 0.0}, ""),
    ],
)
def test_a_climb_steeper_than_the_limit_is_told(
    read: Any, board: Draw, up_mm: float, limit: dict[str, float], says: str
) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_polyline3d(((100, 250, 0), (900, 250, up_mm)), dxfattribs=TRACK)

    told = read(draw, **limit).notes.get("BW-READ-095")
    assert (told.says if told else "") == says
    if told:
        assert told.severity is Severity.CAUTION
        assert f"10 mm up take {1000 / limit.get('steepest_percent', 4.0):.0f} mm" in told.mend
