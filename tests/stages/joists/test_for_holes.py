"""Joists stand aside for the holes of a joint on a side, where that costs no joist and no span."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Notes, Severity
from boardwright.plan.model import Device
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.module_ends import EndProfile, ModuleEndSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joists.for_holes import taken_by_holes
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.side_joints import no_joists, side_joints
from boardwright_stages.joists.stages import joists
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import Board, BoardPlan, Joint


def sided(start: float, end: float) -> Board:
    """A board 1100 × 500 with another on its far side, from x = end back to x = start."""
    joint = Joint(id="J01", boards=("A", "B"), start=(end, 500.0), end=(start, 500.0))
    return Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=((0, 0), (1100, 0), (1100, 500), (0, 500)),
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=1100,
        width_mm=500,
        joints=(joint,),
    )


def test_places_by_hand() -> None:
    """From 200 to 700: bolts at 244 and 656, dowels at 284 and 616, wires about 450. A joist 12 thick stays
    15 + 6 from a bolt, 10 + 6 from a dowel, 33 + 11 + 10 + 6 from the middle of two 22 mm holes."""
    got = taken_by_holes(sided(200, 700), JointSettings(), WiringSettings(), 12.0)
    assert got == ((223, 265), (268, 300), (390, 510), (600, 632), (635, 677))


def test_an_end_takes_nothing() -> None:
    board = sided(200, 700)
    across = Joint(id="J02", boards=("A", "C"), start=(1100.0, 0.0), end=(1100.0, 500.0))
    assert taken_by_holes(replace(board, joints=(across,)), JointSettings(), WiringSettings(), 12.0) == ()


@pytest.mark.parametrize("start", [150.0, 323.0, 283.0])
def test_joists_stand_aside(joisted: Any, start: float) -> None:
    """Alone, two joists divide 1100 evenly, at about 367 and 733: the first would stand behind the middle, a
    bolt or a dowel. They move, and are no more and leave no wider span than may be."""
    board = sided(start, start + 500)
    made = joisted(board)
    taken = taken_by_holes(board, JointSettings(), WiringSettings(), 12.0)
    plain = joisted(sided_without(board))
    assert len(made.centres) == len(plain.centres)
    assert any(t.low < x < t.high for x in plain.centres for t in taken)
    assert not any(t.low < x < t.high for x in made.centres for t in taken)
    assert made.joists.spacing_mm <= 400.0 + 1e-6
    assert made.codes == []


def sided_without(board: Board) -> Board:
    return replace(board, joints=())


def test_a_joist_too_short_for_a_hole_stands_elsewhere(joisted: Any) -> None:
    """A board that tapers to 60 at its right end: within 24 of frame and 66 of hole a joist must be 90 in.
    A device leaves a joist a choice of places; the longer one is taken."""
    ring = ((0.0, 0.0), (900.0, 0.0), (900.0, 70.0), (600.0, 300.0), (0.0, 300.0))
    board = Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=ring,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=900,
        width_mm=300,
    )
    body = Device(
        id="D1",
        kind="servo",
        x_mm=700,
        y_mm=60,
        length_mm=60,
        width_mm=60,
        depth_mm=40,
        clearance_mm=5,
    )
    made = joisted(board, (body,))
    assert all(m.length_mm >= 66 for m in made.joists.joists)


def wide_module() -> Board:
    """900 wide and 600 long, so it lies across its own track: the ends that mate with the next module run
    along the board. Joists every 310 would stand at 300 and 600: 150 either side of the middle."""
    ends = (
        Joint(id="E01", boards=("A", "A"), start=(0.0, 0.0), end=(900.0, 0.0)),
        Joint(id="E02", boards=("A", "A"), start=(900.0, 600.0), end=(0.0, 600.0)),
    )
    return Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=((0, 0), (900, 0), (900, 600), (0, 600)),
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=900,
        width_mm=600,
        ends=ends,
    )


PROFILE = EndProfile(
    bolts=((-150.0, 60.0), (150.0, 60.0)),
    dowels=((-250.0, 60.0), (250.0, 60.0)),
    wires=((-40.0, 60.0), (40.0, 60.0)),
)


@pytest.mark.parametrize(
    ("how", "profile"),
    [
        (JointSettings(bolts_at_mm=(-150.0, 150.0), dowels_at_mm=(-250.0, 250.0)), ModuleEndSettings()),
        (JointSettings(), ModuleEndSettings(profile="ours", profiles={"ours": PROFILE})),
    ],
)
def test_joists_stand_aside_for_the_holes_of_a_modules_end(how: Any, profile: Any) -> None:
    """A bolt's room is 30 and a dowel's 20 wide, a joist 12 thick: 21 and 16 from middle to middle."""
    board, notes, framing = wide_module(), Notes(), FramingSettings(member_thickness_mm=12)
    made, plan, closer = frame(board, framing, notes), BoardPlan(board="A"), JoistSettings(spacing_mm=310)
    plain = joists(board, plan, made, framing, closer, notes)
    aside = joists(board, plan, made, framing, closer, notes, joints=how, profiles=profile)

    def spoilt(found: Any) -> int:
        middles = [m.outer_start[0] - m.thickness_mm / 2 for m in found.joists]
        bolts = sum(abs(x - at) < 21 - 1e-6 for x in middles for at in (300.0, 600.0))
        return bolts + sum(abs(x - at) < 16 - 1e-6 for x in middles for at in (200.0, 700.0))

    assert spoilt(plain)
    assert not spoilt(aside)
    assert aside.spacing_mm <= 310 + 1e-6
    assert not [f for f in notes.findings if f.severity is Severity.FAULT]


def test_the_places_of_a_profile_are_those_of_an_end_that_faces_its_way() -> None:
    """E01 faces down, which counts as left: what its profile has at -100 lies at +100 along it from its
    middle. E02 faces up."""
    board = wide_module()
    profile = EndProfile(bolts=((-100.0, 60.0), (200.0, 60.0)), dowels=())
    half = Half(board, frame(board, FramingSettings(), Notes()), no_joists("A"), ())
    first, second = side_joints(half, {}, {}, JointSettings(), WiringSettings(), 12.0, profile)
    assert (first.bare[0].at_mm, second.bare[0].at_mm) == ((250.0, 550.0), (350.0, 650.0))
    assert (first.bare[1].at_mm, second.bare[1].at_mm) == ((), ())
