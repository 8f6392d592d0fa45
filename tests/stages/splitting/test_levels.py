"""Levels one above the other: what is on one blocks, cuts and hangs on no other."""

from __future__ import annotations

from typing import Any

import pytest

from boardwright.plan.model import Device, DrawnJoint, LiftOut, Outline, Track
from boardwright_stages.splitting.stages import board_plan

SHELF = ((0.0, 0.0), (2300.0, 0.0), (2300.0, 500.0), (0.0, 500.0))
UPPER = Outline(id="U", ring=SHELF, level_mm=300.0)
WIDE = Device(
    id="M1", kind="motor", x_mm=1150, y_mm=250, length_mm=1300, width_mm=400, depth_mm=50, clearance_mm=10
)
NARROW = Device(
    id="M2", kind="motor", x_mm=900, y_mm=250, length_mm=60, width_mm=40, depth_mm=50, clearance_mm=10
)


def on(level: float | None) -> dict[str, Any]:
    return {"outlines": (UPPER,), "devices": (_at(WIDE, level),)}


def _at(device: Device, level: float | None) -> Device:
    import msgspec

    return msgspec.structs.replace(device, level_mm=level)


def test_a_device_blocks_joints_on_its_own_level_only(plan_of: Any, cut: Any) -> None:
    """Its keep-out reaches from 490 to 1810 mm: no board of 1200 mm spans it."""
    for level, blocked in ((300.0, {300.0}), (0.0, {0.0}), (None, {0.0, 300.0})):
        made, findings = cut(plan_of(SHELF, **on(level)))
        named = {f.where[0].board for f in findings if f.code == "BW-SPLIT-001"}
        assert {b.level_mm for b in made.boards if b.id in named} == blocked
        assert {b.level_mm for b in made.boards if b.length_mm > 1200.01} == blocked


def test_margins_and_crossings_are_those_of_the_level(plan_of: Any, cut: Any) -> None:
    tracks = (
        Track(id="K1", points=((0, 100), (2300, 100)), level_mm=0.0),
        Track(id="K2", points=((0, 200), (2300, 200)), level_mm=300.0),
    )
    made, _ = cut(plan_of(SHELF, outlines=(UPPER,), tracks=tracks, devices=(_at(NARROW, 300.0),)))
    below, above = made.joints
    assert [c.track for c in below.crossings] == ["K1"]
    assert [c.track for c in above.crossings] == ["K2"]
    assert below.nearest_device_mm is None
    assert above.nearest_device_mm == pytest.approx(200, abs=60)


def test_a_drawn_joint_and_a_lift_out_are_of_their_level(plan_of: Any, cut: Any) -> None:
    plan = plan_of(
        SHELF,
        outlines=(UPPER,),
        drawn_joints=(DrawnJoint(id="D1", start=(1120, 0), end=(1120, 500), level_mm=300.0),),
        lift_outs=(LiftOut(id="L1", x_mm=300, y_mm=250, level_mm=300.0),),
    )
    made, findings = cut(plan)
    assert [(j.drawn, made.boards[2].id in j.boards) for j in made.joints] == [(False, False), (True, True)]
    assert [b.lift_out for b in made.boards] == [False, False, True, False]
    assert findings == []


def test_a_drawn_joint_on_a_level_that_is_not_there_is_told(plan_of: Any, cut: Any) -> None:
    joint = DrawnJoint(id="D1", start=(1120, 0), end=(1120, 500), level_mm=77.0)
    _, findings = cut(plan_of(SHELF, drawn_joints=(joint,)))
    assert [f.code for f in findings] == ["BW-SPLIT-006"]


def test_a_board_is_told_only_of_what_is_on_its_level(plan_of: Any, cut: Any) -> None:
    plan = plan_of(SHELF, outlines=(UPPER,), devices=(_at(WIDE, 300.0),))
    made, _ = cut(plan, max_length_mm=2400)
    below, above = (board_plan(b, plan) for b in made.boards)
    assert below.devices == ()
    assert [d.id for d in above.devices] == ["M1"]
