"""Turnouts, devices and obstacles push joints aside; what cannot be cut is said, by name."""

from __future__ import annotations

from typing import Any

import pytest

from boardwright import Severity
from boardwright.plan.model import Device, Obstacle, Track, Turnout

SHELF = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 500.0), (0.0, 500.0))


def box(x: float, y: float, length: float, width: float) -> tuple[tuple[float, float], ...]:
    u, v = length / 2, width / 2
    return ((x - u, y - v), (x + u, y - v), (x + u, y + v), (x - u, y + v))


def motor(name: str, x: float, y: float = 250.0, length: float = 60.0, width: float = 40.0) -> Device:
    return Device(
        id=name,
        kind="point_motor",
        x_mm=x,
        y_mm=y,
        length_mm=length,
        width_mm=width,
        depth_mm=55,
        clearance_mm=15,
    )


def test_without_anything_in_the_way_the_joint_is_in_the_middle(plan_of: Any, cut: Any) -> None:
    made, _ = cut(plan_of(SHELF))
    assert [j.start[0] for j in made.joints] == [1000.0]


def test_a_device_in_the_middle_moves_the_joint_no_further_than_needed(plan_of: Any, cut: Any) -> None:
    """Half length 30 + clearance 15 + free distance 10 = 55 mm either side of 1000."""
    made, findings = cut(plan_of(SHELF, devices=(motor("M1", 1000),)))
    (joint,) = made.joints
    assert 55 <= abs(joint.start[0] - 1000) <= 100
    assert joint.nearest_device_mm == pytest.approx(abs(joint.start[0] - 1000) - 45)
    assert findings == []


def test_a_turnout_in_the_middle_moves_the_joint(plan_of: Any, cut: Any) -> None:
    """The ring is 200 long: at least 100 + 60 = 160 mm from its middle."""
    turnout = Turnout(id="T7", x_mm=900, y_mm=250, ring=box(1000, 250, 200, 50))
    made, findings = cut(plan_of(SHELF, turnouts=(turnout,)))
    (joint,) = made.joints
    assert 160 <= abs(joint.start[0] - 1000) <= 200
    assert joint.nearest_turnout_mm == pytest.approx(abs(joint.start[0] - 1000) - 100)
    assert findings == []


def test_an_obstacle_moves_the_joint(plan_of: Any, cut: Any) -> None:
    made, _ = cut(plan_of(SHELF, obstacles=(Obstacle(id="pillar", ring=box(1000, 100, 100, 100)),)))
    assert abs(made.joints[0].start[0] - 1000) >= 60


def test_looks_ahead_past_a_long_blocked_stretch(plan_of: Any, cut: Any) -> None:
    """3600 must be cut into three; nothing between 1210 and 2390 may be cut, so only 1200 … 1210 and
    2390 … 2400 are left: near the full boards at both ends."""
    yard = Turnout(id="T1", x_mm=1300, y_mm=250, ring=box(1800, 250, 1180 - 2 * 60, 300))
    ring = ((0.0, 0.0), (3600.0, 0.0), (3600.0, 500.0), (0.0, 500.0))
    made, findings = cut(plan_of(ring, turnouts=(yard,)))
    assert [round(j.start[0]) for j in made.joints] == [1200, 2400]
    assert findings == []


def test_what_cannot_be_cut_is_said_with_what_blocks_it(plan_of: Any, cut: Any) -> None:
    """A turnout ring over a whole 1500 mm shelf: no joint, one fault that names it and says how far."""
    ring = ((0.0, 0.0), (1500.0, 0.0), (1500.0, 500.0), (0.0, 500.0))
    ladder = Turnout(id="T9", x_mm=0, y_mm=250, ring=box(750, 250, 1500, 400))
    made, findings = cut(plan_of(ring, turnouts=(ladder,)))
    assert len(made.boards) == 1
    (fault,) = findings
    assert (fault.code, fault.severity) == ("BW-SPLIT-001", Severity.FAULT)
    assert "turnout T9" in fault.says
    assert "T9" in fault.mend
    assert "max_length_mm" in fault.mend


def test_no_shards_round_what_blocks(plan_of: Any, cut: Any) -> None:
    """Turnouts down the middle of a 1500 mm shelf leave 90 mm free along both edges: strips could be cut off
    there, but nothing would be gained. One fault, and no board narrower than wanted."""
    ring = ((0.0, 0.0), (1500.0, 0.0), (1500.0, 500.0), (0.0, 500.0))
    ladders = tuple(
        Turnout(id=f"T{n}", x_mm=0, y_mm=250, ring=box(x, 250, 460, 200))
        for n, x in ((1, 250), (2, 750), (3, 1250))
    )
    made, findings = cut(plan_of(ring, turnouts=ladders))
    assert [f.code for f in findings] == ["BW-SPLIT-001"]
    assert all(b.width_mm >= 250 for b in made.boards)


def test_a_track_is_crossed_square_where_that_is_possible(plan_of: Any, cut: Any) -> None:
    """A track that wanders across the shelf at 45° in the middle third and runs along it elsewhere."""
    track = Track(id="K1", points=((0, 100), (850, 100), (1150, 400), (2000, 400)))
    made, findings = cut(plan_of(SHELF, tracks=(track,)))
    (joint,) = made.joints
    assert [c.track for c in joint.crossings] == ["K1"]
    assert joint.crossings[0].off_square_deg == pytest.approx(0)
    assert findings == []


def test_a_skew_crossing_that_cannot_be_avoided_is_a_caution(plan_of: Any, cut: Any) -> None:
    """Two tracks at ±40° cross everywhere: whatever way the joint runs, one is more than 30° off square."""
    up = Track(id="K1", points=((0, -590), (2000, 1088)))
    down = Track(id="K2", points=((0, 1090), (2000, -588)))
    made, findings = cut(plan_of(SHELF, tracks=(up, down)), max_off_square_deg=30.0)
    crossed = [c for j in made.joints for c in j.crossings if c.off_square_deg > 30]
    assert len([f for f in findings if f.code == "BW-SPLIT-008"]) == len(crossed)


def test_moving_a_device_that_is_not_near_a_joint_changes_no_board(plan_of: Any, cut: Any) -> None:
    before, _ = cut(plan_of(SHELF, devices=(motor("M1", 400),)))
    after, _ = cut(plan_of(SHELF, devices=(motor("M1", 420),)))
    assert [(b.id, b.ring, b.origin) for b in before.boards] == [
        (b.id, b.ring, b.origin) for b in after.boards
    ]
