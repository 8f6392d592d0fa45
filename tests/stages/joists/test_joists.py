"""Joists by hand: every position below is worked out beside its check. Members are 12 mm thick."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Any

import msgspec
import pytest
import shapely
from any_shapes import board_of

from boardwright import Severity
from boardwright.plan.model import Device
from boardwright_stages.joists.settings import JoistSettings
from boardwright_timber.model import Board, MemberRole

type Joist = Callable[..., Any]
RECTANGLE = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0))


def device(name: str, x: float, y: float, length: float = 60, width: float = 40, angle: float = 0) -> Device:
    return Device(
        id=name,
        kind="point motor",
        x_mm=x,
        y_mm=y,
        length_mm=length,
        width_mm=width,
        depth_mm=50,
        clearance_mm=10,
        angle_deg=angle,
    )


def test_rectangle(joisted: Joist) -> None:
    """End centres at 6 and 1194, 1188 apart: three bays of 396 ≤ 400, so two joists, at 402 and 798.

    They fit between the sides: 600 - 2 × 12 = 576, square at both ends.
    """
    made = joisted(board_of(RECTANGLE))
    assert made.centres == [402, 798]
    first, second = made.joists.members
    assert (first.id, second.id) == ("B01-J1", "B01-J2")
    assert first.outline == ((408, 12), (408, 588), (396, 588), (396, 12))
    assert (first.left_bevel_deg, first.right_bevel_deg) == (0, 0)
    assert first.role is MemberRole.JOIST
    assert (made.joists.spacing_mm, made.joists.limit_mm) == (396, 400)
    assert made.codes == []


def test_a_limit_just_met_needs_no_further_joist(joisted: Joist) -> None:
    """1188 / 3 = 396: with a limit of 396 two joists do, with 395 a third is needed."""
    assert len(joisted(board_of(RECTANGLE), (), JoistSettings(spacing_mm=396)).joists.members) == 2
    assert len(joisted(board_of(RECTANGLE), (), JoistSettings(spacing_mm=395)).joists.members) == 3


def test_joists_move_aside_for_devices(joisted: Joist) -> None:
    """A motor at 402 takes 402 ± (30 + 10 + 6) = 356 to 448. With two joists the first may stand only at 394
    (406 - 12) to 406, all taken, so there are three, and none between 356 and 448."""
    made = joisted(board_of(RECTANGLE), (device("PM1", 402, 300),))
    assert len(made.centres) == 3
    assert all(not 356 <= x <= 448 for x in made.centres)
    assert made.joists.spacing_mm <= 400
    assert made.codes == []


def test_two_joists_where_they_still_can(joisted: Joist) -> None:
    """A motor at 448 takes 402 to 494: the first joist stands 0.01 mm clear of it at 401.99 or before."""
    made = joisted(board_of(RECTANGLE), (device("PM1", 448, 300),))
    assert len(made.centres) == 2
    assert 394 <= made.centres[0] <= 402
    assert made.joists.spacing_mm <= 400


def test_missing_millimetres_are_named(joisted: Joist) -> None:
    """A 500 long device at 400, with 10 mm clearance: 140 to 660 is taken, joists stand at 133.99 and 666.01.

    The deck spans 532.02, 132.02 more than allowed. The rest, 1194 - 666.01 = 527.99, needs one joist more.
    """
    made = joisted(board_of(RECTANGLE), (device("LONG", 400, 300, length=500),), JoistSettings(trim=False))
    assert made.centres[:2] == [133.99, 666.01]
    assert made.joists.spacing_mm == pytest.approx(532.02)
    (fault,) = made.notes.findings
    assert (fault.code, fault.severity) == ("BW-JOIST-001", Severity.FAULT)
    assert "LONG" in fault.says
    assert "532.0 mm" in fault.says
    assert "132.0 mm more" in fault.says
    assert fault.where[1].item == "LONG"


def test_device_in_a_side(joisted: Joist) -> None:
    """Clearance over a side is a caution. A device that stands in it is a fault, with how far it must move.

    WITHIN reaches from 570 to 610 across the board, the back side's inner face is at 588: 588 - 570 = 18 mm
    are free and 22 are not.
    """
    near, within = device("NEAR", 600, 38), device("WITHIN", 600, 590)
    made = joisted(board_of(RECTANGLE), (near, within))
    clearance, body = made.notes.findings
    assert (clearance.code, clearance.severity) == ("BW-JOIST-002", Severity.CAUTION)
    assert "clearance of device NEAR reaches into B01-S1" in clearance.says
    assert (body.code, body.severity) == ("BW-JOIST-004", Severity.FAULT)
    assert "WITHIN itself stands in B01-S3" in body.says
    assert "by 22.0 mm at least" in body.mend


def test_moved_as_told_it_is_clear(joisted: Joist) -> None:
    """The mend of the fault above, done (590 - 22 = 568): its clearance is all that is left to say."""
    moved = joisted(board_of(RECTANGLE), (device("WITHIN", 600, 568),))
    assert moved.codes == ["BW-JOIST-002"]


def test_a_plug_may_stand_in_an_end(joisted: Joist) -> None:
    """What is fitted through the wood is no fault."""
    plug = msgspec.structs.replace(device("X1", 1194, 300), kind="plug")
    (only,) = joisted(board_of(RECTANGLE), (plug,)).notes.findings
    assert (only.code, only.severity) == ("BW-JOIST-002", Severity.CAUTION)


def test_devices_deeper_than_the_frame(joisted: Joist) -> None:
    """The frame is 90 deep: one of 90 just fits, 95 hangs 5 below, 104.5 by 14.5 (told as 14)."""
    fits, low, lower = (
        msgspec.structs.replace(device(name, x, 300), depth_mm=depth)
        for name, x, depth in (("A", 200, 90), ("B", 600, 95), ("C", 1000, 104.5))
    )
    (told,) = joisted(board_of(RECTANGLE), (lower, low, fits)).notes.findings
    assert (told.code, told.severity) == ("BW-JOIST-005", Severity.CAUTION)
    assert "B by 5 mm and C by 14 mm hang below the frame" in told.says
    assert "framing.depth_mm 104.5 or more" in told.mend
    assert [p.item for p in told.where] == ["B", "C"]
    assert joisted(board_of(RECTANGLE), (fits,)).codes == []


def test_settings_that_contradict_each_other_are_told_once(joisted: Joist) -> None:
    """Joists at most 70 apart but 12 + 60 = 72 at least: one fault, not one for each bay.

    At 72 the two agree, yet 1188 is no multiple of 72 (16.5 bays): one fault still. 16 bays of 74.25 fit 75.
    """
    made = joisted(board_of(RECTANGLE), (), JoistSettings(spacing_mm=70))
    assert made.codes == ["BW-JOIST-006"]
    assert "72 mm (12 mm of wood and 60 mm of joists.min_gap_mm)" in made.notes.findings[0].says
    assert joisted(board_of(RECTANGLE), (), JoistSettings(spacing_mm=72)).codes == ["BW-JOIST-001"]
    assert joisted(board_of(RECTANGLE), (), JoistSettings(spacing_mm=75)).codes == []


def test_skewed_ends(joisted: Joist) -> None:
    """Ends that lean 300 in 600, so an end's face is 0.5 × 576 = 288 further right at the top than below.

    An end is 12 / cos 26.565° = 13.416 thick along the board, so on the lower side's inner face (12 up,
    6 to the right) the room begins at 19.416 and is 1200 - 2 × 13.416 = 1173.167 long. The longest strip
    at the left is the lowest, at the right the highest: with n joists the longest strips of all bays add
    up to
    1173.167 + 288 - 12 n, each at most 400 - 12 = 388. n = 2: 1437.167 > 3 × 388 = 1164. n = 3:
    1425.167 ≤ 4 × 388 = 1552. So three joists.
    """
    ring = ((0.0, 0.0), (1200.0, 0.0), (1500.0, 600.0), (300.0, 600.0))
    made = joisted(board_of(ring))
    assert len(made.centres) == 3
    assert made.joists.spacing_mm <= 400
    longest_at_left = made.centres[0] - 6 - 19.416 + 12
    assert longest_at_left <= made.joists.spacing_mm + 1e-2
    assert all(m.left_bevel_deg == m.right_bevel_deg == 0 for m in made.joists.members)


def test_bevelled_on_a_tapering_board(joisted: Joist) -> None:
    """The back runs from 600 down to 400 over 1200: 9.4623° off, and so are the joists' ends there."""
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 400.0), (0.0, 600.0))
    made = joisted(board_of(ring))
    slope = math.degrees(math.atan(200 / 1200))
    for joist in made.joists.members:
        assert abs(joist.right_bevel_deg) == pytest.approx(slope, abs=1e-4)
        assert joist.left_bevel_deg == 0
    inner = shapely.LinearRing(made.frame.inner)
    for joist in made.joists.members:
        assert all(inner.distance(shapely.Point(p)) < 1e-5 for p in joist.outline)


