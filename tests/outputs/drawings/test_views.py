"""What the views show, and where."""

from __future__ import annotations

import math
from types import SimpleNamespace

import msgspec
import pytest

from boardwright.display import DisplaySettings
from boardwright.plan.model import Outline, Track
from boardwright_outputs.drawings.drawing import Circle, Drawing, Polyline, Role, Text, box_of, item_box
from boardwright_outputs.drawings.pen import Pen
from boardwright_outputs.drawings.views.board import turned_words
from boardwright_outputs.drawings.views.board_labels import named_on
from boardwright_outputs.drawings.views.general import general_arrangement, level_views, text_mm, without_list
from boardwright_outputs.drawings.views.parted import parted
from boardwright_outputs.drawings.views.profile import hole_role
from boardwright_outputs.drawings.views.routed import router_words
from boardwright_outputs.drawings.views.sheet import sheet_drawing
from boardwright_timber.model import Crossing, Face, Hole, HoleKind
from boardwright_timber.model.routing import Routing


def texts(drawing: Drawing) -> list[str]:
    return [i.text for i in drawing.items if isinstance(i, Text)]


def runs(drawing: Drawing, role: Role) -> list[Polyline]:
    return [i for i in drawing.items if isinstance(i, Polyline) and i.role is role]


def test_general_arrangement_names_everything(drawings: dict[str, Drawing]) -> None:
    said = texts(drawings["general"])
    assert {"B01", "B02", "J01", "M1", "F1", "2100", "600", "Two board test"} <= set(said)
    assert "Model scale 1:76.2. Sizes in mm." in said
    assert {"B01  1200 × 600", "B02  900 × 600"} <= set(said)
    figures = [i for i in drawings["general"].items if isinstance(i, Text) and i.role is Role.DIMENSION]
    assert {"0", "1200", "2100"} <= {i.text for i in figures if i.angle_deg == 90.0}  # J01, from the left end
    (joint,) = runs(drawings["general"], Role.JOINT)
    assert joint.points == ((1200.0, 0.0), (1200.0, 600.0))
    # 4 members of each frame, 3 + 1 joists
    assert len(runs(drawings["general"], Role.MEMBER)) == 12


def test_a_page_that_lists_its_boards_does_without_the_list(
    layout: SimpleNamespace, drawings: dict[str, Drawing]
) -> None:
    """Nothing else is missing, and what stands lowest is as far from the frame."""
    whole = drawings["general"]
    page = without_list(whole, layout.splitting.boards, DisplaySettings())
    gone = set(texts(whole)) - set(texts(page))
    assert gone == {"Boards, length × width:", "B01  1200 × 600", "B02  900 × 600"}
    assert len(whole.items) - len(page.items) == 3
    lowest = [min(item_box(i).bottom for i in d.items) - d.frame.bottom for d in (whole, page)]
    assert lowest[0] == pytest.approx(lowest[1])
    assert page.frame.bottom > whole.frame.bottom
    assert (page.frame.left, page.frame.right, page.frame.top) == (
        whole.frame.left,
        whole.frame.right,
        whole.frame.top,
    )


def test_boards_and_joints_stand_alone_with_the_room_they_leave(layout: SimpleNamespace) -> None:
    """A joint 84.4 mm from a turnout, 25 from a device, tracks 4 and 11.6° off square; a board with room."""
    (joint,) = layout.splitting.joints
    crossed = tuple(
        Crossing(track="T", x_mm=1200.0, y_mm=y, off_square_deg=a) for y, a in ((9, 4), (99, 11.6))
    )
    joint = msgspec.structs.replace(joint, nearest_turnout_mm=84.4, nearest_device_mm=25.0, crossings=crossed)
    first, *others = layout.splitting.boards
    first = msgspec.structs.replace(first, margins="12.5 mm under the longest; 3.8 of 15 kg left")
    splitting = msgspec.structs.replace(layout.splitting, boards=(first, *others), joints=(joint,))
    said = texts(parted(layout.plan, splitting, layout.plans))
    assert {"B01", "B02", "J01: T 84, D 25, 12°"} <= set(said)
    assert "B01: 12.5 mm under the longest; 3.8 of 15 kg left" in said
    assert not runs(parted(layout.plan, splitting, layout.plans), Role.MEMBER)
    comma = texts(parted(layout.plan, splitting, layout.plans, DisplaySettings(decimal_sign=",")))
    assert any(t.startswith("B01: 12,5 mm under the longest; ") for t in comma)
    inches = texts(parted(layout.plan, splitting, layout.plans, DisplaySettings(units="in")))
    assert {'B01: 1/2" under the longest; 3.8 of 15 kg left', 'J01: T 3 5/16", D 31/32", 12°'} <= set(inches)


