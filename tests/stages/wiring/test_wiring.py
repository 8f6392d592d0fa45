"""Wire holes by hand, and the check that finds devices no wire can get to."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import msgspec
import pytest

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.wiring.network_settings import WireSettings
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import BoardDemand, BoardFixings, BoardPlan, BoardWiring, JointDemand, Joists


def device(name: str, x: float, y: float) -> Device:
    return Device(
        id=name,
        kind="point motor",
        x_mm=x,
        y_mm=y,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )


def run(
    own,
    others=(),
    devices: tuple[Device, ...] = (),
    settings: WiringSettings | None = None,
    notes: Notes | None = None,
    joints: JointSettings | None = None,
    demand: str = "",
    crossing: JointDemand | None = None,
    plug_mm: float = 0.0,
) -> BoardWiring:
    beside = {o.board.id: o.board for o in others}
    frames = {o.board.id: o.frame for o in others}
    joists = {o.board.id: o.joists for o in others}
    plan = BoardPlan(board=own.board.id, devices=devices, own_devices=tuple(d.id for d in devices))
    plans = {o.board.id: BoardPlan(board=o.board.id) for o in others}
    fixed = fixings(
        own.board,
        beside,
        plan,
        plans,
        own.frame,
        frames,
        own.joists,
        joists,
        joints or JointSettings(),
        Notes(),
    )
    return wiring(
        own.board,
        beside,
        plan,
        plans,
        own.frame,
        frames,
        own.joists,
        joists,
        fixed,
        settings or WiringSettings(),
        notes if notes is not None else Notes(),
        BoardDemand(board=demand, joints=(crossing,) if crossing else ()),
        WireSettings(plug_body_mm=plug_mm),
    )


def test_a_joist_row_by_hand(straight_pair: Callable) -> None:
    """Joist 600 - 2 × 12 = 576 long: from 0.25 to 0.40 of it are 144 to 230.4, 86.4 long, and the same from
    the other end. Three diameters = 66 apart two holes go there, about 187.2: 154.2 and 220.2. Along the
    whole of it: rims 50 from its ends, middles from 61 to 515, 454 long: at 100 apart four gaps, five holes,
    mirrored about 288: 88, 188, 288, 388, 488. Mid depth of 90 is 45 down."""
    a, b = straight_pair()
    for zone, along in (
        ("span", [154.2, 220.2, 355.8, 421.8]),
        ("whole", [88.0, 188.0, 288.0, 388.0, 488.0]),
    ):
        made = run(a, [b], settings=WiringSettings(hole_zone=zone))  # type: ignore[arg-type]  # its words
        row = [h for h in made.holes if h.member == "A-J1"]
        assert [h.along_mm for h in row] == pytest.approx(along)
        assert {(h.z_mm, h.diameter_mm, h.joint) for h in row} == {(-45.0, 22.0, None)}
        # the joist at 350 is 12 thick and travels in +y: its outer face, on its right, is at x = 356
        assert (row[0].x_mm, row[0].y_mm) == pytest.approx((356.0, along[0] + 12))


def test_joint_holes_by_hand(straight_pair: Callable) -> None:
    """Two holes about the middle (300), three diameters = 66 apart: 267 and 333, the same in both boards.

    Nearest fixing: dowel at 84; 1.25 × (22 + 10) = 40 is wanted and 183 is there.
    """
    a, b = straight_pair()
    left = [h for h in run(a, [b]).holes if h.joint == "J01"]
    right = [h for h in run(b, [a]).holes if h.joint == "J01"]
    assert [(h.x_mm, h.y_mm, h.z_mm) for h in left] == [(1000.0, 267.0, -45.0), (1000.0, 333.0, -45.0)]
    assert [(h.x_mm, h.y_mm, h.z_mm) for h in right] == [(1000.0, 267.0, -45.0), (1000.0, 333.0, -45.0)]
    # A's end travels in +y and starts at y = 12; B's end travels in -y and starts at y = 588
    assert [h.along_mm for h in left] == [255.0, 321.0]
    assert [h.along_mm for h in right] == [321.0, 255.0]


@pytest.mark.parametrize(
    ("width", "along"),
    [
        (24 + 144, (72.0,)),  # 144 long: rims would need 122 for one hole, 222 for two
        (24 + 100, (50.0,)),  # below 122, but 66 (three diameters) or more: one in the middle
        (24 + 60, ()),  # below 66: none
    ],
)
def test_short_joists(boxes, width: float, along: tuple[float, ...]) -> None:
    made = boxes.box("A", ((0, 0), (1000, 0), (1000, width), (0, width)), (), (500.0,))
    notes = Notes()
    assert tuple(h.along_mm for h in run(made, notes=notes).holes) == along
    assert ("BW-WIRE-002" in [f.code for f in notes.findings]) is (not along)


def test_too_big_for_the_depth(straight_pair: Callable) -> None:
    """UK guidance: a quarter of the depth: 90 / 4 = 22.5."""
    a, b = straight_pair()
    for diameter, codes in ((22.5, []), (22.6, ["BW-WIRE-001"])):
        notes = Notes()
        run(a, [b], settings=WiringSettings(hole_diameter_mm=diameter), notes=notes)
        assert [f.code for f in notes.findings] == codes


def test_a_narrow_joint_says_so(straight_pair: Callable) -> None:
    """250 wide: dowels at 84 and 166. 1.25 × (22 + 10) = 40 from both leaves 124 to 126: one hole, at 125.
    240 wide: dowels at 84 and 156 leave nothing. Without dowels, bolts at 44 and 206 and 1.25 × 31 = 38.75
    leave 82.75 to 167.25, but a hole wants 10 mm of room and 33 to the end: two 66 apart fit, 92 and 158."""
    a, b = straight_pair(width=250.0)
    notes = Notes()
    assert [h.y_mm for h in run(a, [b], notes=notes).holes if h.joint] == [125.0]
    assert [(f.code, f.severity) for f in notes.findings] == [("BW-WIRE-003", "note")]
    holes = run(a, [b], joints=JointSettings(dowels_per_joint=0)).holes
    assert [h.y_mm for h in holes if h.joint] == [92.0, 158.0]

    a, b = straight_pair(width=240.0)
    notes = Notes()
    assert [h for h in run(a, [b], notes=notes).holes if h.joint] == []
    assert [(f.code, f.severity) for f in notes.findings] == [("BW-WIRE-003", "caution")]


def narrow(pair: Callable, crossing: JointDemand | None, plug_mm: float, **of: Any) -> tuple[int, int, str]:
    """Holes wanted and got through a joint 250 wide, and the mend."""
    a, b = pair(width=250.0)
    notes = Notes()
    made = run(a, [b], (), WiringSettings(**of), notes, None, "A" if crossing else "", crossing, plug_mm)
    told = [f for f in notes.findings if f.code == "BW-WIRE-003"]
    got = len([h for h in made.holes if h.joint])
    return (
        int(re.findall(r"of (\d+) wire holes", told[0].says)[0]) if told else got,
        got,
        told[0].mend if told else "",
    )


FEW = JointDemand(joint="J01", cores=4, squares_mm2=10.0)


def test_mends_of_a_narrow_joint_name_what_helps(straight_pair: Callable) -> None:
    """250 wide there is room for one hole of 22 (above), and for two of 10: between dowels at 84 and 166,
    with 1.25 × (10 + 10) = 25 from both, 32 are left, and they stand 30 apart. Every setting named does
    help, and what is not named does not."""
    wanted, got, mend = narrow(straight_pair, None, 0.0)
    assert (wanted, got) == (2, 1)
    assert (
        mend
        == "Make the joint longer; or set wiring.holes_per_joint lower; or set wiring.hole_diameter_mm lower."
    )
    assert narrow(straight_pair, None, 0.0, holes_per_joint=1)[2] == ""
    assert narrow(straight_pair, None, 0.0, hole_diameter_mm=10)[2] == ""

    wanted, got, mend = narrow(
        straight_pair, FEW, 18.0
    )  # measured: 19 with air, so a bit of 20, and a spare one
    assert (wanted, got) == (2, 1)
    assert "take a smaller plug (wires.plug_body_mm" in mend
    assert "set wiring.made_to_measure = false and wiring.hole_diameter_mm lower" in mend
    assert "holes_per_joint" not in mend
    assert narrow(straight_pair, FEW, 18.0, holes_per_joint=1)[:2] == (2, 1)
    assert narrow(straight_pair, FEW, 18.0, hole_diameter_mm=10)[:2] == (2, 1)
    assert narrow(straight_pair, FEW, 0.0)[2] == ""
    assert narrow(straight_pair, FEW, 18.0, hole_diameter_mm=10, made_to_measure=False)[2] == ""

    at = {"joint_holes_at_mm": (-33.0, 33.0)}  # a club's rule
    mend = narrow(straight_pair, FEW, 18.0, **at)[2]
    assert mend.startswith(
        "Make the joint longer; or name other places in wiring.joint_holes_at_mm; or set wiring.hole"
    )


def test_every_device_is_reached(straight_pair: Callable) -> None:
    a, b = straight_pair()
    notes = Notes()
    devices = (device("M1", 150, 300), device("M2", 500, 100), device("M3", 800, 500))
    assert run(a, [b], devices, notes=notes).unreached == ()
    assert notes.findings == []


def test_a_joist_without_holes_cuts_a_device_off(boxes) -> None:
    """On a board of one, M1 and M2 lie either side of a joist too short for a hole: M2 is not reached."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 84), (0, 84)), (), (500.0,))
    notes = Notes()
    answer = run(made, devices=(device("M1", 200, 42), device("M2", 800, 42)), notes=notes)
    assert answer.unreached == ("M2",)
    assert [f.code for f in notes.findings] == ["BW-WIRE-002", "BW-WIRE-004"]
    assert "smaller ones (wiring.hole_diameter_mm)" in notes.findings[1].mend  # 60 = 84 - 2 × 12 takes 20
    mended = WiringSettings(hole_diameter_mm=20)
    assert run(made, devices=(device("M1", 200, 42), device("M2", 800, 42)), settings=mended).unreached == ()