def test_inward_corner(joisted: Joist) -> None:
    """An L whose arm is 400 wide: across the arm the deck spans 388, so only the long leg needs joists."""
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 400.0), (400.0, 400.0), (400.0, 900.0), (0.0, 900.0))
    made = joisted(board_of(ring))
    assert made.centres == [402, 798]
    assert [m.length_mm for m in made.joists.members] == [376, 376]
    assert made.joists.spacing_mm == 396


def test_wide_arm_gets_a_joist_all_the_way(joisted: Joist) -> None:
    """An arm 560 wide spans 548: a joist stands in it, 900 - 24 = 876 long."""
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 400.0), (560.0, 400.0), (560.0, 900.0), (0.0, 900.0))
    made = joisted(board_of(ring))
    assert made.joists.spacing_mm <= 400
    assert max(m.length_mm for m in made.joists.members) == pytest.approx(876)


def test_joists_run_past_a_well_flush_along_its_sides(joisted: Joist) -> None:
    """A 500 × 200 well, its sides 12 thick: joists with their middles at 300 - 12 - 6 and 800 + 12 + 6, from
    side to side. Between them 536 are too much for the deck: before and behind the well stands one in the
    middle, 300 - 12 - 12 = 276 long."""
    well = ((300.0, 300.0), (300.0, 500.0), (800.0, 500.0), (800.0, 300.0))
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 800.0), (0.0, 800.0))
    made = joisted(board_of(ring, (well,)))
    assert made.centres == [282, 550, 550, 818]
    assert [m.length_mm for m in made.joists.members] == [776, 276, 276, 776]
    assert made.joists.members[1].outer_start[1] < made.joists.members[2].outer_start[1]


