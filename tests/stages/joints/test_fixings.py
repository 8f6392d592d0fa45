"""Bolts and dowels: a straight joint worked by hand, then what must hold for any joint."""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import pytest

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.joints.mating import Half, mates
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings, joint_fixings, letters
from boardwright_stages.parts.members import fixing_holes
from boardwright_timber.model import BoardFixings, BoardPlan, FixingKind, Joint


def run(
    own,
    other,
    settings: JointSettings | None = None,
    notes: Notes | None = None,
    devices: tuple[Device, ...] = (),
) -> BoardFixings:
    return fixings(
        own.board,
        {other.board.id: other.board},
        BoardPlan(board=own.board.id, devices=devices),
        {other.board.id: BoardPlan(board=other.board.id, devices=devices)},
        own.frame,
        {other.board.id: other.frame},
        own.joists,
        {other.board.id: other.joists},
        settings or JointSettings(),
        notes if notes is not None else Notes(),
    )


def test_straight_joint_by_hand(straight_pair: Callable) -> None:
    """600 wide: the ends stand from 12 to 588, between the sides.

    Bolts (M8): end distance 4 × 8 = 32, so from 44 to 556; behind, the sides block up to 12 and from 588,
    plus half of 30 mm room: 27 and 573, which is less strict. Dowels: 40 mm inside the bolts, 84 and 516.
    Depth 90: the middle is 45 below the tops. Grip: two ends of 12 mm. Holes: M8 medium is 9.0 (ISO 273).
    """
    a, b = straight_pair()
    made = run(a, b).fixings
    assert [(f.id, f.kind.value, f.along_mm, f.z_mm) for f in made] == [
        ("J01-A", "bolt", 44.0, -45.0),
        ("J01-B", "dowel", 84.0, -45.0),
        ("J01-C", "dowel", 516.0, -45.0),
        ("J01-D", "bolt", 556.0, -45.0),
    ]
    assert {(f.kind.value, f.size, f.hole_diameter_mm, f.grip_mm) for f in made} == {
        ("bolt", "M8", 9.0, 24.0),
        ("dowel", "10", 10.0, 24.0),
    }
    assert [(f.x_mm, f.y_mm) for f in made] == [
        (1000.0, 44.0),
        (1000.0, 84.0),
        (1000.0, 516.0),
        (1000.0, 556.0),
    ]


def test_both_boards_hold_the_same_bytes(straight_pair: Callable) -> None:
    a, b = straight_pair()
    left, right = run(a, b), run(b, a)
    assert msgspec.json.encode(left.fixings) == msgspec.json.encode(right.fixings)


def test_only_one_board_speaks(straight_pair: Callable) -> None:
    a, b = straight_pair(width=100.0)
    heard_a, heard_b = Notes(), Notes()
    run(a, b, notes=heard_a)
    run(b, a, notes=heard_b)
    assert [f.code for f in heard_a.findings] == ["BW-JOINT-003"]
    assert heard_b.findings == []


SHORT = ["only 1 of 2 bolts and none of 2 dowels.", "only 1 of 2 dowels."]


@pytest.mark.parametrize(
    ("width", "bolts", "dowels", "codes"),
    [
        (250.0, 2, 2, []),  # bolts 44 and 206, dowels 84 and 166, 82 apart
        (200.0, 2, 1, ["BW-JOINT-003"]),  # bolts 44 and 156, dowels could stand from 84 to 116: 32 apart
        (100.0, 1, 0, ["BW-JOINT-003"]),  # bolts 44 and 56 would be 12 apart: one, at 50
        (80.0, 0, 0, ["BW-JOINT-002", "BW-JOINT-003"]),  # 44 to 36: none
    ],
)
def test_short_joints(
    straight_pair: Callable, width: float, bolts: int, dowels: int, codes: list[str]
) -> None:
    a, b = straight_pair(width=width)
    notes = Notes()
    made = run(a, b, notes=notes).fixings
    assert sum(f.kind is FixingKind.BOLT for f in made) == bolts
    assert sum(f.kind is FixingKind.DOWEL for f in made) == dowels
    assert [f.code for f in notes.findings] == codes
    if bolts:
        told = [f.says.partition("room for ")[2] for f in notes.findings]
        assert told == [] or told == [SHORT[dowels]]


def test_where_no_bolt_fits_a_smaller_one_that_does_is_named(straight_pair: Callable) -> None:
    """80 wide: the ends face each other over 80 - 2 × 12 = 56, an M8 needs 2 × 32 = 64, an M6 2 × 24 = 48."""
    a, b = straight_pair(width=80.0)
    notes = Notes()
    run(a, b, notes=notes)
    told = notes.findings[0]
    assert "face each other over 56 mm, and a bolt needs 64 mm" in told.says
    assert 'Set joints.bolt_size = "M6" with joints.spanner_room_mm = 24: that fits' in told.mend
    obeyed = run(a, b, JointSettings(bolt_size="M6", spanner_room_mm=24.0))
    assert sum(f.kind is FixingKind.BOLT for f in obeyed.fixings) == 1


