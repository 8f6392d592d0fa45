"""Drawn joints are obeyed, drawn on to the edge when they nearly reach it, and checked."""

from __future__ import annotations

import math
from typing import Any

import pytest

from boardwright import Severity
from boardwright.errors import InputError
from boardwright.plan.model import Device, DrawnJoint, LiftOut, Outline, Track, Turnout

SHELF = ((0.0, 0.0), (2400.0, 0.0), (2400.0, 500.0), (0.0, 500.0))
ROOM = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2400.0), (0.0, 2400.0))
WELL = ((500.0, 500.0), (500.0, 1900.0), (2500.0, 1900.0), (2500.0, 500.0))


def drawn(name: str, *ends: tuple[float, float]) -> DrawnJoint:
    return DrawnJoint(id=name, start=ends[0], end=ends[1])


def codes(findings: list[Any]) -> list[str]:
    return sorted(f.code for f in findings)


def test_a_drawn_joint_is_obeyed_and_the_rest_filled_in(plan_of: Any, cut: Any) -> None:
    made, findings = cut(plan_of(SHELF, drawn_joints=(drawn("D1", (700, 0), (700, 500)),)))
    assert [(j.start, j.end) for j in made.joints if j.drawn] == [((700, 0), (700, 500))]
    assert [round(b.length_mm) for b in made.boards] == [700, 850, 850]
    assert [j.drawn for j in made.joints] == [True, False]
    assert findings == []


def test_a_slanting_drawn_joint_is_obeyed(plan_of: Any, cut: Any) -> None:
    made, _ = cut(plan_of(SHELF, drawn_joints=(drawn("D1", (1100, 0), (1000, 500)),)))
    joint = next(j for j in made.joints if j.drawn)
    assert {joint.start, joint.end} == {(1100.0, 0.0), (1000.0, 500.0)}


def test_a_joint_that_stops_just_short_is_drawn_on(plan_of: Any, cut: Any) -> None:
    made, findings = cut(plan_of(SHELF, drawn_joints=(drawn("D1", (1200, 4), (1200, 530)),)))
    assert [(j.start, j.end) for j in made.joints] == [((1200, 0), (1200, 500))]
    (mended,) = findings
    assert (mended.code, mended.severity) == ("BW-SPLIT-007", Severity.MENDED)
    assert "4.0 mm short" in mended.says


def test_a_joint_that_does_not_reach_is_a_caution(plan_of: Any, cut: Any) -> None:
    made, findings = cut(plan_of(SHELF, drawn_joints=(drawn("D1", (1100, 0), (1100, 400)),)))
    assert codes(findings) == ["BW-SPLIT-005"]
    assert "400 mm of it could not be followed; it ends 100 mm short" in findings[0].says
    assert not any(j.drawn for j in made.joints)


def test_a_joint_that_ends_short_where_the_boards_part_all_the_same_is_no_end(plan_of: Any, cut: Any) -> None:
    """The shelf parts best in its middle, just where a line is drawn that stops 40 mm short of the edge."""
    made, findings = cut(plan_of(SHELF, drawn_joints=(drawn("D1", (1200, 0), (1200, 460)),)))
    assert [(j.start[0], j.drawn) for j in made.joints] == [(1200, False)]
    assert [b.ends for b in made.boards] == [(), ()]
    assert codes(findings) == ["BW-SPLIT-005"]
    assert "it ends 40 mm short" in findings[0].says


def test_a_joint_where_an_edge_bends_away_is_followed_once(plan_of: Any, cut: Any) -> None:
    """A straight edge runs into a quarter circle at (1200, 0), where the joint is drawn: no complaint."""
    arc = tuple(
        (1200 + 300 * math.sin(math.radians(a)), -300 + 300 * math.cos(math.radians(a)))
        for a in range(0, 91, 5)
    )
    ring = (
        (0.0, 0.0),
        *((round(x, 6), round(y, 6)) for x, y in arc),
        (1500.0, -900.0),
        (2000.0, -900.0),
        (2000.0, 450.0),
        (0.0, 450.0),
    )
    made, findings = cut(plan_of(ring, drawn_joints=(drawn("D1", (1200, 0), (1200, 450)),)))
    assert [(j.start, j.end) for j in made.joints if j.drawn] == [((1200.0, 0.0), (1200.0, 450.0))]
    assert "BW-SPLIT-005" not in codes(findings)


