"""Frames by hand: every length and angle below is worked out beside its check."""

from __future__ import annotations

import math
from collections.abc import Callable

import msgspec
import pytest
import shapely

from boardwright import Notes, Severity
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_timber.model import Board, Frame, Member, MemberRole

type MakeBoard = Callable[..., Board]
SETTINGS = FramingSettings(member_thickness_mm=12, depth_mm=90)
RECTANGLE = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0))


def framed(board: Board, settings: FramingSettings = SETTINGS) -> tuple[Frame, dict[str, Member], Notes]:
    notes = Notes()
    made = frame(board, settings, notes)
    return made, {m.id.removeprefix(f"{board.id}-"): m for m in made.members}, notes


def codes(notes: Notes) -> list[str]:
    return [f.code for f in notes.findings]


def test_rectangle(make_board: MakeBoard) -> None:
    """1200 × 600, both ends on joints. Sides run through: 1200. Ends fit between: 600 - 2 × 12 = 576."""
    made, members, notes = framed(
        make_board(RECTANGLE, joints=(((1200.0, 0.0), (1200.0, 600.0)), ((0.0, 600.0), (0.0, 0.0))))
    )
    assert {n: round(m.length_mm, 6) for n, m in members.items()} == {
        "S1": 1200,
        "E1": 576,
        "S2": 1200,
        "E2": 576,
    }
    assert [m.role for m in made.members] == [MemberRole.SIDE, MemberRole.END] * 2
    assert made.outer == RECTANGLE
    assert made.inner == ((12, 12), (1188, 12), (1188, 588), (12, 588))
    assert members["E1"].outline == ((1200, 12), (1200, 588), (1188, 588), (1188, 12))
    assert all(m.depth_mm == 90 and m.material == "birch ply" for m in made.members)
    assert notes.findings == []


def test_the_longer_members_run_through(make_board: MakeBoard) -> None:
    """500 along the board, 700 across: the 700 mm ends run through, sides are 500 - 24 = 476."""
    ring = ((0.0, 0.0), (500.0, 0.0), (500.0, 700.0), (0.0, 700.0))
    _, members, _ = framed(make_board(ring, joints=(((500.0, 0.0), (500.0, 700.0)),)))
    assert members["E1"].length_mm == pytest.approx(700)
    assert members["S1"].length_mm == pytest.approx(476)


def test_a_square_board_is_framed_like_a_long_one(make_board: MakeBoard) -> None:
    ring = ((0.0, 0.0), (600.0, 0.0), (600.0, 600.0), (0.0, 600.0))
    _, members, _ = framed(make_board(ring))
    assert [round(members[f"S{n}"].length_mm, 6) for n in (1, 2, 3, 4)] == [600, 576, 600, 576]


def test_skewed_board(make_board: MakeBoard) -> None:
    """A parallelogram whose ends lean by atan(300 / 600) = 26.565°.

    An end butts between the sides with both cuts 26.565° off square, one each way. Its faces are as long as
    the room between the sides' inner lines along it: (600 - 24) / cos 26.565° = 643.988. Long point to long
    point adds 12 × tan 26.565° = 6: 649.988. The sides run from outer line to outer line: faces of 1200, so
    1206 in all.
    """
    ring = ((0.0, 0.0), (1200.0, 0.0), (1500.0, 600.0), (300.0, 600.0))
    _, members, _ = framed(make_board(ring))
    lean = math.degrees(math.atan(300 / 600))
    end, side = members["S2"], members["S1"]
    assert math.dist(end.outer_start, end.outer_end) == pytest.approx(576 / math.cos(math.radians(lean)))
    assert math.dist(end.inner_start, end.inner_end) == pytest.approx(576 / math.cos(math.radians(lean)))
    assert end.length_mm == pytest.approx(576 * math.sqrt(1.25) + 6)
    assert sorted((end.left_bevel_deg, end.right_bevel_deg)) == pytest.approx([-lean, lean])
    assert math.dist(side.outer_start, side.outer_end) == pytest.approx(1200)
    assert side.length_mm == pytest.approx(1206)
    assert sorted((side.left_bevel_deg, side.right_bevel_deg)) == pytest.approx([-lean, lean])


def test_inward_corner(make_board: MakeBoard) -> None:
    """An L: 1200 × 400 with an arm up to 900, 400 wide. The longer member runs through at each corner.

    S3 (800 mm edge) goes on past the inward corner by 12, and stops short of nothing: 800 + 12 = 812.
    S4 (500 mm edge) stands against it and runs through at the top: 500.
    """
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 400.0), (400.0, 400.0), (400.0, 900.0), (0.0, 900.0))
    made, members, notes = framed(make_board(ring))
    assert [round(members[f"S{n}"].length_mm, 6) for n in range(1, 7)] == [1200, 376, 812, 500, 376, 888]
    assert made.inner == ((12, 12), (1188, 12), (1188, 388), (388, 388), (388, 888), (12, 888))
    assert notes.findings == []


