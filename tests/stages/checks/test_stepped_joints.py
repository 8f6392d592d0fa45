"""Joints between boards of two levels: one hole through both, where their frames have wood in common."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.checks.geometry import edge_distance, mating
from boardwright_stages.checks.reassembly import drilled
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import joint_fixings
from boardwright_timber.model import Joint


def stepped(
    boxes: Any, lower: float, depths: tuple[float, float] = (90.0, 90.0), swap: bool = False
) -> dict[str, Any]:
    """Two boards end to end, 600 wide, the second ``lower`` below the first."""
    first, second = ("B", "A") if swap else ("A", "B")
    start, end = (1000.0, 0.0), (1000.0, 600.0)
    drop = -lower if swap else lower
    joint = Joint(
        id="J01",
        boards=("A", "B"),
        start=end if swap else start,
        end=start if swap else end,
        drop_mm=drop,
    )
    made = {}
    for name, x, level, depth in ((first, 0.0, 300.0, depths[0]), (second, 1000.0, 300.0 - lower, depths[1])):
        ring = ((x, 0.0), (x + 1000, 0.0), (x + 1000, 600.0), (x, 600.0))
        built = type(boxes)(depth_mm=depth).box(name, ring, (joint,), (x % 1000 + 500,))
        made[name] = type(built)(replace(built.board, level_mm=level), built.frame, built.joists)
    return dict(sorted(made.items()))


@settings(deadline=None, max_examples=20, derandomize=True)
@given(st.integers(-60, 60), st.booleans(), st.sampled_from([(90.0, 90.0), (90.0, 160.0), (150.0, 90.0)]))
def test_holes_of_two_levels_meet(
    boxes: Any, build: Any, lower: int, swap: bool, depths: tuple[float, float]
) -> None:
    made = stepped(boxes, float(lower), depths, swap)
    built = build(made)
    boards = {n: m.board for n, m in made.items()}
    holes = {n: [h for p in one.parts for h in drilled(boards[n], p)] for n, one in built.parts.items()}
    alone, gap = mating(boards["A"].joints, holes)
    assert alone.value == 0, alone.where
    assert alone.counted >= 8
    assert gap.value <= 1e-5
    assert edge_distance([p for one in built.parts.values() for p in one.parts]).value >= 1.0 - 1e-6


def test_heights_by_hand(boxes: Any) -> None:
    """30 lower, both 90 deep: from -30 to -90 of the first board's deck there is wood in both, the middle is
    at -60, which is -30 of the second."""
    made = stepped(boxes, 30.0)
    halves = [Half(m.board, m.frame, m.joists) for m in made.values()]
    fixed = joint_fixings(made["A"].board.joints[0], *halves, JointSettings(), Notes())
    assert {f.z_mm for f in fixed} == {-60.0}


@pytest.mark.parametrize(("lower", "codes"), [(60.0, ["BW-JOINT-005"]), (75.0, ["BW-JOINT-010"])])
def test_too_little_in_common(boxes: Any, lower: float, codes: list[str]) -> None:
    """90 - 60 = 30 mm in common are shallow, 15 are less than two holes of a bolt."""
    made = stepped(boxes, lower)
    halves = [Half(m.board, m.frame, m.joists) for m in made.values()]
    notes = Notes()
    joint_fixings(made["A"].board.joints[0], *halves, JointSettings(), notes)
    assert [f.code for f in notes.findings] == codes


def test_the_mend_of_a_shallow_step_is_one_that_helps(boxes: Any) -> None:
    """30 mm of the 90 are in common; a dowel of 10 mm wants 3 × 10 to each edge, so 60: 30 more."""
    made = stepped(boxes, 60.0)
    notes = Notes()
    halves = [Half(m.board, m.frame, m.joists) for m in made.values()]
    joint_fixings(made["A"].board.joints[0], *halves, JointSettings(), notes)
    (finding,) = notes.findings
    assert "have 30 mm of height in common" in finding.says
    assert "frames 30 mm deeper, or the step between the two levels 30 mm less" in finding.mend
    mended = stepped(boxes, 60.0 - 30.0)
    told = Notes()
    halves = [Half(m.board, m.frame, m.joists) for m in mended.values()]
    joint_fixings(mended["A"].board.joints[0], *halves, JointSettings(), told)
    assert not told.findings