def test_a_joint_off_the_layout_parts_nothing(plan_of: Any, cut: Any) -> None:
    _, findings = cut(plan_of(SHELF, drawn_joints=(drawn("D1", (3000, 0), (3000, 500)),)))
    assert codes(findings) == ["BW-SPLIT-006"]


def test_a_joint_along_the_edge_mates_with_the_next_module(plan_of: Any, cut: Any) -> None:
    """Both ends of a shelf, one drawn 8 mm short and 0.5 mm beside: they reach the corners, on the edge."""
    left, right = drawn("D1", (0, 0), (0, 500)), drawn("D2", (2400.5, 8), (2400.5, 492))
    made, findings = cut(plan_of(SHELF, drawn_joints=(left, right)))
    assert findings == []
    ends = [(e.id, b.id, e.start, e.end) for b in made.boards for e in b.ends]
    assert ends == [  # the board on the left of each
        ("E01", made.boards[0].id, (0, 500), (0, 0)),
        ("E02", made.boards[-1].id, (2400, 0), (2400, 500)),
    ]
    assert all(e.boards == (b.id, b.id) for b in made.boards for e in b.ends)


def test_a_joint_between_two_outlines(plan_of: Any, cut: Any) -> None:
    """A second outline beside the first, 40 lower: a line along both makes a joint, none is left an end."""
    low = Outline(
        id="U", ring=((2400.0, 0.0), (3000.0, 0.0), (3000.0, 400.0), (2400.0, 400.0)), level_mm=-40.0
    )
    made, findings = cut(plan_of(SHELF, outlines=(low,), drawn_joints=(drawn("D1", (2400, 0), (2400, 500)),)))
    joint = made.joints[-1]
    high = {b.level_mm: b.id for b in made.boards if joint.id in {j.id for j in b.joints}}
    assert set(high) == {0.0, -40.0}
    first = next(b for b in made.boards if b.id == joint.boards[0])
    assert joint.drop_mm == (40.0 if first.level_mm == 0.0 else -40.0)
    assert {joint.start, joint.end} == {(2400, 0), (2400, 400)}
    assert not any(b.ends for b in made.boards)
    assert not [f for f in findings if f.code == "BW-SPLIT-006"]


def test_drawn_joints_may_end_on_one_another(plan_of: Any, cut: Any) -> None:
    """A T: the second joint ends on the first, although it is listed before it."""
    plan = plan_of(
        ((0.0, 0.0), (1200.0, 0.0), (1200.0, 1000.0), (0.0, 1000.0)),
        drawn_joints=(drawn("D1", (600, 0), (600, 500)), drawn("D2", (0, 500), (1200, 500))),
    )
    made, findings = cut(plan)
    assert sorted((b.length_mm, b.width_mm) for b in made.boards) == [(600, 500), (600, 500), (1200, 500)]
    assert len(made.joints) == 3
    assert findings == []


def test_two_joints_free_a_lift_out_from_a_ring(plan_of: Any, cut: Any) -> None:
    pair = (drawn("D1", (1000, 0), (1000, 500)), drawn("D2", (1900, 0), (1900, 500)))
    made, findings = cut(
        plan_of(ROOM, (WELL,), drawn_joints=pair, lift_outs=(LiftOut(id="L", x_mm=1500, y_mm=9),))
    )
    (lift_out,) = [b for b in made.boards if b.lift_out]
    assert (lift_out.length_mm, lift_out.width_mm) == (898, 500)  # 1900 - 1000, less 1 mm at each joint
    assert [j.drawn for j in lift_out.joints] == [True, True]
    assert findings == []


def test_one_joint_into_a_ring_is_obeyed_and_the_ring_cut_on(plan_of: Any, cut: Any) -> None:
    made, findings = cut(plan_of(ROOM, (WELL,), drawn_joints=(drawn("D1", (1500, 0), (1500, 500)),)))
    assert [j.drawn for j in made.joints].count(True) == 1
    assert findings == []


def test_a_joint_to_the_well_of_a_board_that_need_not_be_cut_parts_nothing(plan_of: Any, cut: Any) -> None:
    well = ((400.0, 200.0), (400.0, 500.0), (600.0, 500.0), (600.0, 200.0))
    small = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 700.0), (0.0, 700.0))
    made, findings = cut(plan_of(small, (well,), drawn_joints=(drawn("D1", (500, 0), (500, 200)),)))
    assert codes(findings) == ["BW-SPLIT-006"]
    assert len(made.boards) == 1
    assert len(made.boards[0].wells) == 1