def test_gentle_corner_is_mitred(make_board: MakeBoard) -> None:
    """Two long front edges meeting at 10°: both are cut 5° off square, so both bevels are 5°."""
    turn = math.radians(10)
    ring = (
        (0.0, 0.0),
        (600.0, 0.0),
        (600.0 + 600 * math.cos(turn), 600 * math.sin(turn)),
        (600.0 + 600 * math.cos(turn), 700.0),
        (0.0, 700.0),
    )
    _, members, _ = framed(make_board(ring))
    assert members["S1"].right_bevel_deg == pytest.approx(5)
    assert members["S2"].left_bevel_deg == pytest.approx(5)


def test_pieces_in_line_make_one_member(make_board: MakeBoard) -> None:
    """A front drawn in four pieces, one vertex 0.01 mm off, is one 1200 mm side."""
    ring = ((0.0, 0.0), (300.0, 0.0), (300.01, 0.01), (900.0, 0.0), *RECTANGLE[1:])
    made, members, _ = framed(make_board(ring))
    assert len(made.members) == 4
    assert members["S1"].length_mm == pytest.approx(1200, abs=0.001)
    assert made.outer[0][1] == pytest.approx(0.01, abs=1e-3), "inside the deck, so behind the stray vertex"


def test_joint_on_part_of_an_edge(make_board: MakeBoard) -> None:
    """Half of an edge on joints makes it an end; a third leaves it a side. The edge stays one member."""
    for share, role in ((0.5, MemberRole.END), (0.33, MemberRole.SIDE)):
        made, _, _ = framed(make_board(RECTANGLE, joints=(((0.0, 0.0), (1200.0 * share, 0.0)),)))
        assert len(made.members) == 4
        assert made.members[0].role is role


def test_two_joints_on_one_edge(make_board: MakeBoard) -> None:
    ring = ((0.0, 0.0), (500.0, 0.0), *RECTANGLE[1:])
    made, _, _ = framed(make_board(ring, joints=(((0.0, 0.0), (500.0, 0.0)), ((500.0, 0.0), (1200.0, 0.0)))))
    assert [m.id for m in made.members] == ["B01-E1", "B01-S1", "B01-S2", "B01-S3"]


def test_bowed_front(make_board: MakeBoard) -> None:
    """A front of 1000 mm radius bulging outwards over 800 mm, sagitta 1000 - √(1000² - 400²) = 83.5 mm.

    One chord would leave 83.5, two equal ones 1000 × (1 - cos(23.578° / 2)) = 21.1 ≤ 25: two members, and the
    deck stands out by 21.1 mm if they are equal.
    """
    half = math.asin(0.4)
    front = [
        (400 + 1000 * math.sin(a), 1000 - 1000 * math.cos(a))
        for a in (half * (k / 40 - 1) for k in range(81))
    ]
    made, _, notes = framed(make_board((*front, (800.0, 600.0), (0.0, 600.0))))
    assert len(made.members) == 5
    deck, outline = shapely.Polygon((*front, (800.0, 600.0), (0.0, 600.0))), shapely.Polygon(made.outer)
    assert outline.difference(deck).area < 1e-6
    out = max(outline.exterior.distance(shapely.Point(p)) for p in front)
    assert out == pytest.approx(1000 * (1 - math.cos(half / 2)), abs=0.5)
    assert codes(notes) == ["BW-FRAME-007"]


def test_hollow_front(make_board: MakeBoard) -> None:
    """The same front hollow: members are moved back until they touch the curve from inside, never over it."""
    half = math.asin(0.4)
    front = [
        (400 + 1000 * math.sin(a), 1000 * math.cos(a) - 1000 * math.cos(half))
        for a in (half * (k / 40 - 1) for k in range(81))
    ]
    ring = (*front, (800.0, 600.0), (0.0, 600.0))
    made, _, notes = framed(make_board(ring))
    deck, outline = shapely.Polygon(ring), shapely.Polygon(made.outer)
    assert outline.difference(deck).area < 1e-6
    assert len(made.members) == 5
    touching = min(outline.exterior.distance(shapely.Point(p)) for p in front[20:60])
    assert touching < 1e-6
    assert codes(notes) == ["BW-FRAME-007"]