def test_smaller_holes_are_asked_for_by_settings_that_count(boxes) -> None:
    """78 - 24 = 54 is short for the 20 that measuring gives: smaller ones must be set, not measured."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 78), (0, 78)), (), (500.0,))
    notes, devices = Notes(), (device("M1", 200, 39), device("M2", 800, 39))
    assert run(made, devices=devices, notes=notes, demand="A").unreached == ("M2",)
    for finding in notes.findings:  # of the joist that is too short, and of the device it cuts off
        assert "wiring.made_to_measure = false and wiring.hole_diameter_mm" in finding.mend
    for measured, unreached in ((True, ("M2",)), (False, ())):
        smaller = WiringSettings(hole_diameter_mm=18, made_to_measure=measured)
        assert run(made, devices=devices, settings=smaller, demand="A").unreached == unreached


def test_a_joint_without_room_for_wires_is_what_to_mend(straight_pair: Callable) -> None:
    """240 wide with bolts and dowels there is no room (above); it is not the joists that must change."""
    a, b = straight_pair(width=240.0)
    notes = Notes()
    assert run(a, [b], (device("M1", 150, 120),), notes=notes).unreached == ("M1",)
    (fault,) = [f for f in notes.findings if f.code == "BW-WIRE-004"]
    assert "a hole through a joint of its board: a longer joint, or smaller ones" in fault.mend


def test_more_holes_along_a_joist_lead_to_a_device_near_an_edge(boxes) -> None:
    """Beyond the joist a well leaves a strip of 68 from 12 to 80. The joist's 276 have holes from 69 to 110
    (0.25 to 0.40), so the nearest comes through at 12 + 89.7. Along all of it, 20 from its ends and 100
    apart, they are at 38, 138 and 238: the first leads into the strip."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 300), (0, 300)), (), (500.0,))
    well = ((500.0, 80.0), (988.0, 80.0), (988.0, 288.0), (500.0, 288.0))
    made = replace(made, frame=msgspec.structs.replace(made.frame, wells=(well,)))
    devices = (device("M1", 200, 150), device("M2", 800, 46))
    notes = Notes()
    assert run(made, devices=devices, notes=notes).unreached == ("M2",)
    (fault,) = notes.findings
    assert fault.mend.startswith("Move M2 to where holes lead, or allow more holes in the joists")
    assert '(wiring.hole_zone = "whole" and a smaller wiring.end_margin_mm)' in fault.mend
    mended = WiringSettings(hole_zone="whole", end_margin_mm=20)
    assert run(made, devices=devices, settings=mended).unreached == ()