def test_where_no_bolt_fits_what_is_in_the_way_is_named(straight_pair: Callable) -> None:
    """A long device stands right behind the whole end of A: no bolt of any size fits, and it is to blame."""
    a, b = straight_pair()
    loud = Device(
        id="X1",
        kind="relay_board",
        x_mm=970,
        y_mm=300,
        length_mm=30,
        width_mm=580,
        depth_mm=30,
        clearance_mm=5,
    )
    notes = Notes()
    run(a, b, notes=notes, devices=(loud,))
    told = next(f for f in notes.findings if f.code == "BW-JOINT-002")
    assert "relay board X1" in told.says
    assert "bolt_size" not in told.mend
    assert "ove relay board X1 30 mm" in told.mend


def test_of_much_in_the_way_the_first_is_named(straight_pair: Callable) -> None:
    a, b = straight_pair()
    rows = tuple(
        Device(
            id=f"X{n}",
            kind="relay_board",
            x_mm=970,
            y_mm=50 + 100 * n,
            length_mm=30,
            width_mm=95,
            depth_mm=30,
            clearance_mm=5,
        )
        for n in range(6)
    )
    notes = Notes()
    run(a, b, notes=notes, devices=rows)
    told = next(f for f in notes.findings if f.code == "BW-JOINT-002")
    assert told.says.count("relay board") < 6
    assert " more" in told.says
    assert "ove what stands behind it 30 mm" in told.mend
    dowels = next(f for f in notes.findings if f.code == "BW-JOINT-003")
    assert "has room for none of 2 dowels" in dowels.says


def test_nothing_on_the_joint_line_is_a_fault(straight_pair: Callable) -> None:
    a, b = straight_pair()
    joint = Joint(id="J01", boards=("A", "B"), start=(990.0, 0.0), end=(990.0, 600.0))
    notes = Notes()
    made = joint_fixings(
        joint, Half(a.board, a.frame, a.joists), Half(b.board, b.frame, b.joists), JointSettings(), notes
    )
    assert made == ()
    assert [f.code for f in notes.findings] == ["BW-JOINT-001"]


def test_shallow_frames_are_cautioned(straight_pair: Callable) -> None:
    """A 12 mm dowel wants 3 × 12 = 36 mm to each edge of 90 mm: 45 is there. A 16 mm one wants 48."""
    a, b = straight_pair()
    for diameter, codes in ((12.0, []), (16.0, ["BW-JOINT-005"])):
        notes = Notes()
        run(a, b, JointSettings(dowel_diameter_mm=diameter), notes)
        assert [f.code for f in notes.findings] == codes


def test_a_place_of_the_clubs_own_too_near_an_edge_is_mended_by_another_place(
    straight_pair: Callable,
) -> None:
    """20 mm below the top, 30 wanted (three times 10): anything from 30 to 90 - 30 keeps it."""
    a, b = straight_pair()
    notes, mended = Notes(), Notes()
    run(a, b, JointSettings(fixings_below_mm=20.0), notes)
    (finding,) = notes.findings
    assert finding.code == "BW-JOINT-005"
    assert "joints.fixings_below_mm from 30 to 60" in finding.mend
    run(a, b, JointSettings(fixings_below_mm=60.0), mended)
    assert not mended.findings


@pytest.mark.parametrize(("width", "bolts"), [(888.0, [44.0, 844.0]), (889.0, [44.0, 444.5, 845.0])])
def test_long_joints_get_more_bolts(straight_pair: Callable, width: float, bolts: list[float]) -> None:
    """Bolts stand from 44 to width - 44: 800 apart in 888 is allowed, 801 in 889 is not."""
    a, b = straight_pair(width=width)
    assert [f.along_mm for f in run(a, b).fixings if f.kind is FixingKind.BOLT] == bolts