def test_notch_sets_the_member_back(make_board: MakeBoard) -> None:
    """A 20 × 20 notch in the front gets no members of its own: the front member goes behind it."""
    ring = ((0.0, 0.0), (500.0, 0.0), (500.0, 20.0), (520.0, 20.0), (520.0, 0.0), *RECTANGLE[1:])
    made, _, notes = framed(make_board(ring))
    assert made.outer == ((0, 20), (1200, 20), (1200, 600), (0, 600))
    assert codes(notes) == ["BW-FRAME-007"]


def test_notch_deeper_than_the_overhang_is_framed(make_board: MakeBoard) -> None:
    ring = ((0.0, 0.0), (500.0, 0.0), (500.0, 100.0), (700.0, 100.0), (700.0, 0.0), *RECTANGLE[1:])
    made, _, notes = framed(make_board(ring))
    assert len(made.members) == 8
    assert notes.findings == []


def test_rounded_corner_beside_a_joint_moves_the_side(make_board: MakeBoard) -> None:
    """A corner rounded at 15 mm: the end stays on its joint, the side goes back by the 15 mm."""
    round_corner = [
        (1185 + 15 * math.sin(a), 15 - 15 * math.cos(a)) for a in (math.radians(10 * k) for k in range(10))
    ]
    ring = ((0.0, 0.0), *round_corner, (1200.0, 600.0), (0.0, 600.0))
    made, members, _ = framed(make_board(ring, joints=(((1200.0, 15.0), (1200.0, 600.0)),)))
    assert members["E1"].outer_start[0] == pytest.approx(1200)
    assert made.outer[0] == pytest.approx((0, 15))


@pytest.mark.parametrize("radius", range(5, 80, 5))
def test_rounded_corners_all_round(make_board: MakeBoard, radius: int) -> None:
    """Up to 75 mm: four members. Edges that share a corner go back by radius × (1 - cos 45°) = 22 mm at most.

    From 78 mm on half the corner's arc, 2 × radius × sin 22.5°, is as long as the shortest member.
    """
    ring = shapely.box(radius, radius, 1200 - radius, 600 - radius).buffer(radius, quad_segs=12)
    made, _, notes = framed(make_board(tuple(ring.exterior.coords[:-1])))
    assert len(made.members) == 4
    assert {f.severity for f in notes.findings} <= {Severity.NOTE}
    assert shapely.Polygon(made.outer).area >= (1200 - 2 * 25) * (600 - 2 * 25)


def test_well(make_board: MakeBoard) -> None:
    """A 500 × 200 well: long sides run through 500 + 2 × 12 = 524, short ones between outer faces: 200."""
    well = ((300.0, 300.0), (300.0, 500.0), (800.0, 500.0), (800.0, 300.0))
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 800.0), (0.0, 800.0))
    made, members, notes = framed(make_board(ring, wells=(well,)))
    assert [round(members[f"W{n}"].length_mm, 6) for n in (1, 2, 3, 4)] == [200, 524, 200, 524]
    assert made.wells == (well,)
    assert made.inner_wells == (((288, 288), (288, 512), (812, 512), (812, 288)),)
    assert all(members[f"W{n}"].role is MemberRole.WELL_SIDE for n in (1, 2, 3, 4))
    assert notes.findings == []


def test_turned_board(make_board: MakeBoard) -> None:
    """A board that lies at 37° in plan is framed like one that does not, and numbered alike."""
    plain, _, _ = framed(make_board(RECTANGLE))
    origin, angle = (310.0, -47.0), 37.0
    straight = make_board(RECTANGLE)
    turned = Board(
        id="B01",
        outline="O1",
        level_mm=0,
        origin=origin,
        angle_deg=angle,
        length_mm=1200,
        width_mm=600,
        ring=tuple(
            Board(
                id="t",
                outline="O1",
                level_mm=0,
                ring=(),
                origin=origin,
                angle_deg=angle,
                length_mm=1,
                width_mm=1,
            ).to_plan(p)
            for p in straight.ring
        ),
    )
    made, _, _ = framed(turned)
    for a, b in zip(plain.members, made.members, strict=True):
        assert a.id == b.id
        for p, q in zip(a.outline, b.outline, strict=True):
            assert math.dist(p, q) < 1e-5


def test_numbering_does_not_depend_on_where_the_ring_starts(make_board: MakeBoard) -> None:
    plain, _, _ = framed(make_board(RECTANGLE))
    for k in range(4):
        assert framed(make_board(RECTANGLE[k:] + RECTANGLE[:k]))[0] == plain
    assert framed(make_board(tuple(reversed(RECTANGLE))))[0] == plain


