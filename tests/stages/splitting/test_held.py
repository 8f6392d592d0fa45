"""Joints of boards that are made stay; and while nothing changes near them, so does every other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright import Notes
from boardwright.plan.model import Device, DrawnJoint, Outline, TrackPlan
from boardwright_stages.splitting.as_made import has_held
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_timber.model.made import HeldJoints

type HeldOf = Callable[..., HeldJoints]
type Read = Callable[[str], tuple[TrackPlan, dict[str, Any]]]


def test_what_is_marked_as_made_moves_no_joint(read: Read, held_of: HeldOf) -> None:
    """Searched anew between held joints, J02 of this terminus had come to lie elsewhere, at nearly the same
    cost."""
    plan, table = read("real-terminus")
    settings = msgspec.convert(table, SplittingSettings)
    before, after = Notes(), Notes()
    free = split(plan, settings, before)
    held = held_of(free, "B04")
    assert split(plan, settings, after, held=held) == free
    assert after.findings == before.findings


def test_a_held_joint_stays_where_the_plan_would_now_have_another(plan_of: Any, held_of: HeldOf) -> None:
    ring = ((0.0, 0.0), (2400.0, 0.0), (2400.0, 400.0), (0.0, 400.0))
    settings = SplittingSettings(max_length_mm=1300)
    free = split(plan_of(ring), settings, Notes())
    held = held_of(free, "B01")
    (joint,) = held.joints
    sizes: dict[str, Any] = {"length_mm": 80, "width_mm": 50, "depth_mm": 45, "clearance_mm": 15}
    motor = Device(id="PM1", kind="point motor", x_mm=joint.start[0], y_mm=200, **sizes)
    changed = plan_of(ring, devices=(motor,))
    assert not has_held(split(changed, settings, Notes()), held, changed)
    assert has_held(split(changed, settings, Notes(), held=held), held, changed)


@pytest.mark.parametrize(
    ("off_mm", "level_mm", "there"),
    [(0.0, 0.0, True), (0.0004, 0.0, True), (0.1, 0.0, False), (0.0, 250.0, False)],
)
def test_held_is_the_same_line_on_the_same_level(
    plan_of: Any, held_of: HeldOf, off_mm: float, level_mm: float, there: bool
) -> None:
    ring = ((0.0, 0.0), (2400.0, 0.0), (2400.0, 400.0), (0.0, 400.0))
    above = Outline(id="B", ring=tuple((600 + x / 2, y) for x, y in ring), level_mm=250.0)
    plan = plan_of(ring, outlines=(above,))
    free = split(plan, SplittingSettings(max_length_mm=1300), Notes())
    (joint,) = held_of(free, "B01").joints
    (x, y), start = joint.end, joint.start
    turned = msgspec.structs.replace(joint, start=(x + off_mm, y), end=start, level_mm=level_mm)
    assert has_held(free, HeldJoints((turned,), "made.json"), plan) is there


@pytest.mark.parametrize(
    ("start", "end", "moved"),
    [
        ((1020, -10), (1020, 410), True),
        ((1240, 0), (1240, 400), True),
        ((1260, 0), (1260, 400), False),  # a board of 260 mm fits between; 250 are wanted
        ((1000, -10), (1000, 410), False),
        ((980, -10), (1060, 410), True),
        ((700, 200), (1300, 200), False),  # across it
    ],
)
def test_a_held_joint_gives_way_to_one_drawn_where_no_board_fits_between(
    plan_of: Any, held_of: HeldOf, start: Any, end: Any, moved: bool
) -> None:
    """Both had been obeyed, and a board 20 mm wide was full of faults."""
    ring = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 400.0), (0.0, 400.0))
    drawn = plan_of(ring, drawn_joints=(DrawnJoint(id="D1", start=(1000, -10), end=(1000, 410)),))
    held = held_of(split(drawn, SplittingSettings(), Notes()), "B01", with_edge=True)
    notes = Notes()
    after = split(
        plan_of(ring, drawn_joints=(DrawnJoint(id="D2", start=start, end=end),)),
        SplittingSettings(),
        notes,
        held=held,
    )
    codes = [f.code for f in notes.findings]
    assert ("BW-SPLIT-024" in codes) is moved
    assert "BW-SPLIT-011" not in codes
    assert has_held(after, held, drawn) is not moved


def test_a_level_that_is_raised_keeps_its_boards_names_and_joints(plan_of: Any, held_of: HeldOf) -> None:
    ring = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 400.0), (0.0, 400.0))

    def plan(height_mm: float, *motors: Device) -> TrackPlan:
        above = Outline(id="B", ring=ring, level_mm=height_mm)
        made: TrackPlan = plan_of(ring, outlines=(above,), devices=motors)
        return made

    free = split(plan(250), SplittingSettings(), Notes())
    assert [(b.id, b.level_mm) for b in free.boards[2:]] == [("B03", 250.0), ("B04", 250.0)]
    held = held_of(free, "B03", with_edge=True)
    (x, _), level = held.joints[0].start, {"level_mm": 300.0}
    sizes: dict[str, Any] = {"length_mm": 80, "width_mm": 50, "depth_mm": 45, "clearance_mm": 15}
    motor = Device(id="PM1", kind="point motor", x_mm=x, y_mm=200, **sizes, **level)
    after = split(plan(300, motor), SplittingSettings(), Notes(), held=held)
    was, now = ({b.id: (b.ring, b.level_mm) for b in made.boards} for made in (free, after))
    assert now["B03"] == (was["B03"][0], 300.0)
    assert sorted(now) == sorted(was)


def test_other_joints_stay_too_where_they_may(plan_of: Any, held_of: HeldOf) -> None:
    """J01 is held at 700 mm where the plan by itself would not have it; the others stood elsewhere than they
    would be put anew. Where one of them may not stay, they are searched as before."""
    ring = ((0.0, 0.0), (3600.0, 0.0), (3600.0, 400.0), (0.0, 400.0))
    drawn = tuple(DrawnJoint(id=f"D{x}", start=(x, 0), end=(x, 400)) for x in (700.0, 1500.0, 2700.0))
    settings = SplittingSettings(max_length_mm=1200)
    before = split(plan_of(ring, drawn_joints=drawn), settings, Notes())
    held = held_of(before, "B01", with_edge=True)
    anew = split(plan_of(ring), settings, Notes(), held=held)
    every = msgspec.structs.replace(held, others=held_of(before, "B03").joints)
    notes = Notes()
    after = split(plan_of(ring), settings, notes, held=every)
    assert (
        [j.start for j in before.joints] == [j.start for j in after.joints] != [j.start for j in anew.joints]
    )
    assert [j.held for j in after.joints] == [True, False, False]
    assert notes.findings == []
    sizes: dict[str, Any] = {"length_mm": 80, "width_mm": 50, "depth_mm": 45, "clearance_mm": 15}
    motor = Device(id="PM1", kind="point motor", x_mm=2700, y_mm=200, **sizes)
    moved = plan_of(ring, devices=(motor,))
    assert split(moved, settings, notes, held=every) == split(moved, settings, Notes(), held=held)
    assert notes.findings == []