def test_the_room_boards_leave_makes_no_drawing_wider(layout: SimpleNamespace) -> None:
    """300 letters of a height of 1/90 of the layout's length are some three times as long as the layout."""
    bare = parted(layout.plan, layout.splitting, layout.plans)
    boards = tuple(msgspec.structs.replace(b, margins="12 mm short; " * 23) for b in layout.splitting.boards)
    told = parted(layout.plan, msgspec.structs.replace(layout.splitting, boards=boards), layout.plans)
    assert told.frame.width <= bare.frame.width + 1
    lines = [t for t in told.items if isinstance(t, Text) and "12 mm short" in t.text]
    assert len(lines) >= 3 * len(boards)
    assert {t.height_mm for t in lines} == {text_mm(box_of(list(layout.plan.outlines[0].ring)))}


def test_a_level_above_is_drawn_beside(layout: SimpleNamespace) -> None:
    upper = Outline(id="O2", ring=((0.0, 0.0), (500.0, 0.0), (500.0, 300.0), (0.0, 300.0)), level_mm=1300.0)
    plan = msgspec.structs.replace(layout.plan, outlines=(*layout.plan.outlines, upper))
    drawing = general_arrangement(plan, layout.splitting, layout.plans, layout.frames, layout.joists)
    assert {"Level 1000 mm", "Level 1300 mm"} <= set(texts(drawing))
    (ring,) = (r for r in runs(drawing, Role.OUTLINE) if len(r.points) == 4 and r.points[1][0] == 500.0)
    assert min(y for _, y in ring.points) > 600  # clear of the level below