def test_tiny_board(make_board: MakeBoard) -> None:
    """60 × 40: 60 mm sides, 40 - 24 = 16 mm ends, with a caution for each short member."""
    _, members, notes = framed(make_board(((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0))))
    assert [round(members[f"S{n}"].length_mm, 6) for n in (1, 2, 3, 4)] == [60, 16, 60, 16]
    assert codes(notes) == ["BW-FRAME-004", "BW-FRAME-004"]


def test_board_too_narrow_for_two_members(make_board: MakeBoard) -> None:
    """20 mm wide: two 12 mm members do not fit side by side, and there is no room for ends between them."""
    made, _, notes = framed(make_board(((0.0, 0.0), (600.0, 0.0), (600.0, 20.0), (0.0, 20.0))))
    assert {"BW-FRAME-002", "BW-FRAME-003"} <= set(codes(notes))
    assert all(f.severity is Severity.FAULT for f in notes.findings)
    assert all(m.length_mm > 0 for m in made.members)


def test_neck(make_board: MakeBoard) -> None:
    """Two roomy halves joined by a neck 18 mm wide and 200 long: its members collide, and it says where."""
    ring = (
        (0.0, 0.0),
        (400.0, 0.0),
        (400.0, 300.0),
        (600.0, 300.0),
        (600.0, 0.0),
        (1000.0, 0.0),
        (1000.0, 600.0),
        (600.0, 600.0),
        (600.0, 318.0),
        (400.0, 318.0),
        (400.0, 600.0),
        (0.0, 600.0),
    )
    _, _, notes = framed(make_board(ring))
    faults = [f for f in notes.findings if f.code == "BW-FRAME-003"]
    assert faults
    assert any(abs(f.where[0].x_mm - 500) < 1 and abs(f.where[0].y_mm - 309) < 1 for f in faults)


def test_sharp_corner(make_board: MakeBoard) -> None:
    """A wedge of atan(500 / 1200) = 22.6° is cut 67.4° off square: too much for a saw. 14° is refused."""
    _, _, notes = framed(make_board(((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0))))
    assert codes(notes) == ["BW-FRAME-005"]
    assert "67.4°" in notes.findings[0].says
    _, _, notes = framed(make_board(((0.0, 0.0), (1200.0, 0.0), (1200.0, 300.0))))
    assert codes(notes) == ["BW-FRAME-006"]


def test_no_overhang_allowed_at_a_curve_is_a_fault_not_a_crash(make_board: MakeBoard) -> None:
    front = [(600 - 600 * math.cos(a), -200 * math.sin(a)) for a in (math.pi * k / 60 for k in range(61))]
    made, _, notes = framed(
        make_board((*front, (1200.0, 600.0), (0.0, 600.0))), FramingSettings(max_overhang_mm=0.05)
    )
    assert made.members
    assert any(f.severity in (Severity.FAULT, Severity.CAUTION) for f in notes.findings)


def test_a_member_does_not_cut_across_an_inward_corner(make_board: MakeBoard) -> None:
    """A curved corner runs into an inward one: the member beside it must not reach out past the deck there.

    A tail of 22 mm at 45° leads from a long side to the inward corner at (600, 300); a straight member over
    side and tail, carried on to meet the next edge, would stand in the open.
    """
    ring = (
        (0.0, 0.0),
        (1000.0, 0.0),
        (1000.0, 300.0),
        (600.0, 300.0),
        (616.0, 316.0),
        (560.0, 700.0),
        (0.0, 700.0),
    )
    made, _, _ = framed(make_board(ring))
    deck = shapely.Polygon(ring).buffer(0.001, join_style="mitre")
    assert all(shapely.Polygon(m.outline).difference(deck).is_empty for m in made.members)


def test_a_scrap_smaller_than_its_members(make_board: MakeBoard) -> None:
    """10 × 8: there is no room for any member, which is told and is no crash."""
    made, _, notes = framed(make_board(((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0))))
    assert "BW-FRAME-002" in codes(notes)
    assert all(m.length_mm > 0 for m in made.members)


def test_strips_that_would_lie_flat_are_refused() -> None:
    """90 deep and 90 thick is a square post: allowed. 80 deep and 90 thick is a strip on its side."""
    assert msgspec.convert({"depth_mm": 90, "member_thickness_mm": 90}, FramingSettings).depth_mm == 90
    with pytest.raises(
        msgspec.ValidationError, match=r"depth_mm \(80\) must be at least member_thickness_mm"
    ):
        msgspec.convert({"depth_mm": 80, "member_thickness_mm": 90}, FramingSettings)
