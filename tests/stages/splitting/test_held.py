"""Joints of boards that are made stay; and while nothing changes near them, so does every other."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright import Notes
from boardwright.plan.model import Device, Outline, TrackPlan
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