def test_no_joint_hole_means_nothing_is_reached(straight_pair: Callable) -> None:
    a, b = straight_pair()
    notes = Notes()
    answer = run(a, [b], (device("M1", 150, 300),), settings=WiringSettings(holes_per_joint=0), notes=notes)
    assert answer.unreached == ("M1",)
    assert [f.code for f in notes.findings] == ["BW-WIRE-004"]
    assert notes.findings[0].mend.endswith("allow holes through the joints (wiring.holes_per_joint).")


def test_a_device_over_the_frame(straight_pair: Callable) -> None:
    a, b = straight_pair()
    motor = Device(
        id="M9", kind="feed", x_mm=500, y_mm=6, length_mm=4, width_mm=4, depth_mm=0, clearance_mm=0
    )
    notes = Notes()
    assert run(a, [b], (motor,), notes=notes).unreached == ("M9",)
    assert "over a frame member" in notes.findings[0].says
    assert notes.findings[0].mend == "Move M9 off the frame."


def test_joints_at_both_ends_must_be_joined(boxes) -> None:
    """A board 84 wide between two others, with a joist too short for a hole: no way from J01 to J02."""
    from boardwright_timber.model import Joint

    j1 = Joint(id="J01", boards=("A", "B"), start=(1000, 0), end=(1000, 84))
    j2 = Joint(id="J02", boards=("B", "C"), start=(2000, 0), end=(2000, 84))
    a = boxes.box("A", ((0, 0), (1000, 0), (1000, 84), (0, 84)), (j1,))
    b = boxes.box("B", ((1000, 0), (2000, 0), (2000, 84), (1000, 84)), (j1, j2), (500.0,))
    c = boxes.box("C", ((2000, 0), (3000, 0), (3000, 84), (2000, 84)), (j2,))
    wires = WiringSettings(holes_per_joint=1, hole_diameter_mm=20)
    wide = WiringSettings(holes_per_joint=1, hole_diameter_mm=20.1)  # 3 × 20.1 > 60: no hole in the joist

    def codes(settings: WiringSettings) -> list[str]:
        notes = Notes()
        around = [a, c]
        fixed = BoardFixings(board="B")
        wiring(
            b.board,
            {o.board.id: o.board for o in around},
            BoardPlan(board="B"),
            {o.board.id: BoardPlan(board=o.board.id) for o in around},
            b.frame,
            {o.board.id: o.frame for o in around},
            b.joists,
            {o.board.id: o.joists for o in around},
            fixed,
            settings,
            notes,
        )
        return [f.code for f in notes.findings]

    assert codes(wires) == []
    assert "BW-WIRE-002" in codes(wide)


def test_wells_are_not_bays(boxes) -> None:
    """A device that sits in a well's air is not in any bay."""
    from boardwright_stages.wiring.bays import Bays

    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)))
    well = ((300, 200), (300, 400), (700, 400), (700, 200))
    frame = type(made.frame)(
        board="A",
        outer=made.frame.outer,
        inner=made.frame.inner,
        wells=(well,),
        inner_wells=(well,),
        members=made.frame.members,
    )
    bays = Bays(frame, frame.members)
    assert bays.at((500, 300)) is None
    assert bays.at((100, 300)) == 0
    assert (
        len(Bays(frame, (*frame.members, *Joists(board="A", spacing_mm=0, limit_mm=0).members)).shapes) == 1
    )