def test_a_small_well_moves_the_joists_beside_it(joisted: Joist) -> None:
    """A well of 120 about (600, 300): joists past it at 540 - 18 and 660 + 18. Those that would have stood at
    402 and 798 part their bays unevenly and go to the middle: (6 + 522) / 2 and (678 + 1194) / 2."""
    well = ((540.0, 240.0), (540.0, 360.0), (660.0, 360.0), (660.0, 240.0))
    made = joisted(board_of(RECTANGLE, (well,)))
    assert made.centres == [264, 522, 678, 936]
    assert [round(m.length_mm, 3) for m in made.joists.members] == [576] * 4


def test_a_well_past_which_no_joist_can_run_is_tied_to_the_sides(joisted: Joist) -> None:
    """A device hangs where one would run past that well of 120, whose sides end at 528 and 672: joists stay
    at 402 and 798 and miss it. Ties at 600 ± (12 + 60) / 2 = 564 and 636 (60 is the room a drill wants) reach
    from its sides, 228 and 372, to the board's, 12 and 588: 216 long."""
    well = ((540.0, 240.0), (540.0, 360.0), (660.0, 360.0), (660.0, 240.0))
    made = joisted(board_of(RECTANGLE, (well,)), (device("PM1", 522, 100, length=20, width=20),))
    assert made.centres == [402, 564, 564, 636, 636, 798]
    assert [round(m.length_mm, 3) for m in made.joists.members] == [576, 216, 216, 216, 216, 576]


