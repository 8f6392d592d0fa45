"""Spanners and hands: angles against a handle drawn in its plane, then joists that are in the way."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.joints.access import SWING_DEG, ample_mm, in_reach, swing_deg
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import joint_fixings
from boardwright_timber.model import FixingKind, Joint

LONG_MM = 400.0


def swings(left: float, right: float, deep: float, half: float) -> float:
    """The same by trying: a handle hung in the bolt's plane, turned by half degrees."""
    walls = shapely.union_all(
        [
            shapely.box(-left - 999, -deep, -left, 0),
            shapely.box(right, -deep, right + 999, 0),
        ]
    )
    handle = shapely.box(-half, -LONG_MM, half, 0).buffer(-1e-6)
    turns = [n / 2 for n in range(-180, 181)]
    hit = shapely.intersects([rotate(handle, turn, origin=(0, 0)) for turn in turns], walls)
    free = [turn for turn, struck in zip(turns, hit, strict=True) if not struck]
    return max(free, default=0.0) - min(free, default=0.0)


@settings(deadline=None, max_examples=12, derandomize=True)
@given(st.integers(16, 200), st.integers(16, 200), st.integers(5, 120))
def test_a_handle_swings_as_far_as_when_tried(left: int, right: int, deep: int) -> None:
    assert swing_deg(left, right, deep, 6.5) == pytest.approx(swings(left, right, deep, 6.5), abs=1.01)


@settings(deadline=None, max_examples=200, derandomize=True)
@given(st.floats(0, 300), st.floats(3, 15), st.floats(1, 40), st.floats(1, 40))
def test_a_handle_that_has_ample_room_swings(deep: float, half: float, left: float, right: float) -> None:
    """As far away as that or farther, whatever the other side: each tilt is half the swing at least."""
    ample = ample_mm(deep, half)
    assert swing_deg(ample * left, ample * right, deep, half) >= SWING_DEG
    assert ample <= half or swing_deg(ample / 1.1, ample / 1.1, deep, half) < SWING_DEG + 0.002


def sided(boxes: Any, joists: tuple[float, ...]) -> tuple[Joint, Half, Half]:
    """B's end, from x = 200 to 700, against A's far side, joists of A ending on it."""
    joint = Joint(id="J02", boards=("A", "B"), start=(700.0, 600.0), end=(200.0, 600.0))
    a = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (joint,), joists)
    b = boxes.box("B", ((700, 600), (700, 1400), (200, 1400), (200, 600)), (joint,))
    return joint, Half(a.board, a.frame, a.joists), Half(b.board, b.frame, b.joists)


def bolts(boxes: Any, joists: tuple[float, ...], how: JointSettings) -> tuple[list[float], list[str]]:
    notes = Notes()
    made = joint_fixings(*sided(boxes, joists), how, notes)
    return [f.x_mm for f in made if f.kind is FixingKind.BOLT], [f.code for f in notes.findings]


def test_no_bolt_where_a_spanner_does_not_turn(boxes: Any) -> None:
    """Joists 12 thick at 635 and 677 leave 641 to 671 between them: 15 to either side of 656, the place of
    the outermost bolt. A washer has room; a spanner swings 2 × (acos(6.5 / √(15² + 45²)) - atan2(45, 15)) =
    2 × (82.12 - 71.57) = 21.1°, not 30. A hex bolt wants spanners on both sides and moves; a cup-head bolt
    has its nut on the other board."""
    assert 2 * (math.degrees(math.acos(6.5 / math.hypot(15, 45)) - math.atan2(45, 15))) == pytest.approx(
        21.1, abs=0.05
    )
    tight = (635.0, 677.0)
    cup, _ = bolts(boxes, tight, JointSettings(hand_mm=0.0))
    assert max(cup) == pytest.approx(656.0)
    turned, _ = bolts(boxes, tight, JointSettings(fastener="hex bolt", hand_mm=0.0))
    assert max(turned) < 629 - 14


def test_a_bolt_that_no_hand_reaches_is_told(boxes: Any, straight_pair: Callable) -> None:
    """A relay board 560 along the end of A hangs 60 deep, 43 mm behind the end: no room for a hand of 60, and
    one from beyond it has its fingers 40 mm far, not to the nut's 20 mm behind the end."""
    a, b = straight_pair()
    (joint,) = a.board.joints

    def board(depth: float) -> Device:
        return Device(
            id="X1",
            kind="relay_board",
            x_mm=935,
            y_mm=300,
            length_mm=20,
            width_mm=560,
            depth_mm=depth,
            clearance_mm=5,
        )

    def told(depth: float, how: JointSettings) -> list[str]:
        notes = Notes()
        joint_fixings(
            joint,
            Half(a.board, a.frame, a.joists, (board(depth),)),
            Half(b.board, b.frame, b.joists),
            how,
            notes,
        )
        return [f.code for f in notes.findings]

    assert told(60.0, JointSettings()) == ["BW-JOINT-008"]
    assert told(60.0, JointSettings(hand_mm=0.0)) == []
    assert told(60.0, JointSettings(hand_mm=35.0)) == []
    assert told(14.0, JointSettings()) == []  # it ends above the hand: bolts at 45, a hand 60 from 15 to 75


def test_bolts_go_where_a_hand_gets(boxes: Any) -> None:
    """Joists of A at 640 and 690 leave 38 between them, no room for a hand; left of 634 there is."""
    joint, a, b = sided(boxes, (640.0, 690.0))
    (span,) = in_reach(joint, a, 12.0, -45.0, JointSettings())
    assert span[0] == pytest.approx(700 - 634 - 40 + 0, abs=40)  # fingers reach 40 beyond the hand
    made = joint_fixings(joint, a, b, JointSettings(), Notes())
    assert all(span[0] <= f.along_mm <= span[1] for f in made if f.kind is FixingKind.BOLT)