def test_bolts_clear_joists_behind_a_side(boxes) -> None:
    """A T: B's end (from x = 200 to 700) against A's far side (y = 600), with joists of A ending on it.

    B's end stands from 212 to 688, bolts wanted at 244 and 656 (t = 456 and 44: the joint runs from 700
    to 200). Joists of A at x = 250 and 500 block 244..256 and 494..506, with room 15: 229..271 and 479..521.
    So the left bolt moves in to 271, the right one mirrors it about 450: 629. Dowels, with room 10:
    bolts' spacing 40 leaves 311..589, less 484..516: the outermost pair is 311 and 589.
    """
    joint = Joint(id="J02", boards=("A", "B"), start=(700.0, 600.0), end=(200.0, 600.0))
    # travelling in -x, the left is -y: A below the line is on the left
    a = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (joint,), (250.0, 500.0))
    b = boxes.box("B", ((700, 600), (700, 1400), (200, 1400), (200, 600)), (joint,), (300.0,))
    made = run(a, b).fixings
    assert [(f.kind.value, round(f.x_mm, 6)) for f in made] == [
        ("bolt", 629.0),
        ("dowel", 589.0),
        ("dowel", 311.0),
        ("bolt", 271.0),
    ]
    assert run(b, a).fixings == made


def test_bolts_clear_devices_on_either_side(straight_pair: Callable) -> None:
    """A plug on B, 40 along y and 25 across, its middle at (1030, 50): its body covers y from 30 to 70 and
    x from 1017.5, just behind B's end. With 15 of room a bolt may stand from 85: the pair is 85 and 515."""
    a, b = straight_pair()
    plug = Device(
        id="X1",
        kind="plug",
        x_mm=1030,
        y_mm=50,
        angle_deg=90,
        length_mm=40,
        width_mm=25,
        depth_mm=40,
        clearance_mm=5,
    )
    made = run(a, b, devices=(plug,))
    assert [round(f.y_mm, 6) for f in made.fixings if f.kind is FixingKind.BOLT] == [85.0, 515.0]
    assert run(b, a, devices=(plug,)).fixings == made.fixings


def test_letters() -> None:
    assert [letters(n) for n in (0, 1, 25, 26, 27, 51, 52)] == ["A", "B", "Z", "AA", "AB", "AZ", "BA"]


def test_a_side_in_two_lengths(boxes) -> None:
    """A's far side is two strips meeting at x = 450, in the middle of the joint with B's end (200 to 700).

    Three bolts are wanted. Without the break the third would stand at 450; 32 mm of end distance keep
    bolts out of 418 to 482, so mirrored pairs give only two, and the lopsided pattern is taken: the first
    from t = 44 (x = 656), the last from t = 456 (x = 244), then the next free one: 44 + 40 = 84 (x = 616).
    """
    joint = Joint(id="J02", boards=("A", "B"), start=(700.0, 600.0), end=(200.0, 600.0))
    a = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (joint,))
    b = boxes.box("B", ((700, 600), (700, 1400), (200, 1400), (200, 600)), (joint,))
    whole = a.frame.members[2]
    halves = tuple(
        msgspec.structs.replace(
            whole,
            id=f"A-S2{tag}",
            outer_start=(x0, 600),
            outer_end=(x1, 600),
            inner_start=(x0, 588),
            inner_end=(x1, 588),
        )
        for tag, x0, x1 in (("a", 1000, 450), ("b", 450, 0))
    )
    frame = msgspec.structs.replace(a.frame, members=(*a.frame.members[:2], *halves, a.frame.members[3]))
    notes = Notes()
    wanted = JointSettings(bolts_per_joint=3, dowels_per_joint=0)
    made = joint_fixings(
        joint, Half(a.board, frame, a.joists), Half(b.board, b.frame, b.joists), wanted, notes
    )
    assert [round(f.x_mm, 6) for f in made] == [656.0, 616.0, 244.0]
    assert [f.code for f in notes.findings] == ["BW-JOINT-004"]
    held = {m.id: [h.x_mm for h in fixing_holes(a.board, m, made)] for m in frame.members}
    assert {k: v for k, v in held.items() if v} == {"A-S2a": [344.0, 384.0], "A-S2b": [206.0]}


def test_bevelled_ends_count_from_the_shorter_face(boxes) -> None:
    """Sides splayed by 1 in 1, ends between them: the outer face is 12 mm longer at either end.

    B's end on the joint y = 0 from (0, 0) to (600, 0); its sides leave at 45° inwards and are 12 thick,
    12√2 = 16.97 measured along the joint. Outer face from 16.97, inner face from 28.97.
    """
    joint = Joint(id="J01", boards=("A", "B"), start=(0.0, 0.0), end=(600.0, 0.0))
    ring = ((0, 0), (600, 0), (400, 200), (200, 200))
    made = boxes.box("A", ring, (joint,), ends_through=True, end_edges=(0, 2))
    found = mates(joint, Half(made.board, made.frame, made.joists), 40.0)
    assert [m.member.id for m in found] == ["A-E0"]
    assert found[0].face == pytest.approx((12 * 2**0.5 + 12, 600 - 12 * 2**0.5 - 12))