def test_a_drawn_joint_across_a_turnout_is_obeyed_and_a_fault(plan_of: Any, cut: Any) -> None:
    ring = ((1150.0, 200.0), (1250.0, 200.0), (1250.0, 260.0), (1150.0, 260.0))
    plan = plan_of(
        SHELF,
        turnouts=(Turnout(id="T3", x_mm=1150, y_mm=230, ring=ring),),
        drawn_joints=(drawn("D1", (1200, 0), (1200, 500)),),
    )
    made, findings = cut(plan)
    assert [j.drawn for j in made.joints] == [True]
    assert [(f.code, f.severity) for f in findings] == [("BW-SPLIT-002", Severity.FAULT)]
    assert "turnout T3" in findings[0].says
    assert made.joints[0].nearest_turnout_mm == 0


def test_a_drawn_joint_near_a_device_is_a_caution_with_the_distance(plan_of: Any, cut: Any) -> None:
    """Half length 30 + clearance 15: the keep-out ends at 1195, 5 mm from the joint; 10 are wanted."""
    device = Device(
        id="M1",
        kind="motor",
        x_mm=1150,
        y_mm=250,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )
    _, findings = cut(plan_of(SHELF, devices=(device,), drawn_joints=(drawn("D1", (1200, 0), (1200, 500)),)))
    assert [(f.code, f.severity) for f in findings] == [("BW-SPLIT-003", Severity.CAUTION)]
    assert "5 mm from the clearance of device M1" in findings[0].says
    assert "by 5 mm" in findings[0].mend


def test_what_a_joint_that_cuts_a_device_says_to_move_is_enough(plan_of: Any, cut: Any) -> None:
    """Half length 30 + clearance 15: the keep-out of the device at 1190 goes from 1145 to 1235. The joint at
    1200 is clear of it 35 mm further on, and 10 are wanted: 45. By one less is not enough."""
    device = Device(
        id="M1", kind="motor", x_mm=1190, y_mm=250, length_mm=60, width_mm=40, depth_mm=50, clearance_mm=15
    )
    for x, said in ((1200, "by 45 mm or more, square to the joint."), (1245, ""), (1244, "by 1 mm or more.")):
        plan = plan_of(SHELF, devices=(device,), drawn_joints=(drawn("D1", (x, 0), (x, 500)),))
        _, findings = cut(plan, max_length_mm=1300.0)
        assert [f.mend.split("M1 ")[1] for f in findings if f.code == "BW-SPLIT-003"] == (
            [said] if said else []
        )


def test_a_drawn_joint_along_a_track_or_askew_is_a_caution(plan_of: Any, cut: Any) -> None:
    across = Track(id="K1", points=((900, 0), (1500, 500)))
    beside = Track(id="K2", points=((1212, 50), (1212, 450)))
    plan = plan_of(SHELF, tracks=(across, beside), drawn_joints=(drawn("D1", (1200, 0), (1200, 500)),))
    made, findings = cut(plan)
    assert codes(findings) == ["BW-SPLIT-008", "BW-SPLIT-009"]
    (joint,) = made.joints
    # The track rises 500 over 600: atan(500/600) = 39.8° off the joint's normal; at x = 1200, y = 250.
    (crossing,) = joint.crossings
    assert crossing.off_square_deg == pytest.approx(39.806, abs=1e-3)
    assert (crossing.x_mm, crossing.y_mm) == pytest.approx((1200, 250))


def test_narrow_boards_and_short_joints_are_cautions(plan_of: Any, cut: Any) -> None:
    plan = plan_of(
        ((0.0, 0.0), (1000.0, 0.0), (1000.0, 700.0), (0.0, 700.0)),
        drawn_joints=(drawn("D1", (0, 680), (1000, 680)), drawn("D2", (500, 680), (500, 700))),
    )
    _, findings = cut(plan)
    assert codes(findings) == ["BW-SPLIT-010", "BW-SPLIT-011", "BW-SPLIT-011"]


def test_a_stray_lift_out_mark_is_a_caution(plan_of: Any, cut: Any) -> None:
    _, findings = cut(plan_of(SHELF, lift_outs=(LiftOut(id="L1", x_mm=-50, y_mm=0),)))
    assert codes(findings) == ["BW-SPLIT-013"]


def test_an_outline_that_crosses_itself_cannot_be_used(plan_of: Any, cut: Any) -> None:
    with pytest.raises(InputError) as error:
        cut(plan_of(((0, 0), (1000, 500), (1000, 0), (0, 500))))
    assert error.value.findings[0].code == "BW-SPLIT-012"