def test_a_round_well_is_held_on_four_sides(joisted: Joist) -> None:
    """Radius 150: eight sides, since 150 (1 - cos(180° / 8)) = 11.4 mm of overhang are within 25, those of
    four (44) are not. Joists run past two of them, noggins from joist to joist past two more."""
    turns = [-2 * math.pi * k / 64 for k in range(64)]
    well = tuple((600 + 150 * math.cos(a), 300 + 150 * math.sin(a)) for a in turns)
    made = joisted(board_of(RECTANGLE, (well,)))
    sides = [m for m in made.frame.members if m.role.value == "well side"]
    assert [round(m.length_mm, 1) for m in sides] == [round(2 * (150 + 12) * math.tan(math.pi / 8), 1)] * 8
    hole = shapely.Polygon(made.frame.inner_wells[0])
    touching = [m for m in made.joists.members if shapely.Polygon(m.outline).distance(hole) < 0.1]
    assert [m.role.value for m in touching] == ["joist"] * 2 + ["noggin"] * 2
    assert [round(m.length_mm) for m in touching] == [576, 576, 324, 324]
    for one, other in itertools.combinations((*made.frame.members, *made.joists.members), 2):
        assert shapely.Polygon(one.outline).intersection(shapely.Polygon(other.outline)).area < 0.05


def test_board_within_the_limit_has_none(joisted: Joist) -> None:
    """412 long: end centres 400 apart."""
    made = joisted(board_of(((0.0, 0.0), (412.0, 0.0), (412.0, 300.0), (0.0, 300.0))))
    assert made.joists.members == ()
    assert made.joists.spacing_mm == 400


def test_a_full_board_is_told_not_refused(joisted: Joist) -> None:
    """A device that takes all the room: no joist, and the whole span is told: 1188, 788 too much."""
    made = joisted(board_of(RECTANGLE), (device("HUGE", 600, 300, length=1300, width=700),))
    assert made.joists.members == ()
    assert made.joists.spacing_mm == 1188
    fault = next(f for f in made.notes.findings if f.code == "BW-JOIST-001")
    assert "788.0 mm more" in fault.says


def test_turned_board_keeps_clear_of_devices_in_plan(joisted: Joist) -> None:
    """Device and board in plan coordinates, the board turned by 90°: its x axis runs up the plan."""
    flat = board_of(RECTANGLE)
    board = Board(
        id="B01",
        outline="O1",
        level_mm=0,
        origin=(1000.0, 500.0),
        angle_deg=90,
        length_mm=1200,
        width_mm=600,
        ring=tuple((1000 - y, 500 + x) for x, y in flat.ring),
    )
    motor = device("PM1", 700, 902, angle=0)  # 402 along the board, but 60 long across it: 402 ± 36
    made = joisted(board, (motor,))
    keepout = shapely.Polygon(motor.keepout())
    for joist in made.joists.members:
        assert keepout.distance(shapely.Polygon([board.to_plan(p) for p in joist.outline])) > 0


def test_short_stub_is_left_out(joisted: Joist) -> None:
    """A board with a finger that reaches over its back, 60 wide: between its members 60 - 24 = 36 of room.

    The strip at 402 crosses it: a stub of 36. Without the stub the finger's deck spans from the end's inner
    face at 12 to the finger's at 438, 426 + 12 = 438: too far for a limit of 430, not for one of 440.
    """
    ring = (
        *RECTANGLE[:3],
        (200.0, 600.0),
        (200.0, 740.0),
        (450.0, 740.0),
        (450.0, 800.0),
        (0.0, 800.0),
    )
    tight = joisted(board_of(ring), (), JoistSettings(spacing_mm=430))
    assert min(m.length_mm for m in tight.joists.members) == pytest.approx(36)
    assert tight.joists.spacing_mm <= 430
    wide = joisted(board_of(ring), (), JoistSettings(spacing_mm=440))
    assert min(m.length_mm for m in wide.joists.members) > 40
    assert wide.joists.spacing_mm == pytest.approx(438)
    assert [m.id for m in wide.joists.members] == ["B01-J1", "B01-J2"]


def test_a_neighbours_device_hides_none_of_ours(joisted: Joist) -> None:
    """A device beyond the end, listed because its keep-out reaches over the joint, takes no position; the
    motor at 402 still takes 356 to 448, whichever of them is named first."""
    ours, beyond = device("M", 402, 300), device("A", 1230, 300, length=50)
    for devices in ((beyond, ours), (ours, beyond), (device("A", 2000, 300), ours)):
        assert all(not 356 <= x <= 448 for x in joisted(board_of(RECTANGLE), devices).centres)