def test_the_place_of_a_name_without_room_is_that_of_the_plan(
    layout: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> None:
    """M1 is drawn at (650, 360); its level is shifted on the paper, for there is another below it."""
    low = Outline(id="O0", ring=((0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0)), level_mm=700)
    plan = msgspec.structs.replace(layout.plan, outlines=(low, *layout.plan.outlines))
    monkeypatch.setattr(Pen, "written_beside", lambda *_, **__: False)
    drawing = general_arrangement(plan, layout.splitting, layout.plans, layout.frames, layout.joists)
    assert "M1 (at 650, 360)" in texts(drawing)


def test_the_sizes_of_each_level_stand_beside_it(layout: SimpleNamespace) -> None:
    """A lower level 700 × 300, further in, and the two boards on the upper one: their joint's place stands
    below the upper level and above the lower, the lower one's size below it."""
    low = Outline(
        id="O0", ring=((200.0, 100.0), (900.0, 100.0), (900.0, 400.0), (200.0, 400.0)), level_mm=700
    )
    plan = msgspec.structs.replace(layout.plan, outlines=(low, *layout.plan.outlines))
    drawing = general_arrangement(plan, layout.splitting, layout.plans, layout.frames, layout.joists)
    joint = runs(drawing, Role.JOINT)[0]
    foot = min(y for _, y in joint.points)
    figures = [i for i in drawing.items if isinstance(i, Text) and i.role is Role.DIMENSION]
    assert "Joints are dimensioned from the left and lower ends of each level." in texts(drawing)
    for figure in ("1200", "2100"):
        (item, *others) = [i for i in figures if i.text == figure]
        assert 400 < item_box(item).bottom < item_box(item).top < foot
        assert all(400 < item_box(i).bottom < foot for i in others)
    (lying,) = [i for i in figures if i.text == "700"]
    assert item_box(lying).top < 100
    (upright,) = [i for i in figures if i.text == "300"]
    assert 100 < item_box(upright).bottom < item_box(upright).top < 400


def test_words_above_a_sheet_are_hardly_wider_than_it(layout: SimpleNamespace) -> None:
    """Else the whole sheet is drawn smaller on paper; none of the words is lost."""
    sheet = layout.cutting.sheets[0]
    routing = Routing(tool_mm=6.35, gap_mm=10.35, tab_mm=8.0, tab_height_mm=2.4)
    parts = {p.id: p for b in layout.parts.values() for p in b.cut}
    for units in ("mm", "in", "mm and in"):
        show = DisplaySettings(units=units)
        drawing = sheet_drawing(msgspec.structs.replace(sheet, routing=routing, cuts=()), parts, show=show)
        above = [
            i for i in drawing.items if isinstance(i, Text) and i.y_mm > sheet.width_mm and not i.angle_deg
        ]
        assert all(i.box.right <= sheet.length_mm + 4 * i.height_mm for i in above)
        read = " ".join(i.text for i in sorted(above, key=lambda i: -i.y_mm))
        assert all(words in read for words in router_words(routing, sheet.trim_mm, show))


@pytest.mark.parametrize("back_mm", [0.0, 300.0])
def test_a_level_above_stands_just_above_the_one_below(layout: SimpleNamespace, back_mm: float) -> None:
    """A shelf at the back is drawn as near as one at the front: 14 heights of text above the lower one."""
    ring = tuple((x, y + back_mm) for x, y in ((0.0, 0.0), (500.0, 0.0), (500.0, 250.0), (0.0, 250.0)))
    upper = Outline(id="O2", ring=ring, level_mm=1300.0)
    plan = msgspec.structs.replace(layout.plan, outlines=(*layout.plan.outlines, upper))
    box = box_of([p for o in plan.outlines for p in o.ring])
    views = level_views(plan, box, 10.0)
    assert list(views) == [1000.0, 1300.0]
    lowest = min(views[1300.0][0](p)[1] for p in ring)
    assert lowest == pytest.approx(box.top + 140, abs=1.51)  # to a whole millimetre, and one more
    assert all(views[1000.0][0](p) == p for p in ring)
    assert views[1300.0][1] == 250 + back_mm


def test_heights_along_a_track_are_told_once_also_where_there_are_two_levels(layout: SimpleNamespace) -> None:
    """From 0 at x = 0 to 30 at x = 1500, over a joint at x = 1200: 24 there, 1 in 50 all the way."""
    points, joint = tuple((float(x), 300.0) for x in range(0, 1501, 100)), layout.splitting.joints[0]
    climbing = Track(id="T1", points=points, heights_mm=tuple(x / 50 for x, _ in points))
    crossing = Crossing(track="T1", x_mm=1200.0, y_mm=300.0, off_square_deg=0.0)
    joints = (msgspec.structs.replace(joint, crossings=(crossing,)),)
    splitting = msgspec.structs.replace(layout.splitting, joints=joints)
    upper = Outline(id="O2", ring=((0.0, 0.0), (500.0, 0.0), (500.0, 300.0), (0.0, 300.0)), level_mm=1300.0)
    plans = {
        name: msgspec.structs.replace(
            layout.plans[name],
            tracks=(
                msgspec.structs.replace(climbing, points=points[part], heights_mm=climbing.heights_mm[part]),
            ),
        )
        for name, part in (("B01", slice(0, 13)), ("B02", slice(12, None)))
    }
    for outlines in (layout.plan.outlines, (*layout.plan.outlines, upper)):
        plan = msgspec.structs.replace(layout.plan, outlines=outlines, tracks=(climbing,))
        drawing = general_arrangement(plan, splitting, plans, layout.frames, layout.joists)
        said = [i.text for i in drawing.items if isinstance(i, Text) and i.role is not Role.DIMENSION]
        told = [t for t in said if t in ("0", "1 in 50") or t.startswith("+")]
        assert sorted(told) == ["+24", "+30", "0", "1 in 50"]


def test_the_underside_is_mirrored(layout: SimpleNamespace, drawings: dict[str, Drawing]) -> None:
    """Joist K1 of B01 lies 340 to 352 from the datum end. From above it is there; from below as far from the
    right-hand edge of its view as it is from the left-hand edge from above."""
    outlines = runs(drawings["B01"], Role.OUTLINE)
    assert len(outlines) == 2
    left, right = outlines
    assert min(x for x, _ in left.points) == 0.0
    right_edge = max(x for x, _ in right.points)
    spans = sorted(
        (min(x for x, _ in m.points), max(x for x, _ in m.points)) for m in runs(drawings["B01"], Role.MEMBER)
    )
    assert (340.0, 352.0) in spans
    assert any((lo, hi) == pytest.approx((right_edge - 352.0, right_edge - 340.0)) for lo, hi in spans)


@pytest.mark.parametrize(
    ("angle_deg", "says"),
    [
        (0.0, ""),
        (90.0, ". Against the plan this board is turned 90° clockwise"),
        (-22.5, ". Against the plan this board is turned 22.5° anticlockwise"),
        (350.0, ". Against the plan this board is turned 10° anticlockwise"),
    ],
)
def test_a_board_turned_against_the_plan_says_so(
    layout: SimpleNamespace, angle_deg: float, says: str
) -> None:
    """What points up the plan points to the right of a drawing turned 90° clockwise."""
    board = msgspec.structs.replace(layout.boards["B01"], angle_deg=angle_deg)
    assert turned_words(board) == says
    (x0, y0), (x1, y1) = board.to_local((0.0, 0.0)), board.to_local((0.0, 1.0))
    clockwise = math.degrees(math.atan2(x1 - x0, y1 - y0)) % 360
    assert clockwise == pytest.approx(angle_deg % 360, abs=1e-9)


def test_parts_are_named_without_their_board_but_where_a_device_or_joint_has_their_letters(
    layout: SimpleNamespace, drawings: dict[str, Drawing]
) -> None:
    """B01 has a joint J01 and devices F1 and M1: no joist J1 and no flange F2 are on its sheet. B02 has no
    device: F2 is clear there. R1 of another board keeps its name."""
    named = named_on(layout.boards["B01"], layout.plans["B01"])
    said = [named(f"B01-{own}") for own in ("R10", "S1", "J1", "F2", "P1")]
    assert said == ["R10", "S1", "B01-J1", "B01-F2", "P1"]
    other = named_on(layout.boards["B02"], layout.plans["B02"])
    assert [other(f"B02-{own}") for own in ("F2", "J3")] == ["F2", "B02-J3"]
    assert other("B01-R1") == "B01-R1"
    said = texts(drawings["B01"])
    assert {"S1", "S2", "S3", "E1"} <= set(said)
    assert said.count("B01- is left off the names of parts where that is clear") == 2


def test_joists_are_dimensioned_from_the_datum_end_in_both_views(drawings: dict[str, Drawing]) -> None:
    said = texts(drawings["B01"])
    for figure in ("760", "790"):
        assert said.count(figure) == 2
    # the steps between them: 340, 420, 30 (no room for its figure) and 410; 340 is also the first distance
    assert (said.count("340"), said.count("420"), said.count("410")) == (4, 2, 2)
    assert said.count("datum end") == 2
    assert "Joists: from the datum end of the board to their face nearest to it" in said


def test_end_elevation_shows_the_mating_holes(drawings: dict[str, Drawing]) -> None:
    holes = [i for i in drawings["B01"].items if isinstance(i, Circle)]
    assert sorted(2 * h.radius_mm for h in holes) == [8.0, 8.0, 8.5, 8.5, 25.0]
    assert "B01-E1 seen from outside the board" in texts(drawings["B01"])


def test_a_part_lists_its_holes(drawings: dict[str, Drawing]) -> None:
    said = texts(drawings["B01-S1"])
    assert "10 from back" in said
    assert "10" in said
    assert any("12.5° off square" in t for t in texts(drawings["B02-S2"]))


def test_a_turned_part_lies_where_it_was_placed(
    layout: SimpleNamespace, drawings: dict[str, Drawing]
) -> None:
    """B02's deck, 900 × 600, turned a quarter anticlockwise onto (1213, 10): it fills 600 × 900 there, and
    its corner (0, 0) goes to the lower right, (1813, 10)."""
    ring = next(r for r in runs(drawings["S01"], Role.THROUGH_CUT) if len(r.points) > 60)
    xs, ys = [p[0] for p in ring.points], [p[1] for p in ring.points]
    assert (min(xs), max(xs)) == pytest.approx((1213.0, 1813.0), abs=1e-6)
    assert (min(ys), max(ys)) == pytest.approx((10.0, 910.0), abs=1e-3)
    assert ring.points[0] == pytest.approx((1813.0, 10.0), abs=1e-6)


def test_saw_lines_run_in_the_middle_of_the_kerf(drawings: dict[str, Drawing]) -> None:
    """Cut 1 at 1210 with a 3 mm kerf: its line is x = 1211.5."""
    across, along = runs(drawings["S01"], Role.SAW_CUT)
    assert across.points == ((1211.5, 0.0), (1211.5, 1220.0))
    assert along.points == ((0.0, 611.5), (1210.0, 611.5))
    numbers = [i.text for i in drawings["S01"].items if isinstance(i, Text) and i.role is Role.SAW_CUT]
    assert numbers == ["1", "2"]


@pytest.mark.parametrize(
    ("face", "depth", "tilt", "role"),
    [
        (Face.OUTER, None, 0.0, Role.HOLE),
        (Face.INNER, None, 0.0, Role.HOLE),  # right through: the same from either face
        (Face.OUTER, 10.0, 0.0, Role.POCKET),
        (Face.INNER, 10.0, 0.0, Role.BACK_HOLE),
        (Face.OUTER, None, 12.5, Role.MARK),  # off square: no upright drill may follow it
        (Face.INNER, None, -12.5, Role.BACK_HOLE),
    ],
)
def test_what_a_hole_means_to_a_machine(face: Face, depth: float | None, tilt: float, role: Role) -> None:
    hole = Hole(
        kind=HoleKind.PILOT, x_mm=1.0, y_mm=2.0, diameter_mm=3.0, depth_mm=depth, face=face, tilt_deg=tilt
    )
    assert hole_role(hole) is role
