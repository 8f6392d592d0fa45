"""No joint is made where its bolts find no room while there is a choice; else the least change is told."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Finding, Notes, Severity
from boardwright.plan.model import DrawnJoint, TrackPlan
from boardwright_stages.joints import room
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split

FIXINGS = JointSettings()
WIDE = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 700.0), (0.0, 700.0))
# 80 mm in front of it, 220 mm behind
WELL = ((700.0, 80.0), (1300.0, 80.0), (1300.0, 480.0), (700.0, 480.0))


def short(findings: list[Finding]) -> list[Finding]:
    return [f for f in findings if f.code == "BW-SPLIT-010"]


def test_what_the_bolts_need_is_one_number_worked_out_from_the_joints() -> None:
    """M8: margins of 4 × 8 = 32, corners of 12. Two bolts 40 apart: 2 × 44 + 40; two dowels between: + 80."""
    assert room.needed_mm(FIXINGS, 1) == 88
    assert room.bolted_mm(FIXINGS) == 128
    assert room.located_mm(FIXINGS) == 208
    assert room.needed_mm(FIXINGS, 0, 2) == 2 * (12 + 40) + 40
    assert room.needed_mm(FIXINGS, 0) == 0
    settled = SplittingSettings().settled(FIXINGS)
    assert (settled.shortest_joint_mm, settled.roomy_joint_mm) == (128, 208)
    own = SplittingSettings(shortest_joint_mm=60.0, roomy_joint_mm=0.0).settled(FIXINGS)
    assert (own.shortest_joint_mm, own.roomy_joint_mm) == (60, 0)


@pytest.mark.parametrize(
    ("length", "told"),
    [
        (120, '[joints] bolt_size = "M6"'),  # 2 × (12 + 24) + 40 = 112
        (110, '[joints] bolt_size = "M5"'),  # 2 × (12 + 20) + 40 = 104
        (90, "[joints] bolts_per_joint = 1"),  # 2 × (12 + 32) = 88
        (70, '[joints] bolts_per_joint = 1 and bolt_size = "M5"'),  # 2 × (12 + 20) = 64
        (50, ""),
    ],
)
def test_the_least_change_that_bolts_a_joint(length: float, told: str) -> None:
    assert room.what_fits(length, FIXINGS) == told


def test_beside_a_well_the_joint_takes_the_wide_strip(plan_of: Any, cut: Any) -> None:
    """2000 mm of at most 1900: one joint past the well, or two slits, one each side of it."""
    for limits in ({"max_length_mm": 1200.0}, {"max_length_mm": 1900.0}):
        made, findings = cut(plan_of(WIDE, (WELL,)), **limits)
        assert made.joints
        assert min(j.length_mm for j in made.joints) >= 128
        assert not short(findings)


def test_without_the_rule_the_strip_is_cut(plan_of: Any, cut: Any) -> None:
    """So that the test above can fail: at a device-free 80 mm strip the shortest joints are the cheapest."""
    made, _ = cut(plan_of(WIDE, (WELL,)), shortest_joint_mm=0, roomy_joint_mm=0, max_length_mm=1200.0)
    assert min(j.length_mm for j in made.joints) < 128


NECK = ((0.0, 0.0), (900.0, 0.0), (900.0, 80.0), (1700.0, 80.0), (1700.0, 0.0), (2600.0, 0.0))
NECK += ((2600.0, 500.0), (1700.0, 500.0), (1700.0, 160.0), (900.0, 160.0), (900.0, 500.0), (0.0, 500.0))


def test_joints_are_moved_out_of_a_narrow_neck(plan_of: Any, cut: Any) -> None:
    """900 + 800 + 900 mm, boards up to 1400: the neck of 80 mm hangs on one of the wide ends."""
    made, findings = cut(plan_of(NECK), max_length_mm=1750.0, min_length_mm=0)
    assert min(j.length_mm for j in made.joints) >= 128
    assert not short(findings)


def narrow(width: float) -> tuple[tuple[float, float], ...]:
    return ((0.0, 0.0), (2000.0, 0.0), (2000.0, width), (0.0, width))


@pytest.mark.parametrize(
    ("width", "severity"), [(120, Severity.CAUTION), (90, Severity.CAUTION), (80, Severity.FAULT)]
)
def test_where_nothing_else_is_possible_the_least_change_is_told(
    plan_of: Any, cut: Any, width: float, severity: Severity
) -> None:
    made, findings = cut(plan_of(narrow(width)), min_length_mm=0)
    assert len(made.boards) == 2
    (told,) = short(findings)
    assert told.severity is severity
    assert f"{width:.0f} mm long; its bolts need 128 mm" in told.says
    assert f"{128 - width:.0f} mm more" in told.mend
    assert f"or set {room.what_fits(width, FIXINGS)}." in told.mend


def test_the_settings_named_free_the_joint(plan_of: Any) -> None:
    plan: TrackPlan = plan_of(narrow(120.0))
    wanted, notes = SplittingSettings(min_length_mm=0), Notes()
    split(plan, wanted, notes, replace(FIXINGS, bolt_size="M6"))
    assert not short(notes.findings)


def test_a_short_joint_the_builder_drew_is_his_to_weigh(plan_of: Any, cut: Any) -> None:
    drawn = (DrawnJoint(id="D1", start=(1000.0, 0.0), end=(1000.0, 80.0)),)
    _, findings = cut(plan_of(narrow(80.0), drawn_joints=drawn), min_length_mm=0)
    (told,) = short(findings)
    assert told.severity is Severity.CAUTION
    assert "move the drawn joint" in told.mend
