"""What holds a joint: bolts of two kinds, catches on flush sides, and patterns that fit one way or both."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright_outputs.drawings.drawing import Circle, Role
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_stages.joints.bores import bolt_bore
from boardwright_stages.joints.lifting import tell_held_fast
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.pattern import LEAST_HANDED_MM, choose, handed
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.spans import without
from boardwright_stages.joints.stages import joint_fixings
from boardwright_stages.parts.members import fixing_holes, member_part
from boardwright_timber.model import Fixing, FixingKind, Joint
from boardwright_timber.reference import WING_NUTS


def held(a: Any, b: Any, how: JointSettings, notes: Notes | None = None, joint: Joint | None = None) -> Any:
    """Fixings of the one joint between two boards."""
    return joint_fixings(
        joint or a.board.joints[0],
        Half(a.board, a.frame, a.joists),
        Half(b.board, b.frame, b.joists),
        how,
        Notes() if notes is None else notes,
    )


def lifted(made: Any) -> Any:
    return type(made)(msgspec.structs.replace(made.board, lift_out=True), made.frame, made.joists)


def kinds(fixings: tuple[Fixing, ...]) -> list[tuple[FixingKind, float]]:
    return [(f.kind, f.along_mm) for f in fixings]


def test_a_lift_out_has_dowels_and_catches(straight_pair: Callable) -> None:
    """600 wide: the sides run on from one board to the next at 0 and 600. Dowels keep 4 × 10 = 40 from the
    ends' ends at 12 and 588: 52 and 548. Common practice, no source."""
    a, b = straight_pair()
    notes = Notes()
    made = held(a, lifted(b), JointSettings(), notes)
    assert kinds(made) == [
        (FixingKind.CATCH, 0.0),
        (FixingKind.DOWEL, 52.0),
        (FixingKind.DOWEL, 548.0),
        (FixingKind.CATCH, 600.0),
    ]
    assert notes.findings == []
    for member in a.frame.members:
        assert all(h.kind.value == "dowel" for h in fixing_holes(a.board, member, made))


@pytest.mark.parametrize(
    ("lifts", "at", "codes"),
    [
        (True, ("J01", "J02"), ["BW-JOINT-016"]),
        (True, ("J01",), []),  # a flap at the end of the layout slides off
        (False, ("J01", "J02"), []),
    ],
)
def test_a_lift_out_between_level_dowels_is_told_that_it_is_held(
    straight_pair: Callable, lifts: bool, at: tuple[str, ...], codes: list[str]
) -> None:
    a, b = straight_pair()
    found = held(a, lifted(b), JointSettings())
    made = [msgspec.structs.replace(f, joint=joint) for joint in at for f in found]
    notes = Notes()
    tell_held_fast(msgspec.structs.replace(b.board, lift_out=lifts, clear_mm=1.0), made, notes)
    assert [f.code for f in notes.findings] == codes
    assert all("J01 and J02" in f.says and "lift_out_clear_mm, 1 mm" in f.mend for f in notes.findings)
    free = Notes()
    tell_held_fast(lifted(b).board, [f for f in made if f.kind is FixingKind.CATCH], free)
    assert not free.findings


def test_where_sides_do_not_run_on_bolts_hold_a_lift_out(boxes: Any) -> None:
    """B's end stands against the far side of A: nothing is flush."""
    joint = Joint(id="J01", boards=("A", "B"), start=(700.0, 600.0), end=(200.0, 600.0))
    a = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), joints=(joint,))
    b = boxes.box("B", ((200, 600), (700, 600), (700, 1200), (200, 1200)), joints=(joint,), end_edges=(0, 2))
    notes = Notes()
    made = held(a, lifted(b), JointSettings(), notes, joint)
    assert {f.kind for f in made} == {FixingKind.BOLT, FixingKind.DOWEL}
    assert "BW-JOINT-006" in [f.code for f in notes.findings]
    assert {f.fastener for f in made if f.kind is FixingKind.BOLT} == {"cup bolt"}


def test_catches_everywhere_by_choice(straight_pair: Callable) -> None:
    made = held(*straight_pair(), JointSettings(fastener="toggle catch"))
    assert {f.kind for f in made} == {FixingKind.CATCH, FixingKind.DOWEL}


def test_a_wing_nut_s_wings_keep_clear() -> None:
    """M8 (DIN 315, memory): 39 across the wings, and 2 mm of air; half of that to top and bottom edge is less
    than the 3 × 8 = 24 asked for."""
    bore = bolt_bore(JointSettings(nut="wing nut"))
    assert bore.room_mm == WING_NUTS["M8"].span_mm + 2 == 41
    assert bore.edge_margin_mm == 24
    assert bolt_bore(JointSettings()).room_mm == 30


def test_a_tee_nut_opens_the_second_board_s_hole(straight_pair: Callable) -> None:
    a, b = straight_pair()
    made = held(a, b, JointSettings(fastener="hex bolt", nut="tee nut"))
    told = {
        name: {
            h.note for m in side.frame.members for h in fixing_holes(side.board, m, made) if h.kind == "bolt"
        }
        for name, side in (("A", a), ("B", b))
    }
    assert not any("tee nut" in note for note in told["A"])
    assert told["B"]
    assert all(note.endswith("then open this one to 10 for the tee nut") for note in told["B"])
    opened = {
        (name, round(circle.radius_mm, 3))
        for name, side in (("A", a), ("B", b))
        for m in side.frame.members
        for circle in part_drawing(member_part(name, m, fixing_holes(side.board, m, made))).items
        if isinstance(circle, Circle) and circle.role is Role.MARK
    }
    assert opened == {("B", 5.0)}  # the barrel's hole, 10 mm wide, drawn on the second board alone


def test_a_tee_nut_wants_a_bolt_that_turns() -> None:
    for wrong in ({}, {"fastener": "hex bolt", "bolt_size": "M12"}):
        with pytest.raises(ValueError, match="tee nut"):
            JointSettings(nut="tee nut", **wrong)  # type: ignore[arg-type]  # rows of the table are plain


def test_a_handed_joint_fits_one_way_only(straight_pair: Callable) -> None:
    """Dowels at 84 and 516, mirrored about 300; handed, the second stands a spacing of 40 further in."""
    notes = Notes()
    made = held(*straight_pair(), JointSettings(pattern="handed"), notes)
    assert [t for k, t in kinds(made) if k is FixingKind.DOWEL] == [84.0, 476.0]
    assert notes.findings == []


spans = st.lists(st.tuples(st.integers(0, 90), st.integers(1, 40)), min_size=1, max_size=4)


@settings(deadline=None, max_examples=200, derandomize=True)
@given(gaps=spans, count=st.integers(1, 4), spacing=st.integers(5, 80))
def test_handed_patterns_are_legal_and_unlike_their_mirror_image(
    gaps: list[tuple[int, int]], count: int, spacing: int
) -> None:
    allowed = without(((0.0, 1000.0),), [(10.0 * a, 10.0 * (a + w)) for a, w in gaps])
    plain = choose(allowed, 500.0, count, float(spacing), "spread")
    made = handed(plain, allowed, 500.0, float(spacing))
    assert len(made.at_mm) == len(plain.at_mm)
    assert all(any(a - 1e-6 <= t <= b + 1e-6 for a, b in allowed) for t in made.at_mm)
    assert all(b - a >= spacing - 1e-6 for a, b in zip(made.at_mm, made.at_mm[1:], strict=False))
    if made != plain:
        mirror = sorted(1000.0 - t for t in made.at_mm)
        assert max(abs(a - b) for a, b in zip(made.at_mm, mirror, strict=True)) > LEAST_HANDED_MM
