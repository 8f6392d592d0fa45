"""Legs keep off devices, the bolts and dowels of joints, and wire holes."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

import pytest
import shapely

from boardwright import Notes
from boardwright.plan.model import Device
from boardwright_stages.hardware.legs import legs_of, stand
from boardwright_stages.hardware.supporting import support_lines
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.strength.keep_off import KeepOff, keep_off
from boardwright_stages.strength.leg_room import has_room, met
from boardwright_stages.strength.net import Place
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import (
    BoardFixings,
    BoardPlan,
    BoardStrength,
    BoardWiring,
    SupportPoint,
    WireHole,
)

SHARED = SupportSettings(shared=True)


def device(x: float, y: float, depth: float = 50.0, **more: Any) -> Device:
    size = {"length_mm": 60.0, "width_mm": 40.0, "clearance_mm": 10.0, **more}
    return Device(id="M1", kind="point_motor", x_mm=x, y_mm=y, depth_mm=depth, **size)


def keeping(made: dict[str, Any], *devices: Device, holes: tuple[WireHole, ...] = ()) -> KeepOff:
    board, frame, joists = (made[k] for k in ("board", "frame", "joists"))
    plan, wiring = BoardPlan(board="A", devices=devices), BoardWiring(board="A", holes=holes)
    return keep_off(board, plan, frame, joists, BoardFixings(board="A"), wiring)


def stood(made: dict[str, Any], keep: KeepOff, **asked: Any) -> BoardStrength:
    own = SupportSettings(**asked)
    return strength(**made, settings=StrengthSettings(), supports=own, notes=Notes(), keep=keep)


@pytest.mark.parametrize(("depth", "at"), [(50.0, 199.0), (20.0, 264.0), (21.0, 199.0)])
def test_a_pair_moves_off_a_device_that_hangs_so_low(
    board: Callable[..., dict[str, Any]], depth: float, at: float
) -> None:
    """A leg at 264 takes 241 to 287 with 1 mm to both sides, 12 to 56 mm in from the edge. The keep-out of
    60 + 2 × 10 takes 224 to 304: 224 - 23 = 201 is clear, 199 the first by steps of 5. The leg's top is
    90 - 70 = 20 mm below the deck: what hangs 20 mm down ends there."""
    made = board()
    found = stood(made, keeping(made, device(264.0, 40.0, depth)))
    assert sorted({p.x_mm for p in found.points}) == [at, 936.0]


def test_none_moves_for_what_is_elsewhere(board: Callable[..., dict[str, Any]]) -> None:
    """The legs end 56 mm from the edge: a keep-out from 57 on leaves them where they are."""
    made = board()
    found = stood(made, keeping(made, device(264.0, 57.0 + 30.0)))
    assert sorted({p.x_mm for p in found.points}) == [264.0, 936.0]
    found = stood(made, keeping(made, device(264.0, 55.0 + 30.0)))
    assert sorted({p.x_mm for p in found.points}) == [199.0, 936.0]


def test_one_without_a_clear_place_is_told_with_what_it_meets(board: Callable[..., dict[str, Any]]) -> None:
    """A panel as long as the side leaves no place at it; the other side's legs are clear."""
    made = board()
    keep = keeping(made, device(600.0, 40.0, length_mm=1180.0))
    notes, own = Notes(), SupportSettings()
    figures = stood(made, keep)
    args = (made["board"], made["frame"], made["joists"])
    list(support_lines(*args, figures, (), own, notes, keep=keep))
    (told,) = (f for f in notes.findings if f.code == "BW-HARD-009")
    assert "A-L1 where room is wanted for point motor M1; A-L3 where" in told.says
    assert [p.item for p in told.where] == ["A-L1", "A-L3"]
    legs = stand(*args, figures, own, keep=keep).legs
    assert [leg.meets for leg in legs] == [("point motor M1",), (), ("point motor M1",), ()]


def test_a_wire_hole_keeps_a_leg_off_on_both_sides_of_a_joist(board: Callable[..., dict[str, Any]]) -> None:
    """A hole of 20 mm asks for 20 / 2 + 10 = 20 mm each way along the joist and 20 mm before and behind it:
    one 30 mm from the joist's end reaches from 10 to 50 mm off the side, where a leg takes 44."""
    made = board(joists_at=(300.0, 600.0, 900.0))
    joist = made["joists"].members[0]
    hole = WireHole(member=joist.id, along_mm=30.0, z_mm=-45.0, x_mm=0.0, y_mm=0.0, diameter_mm=20.0)
    far = max(x for x, _ in joist.outline)
    low, high = joist.outer_start[1], joist.outer_end[1]
    (inside, outside) = keeping(made, holes=(hole,)).things
    spans = sorted((min(x for x, _ in t.ring), max(x for x, _ in t.ring)) for t in (inside, outside))
    assert spans == [(far - 32.0, far - 12.0), (far, far + 20.0)]
    y = low + 30.0 if high > low else low - 30.0
    for thing in (inside, outside):
        assert (min(v for _, v in thing.ring), max(v for _, v in thing.ring)) == (y - 20.0, y + 20.0)
        assert thing.bottom_mm == -65.0


def pair_of_boards(straight_pair: Callable[..., Any]) -> tuple[Any, KeepOff, tuple[Any, ...]]:
    a, b = straight_pair()
    plans = {n: BoardPlan(board=n) for n in "AB"}
    bolted = fixings(
        a.board, {"B": b.board}, plans["A"], plans, a.frame, {"B": b.frame}, a.joists, {"B": b.joists},
        JointSettings(), Notes(),
    )  # fmt: skip
    keep = keep_off(a.board, plans["A"], a.frame, a.joists, bolted, BoardWiring(board="A"))
    return a, keep, bolted.fixings


def test_legs_that_boards_share_stand_past_the_joints_bolts(
    board: Callable[..., dict[str, Any]], straight_pair: Callable[..., Any]
) -> None:
    """Bolts 12 + 4 × 8 = 44 mm from the board's corner, their room 15 mm each way, dowels 40 mm farther in,
    10 each way: from 12 to 94 no leg of 44 is clear. 94 + 1 + 22 = 117: from 40 by steps of 5 the first clear
    is 120."""
    a, keep, placed = pair_of_boards(straight_pair)
    ys = sorted(f.y_mm for f in placed)
    assert ys == [44.0, 84.0, 516.0, 556.0]
    plain = board(1000.0, 600.0)
    args = {"board": a.board, "frame": a.frame, "joists": a.joists, "parts": plain["parts"]}
    for kept, at in ((KeepOff(), [40.0, 560.0]), (keep, [120.0, 480.0])):
        points = stood(args, kept, shared=True).points
        assert sorted(p.y_mm for p in points if p.x_mm > 900) == at


def test_a_leg_in_a_corner_goes_to_the_member_that_has_room(straight_pair: Callable[..., Any]) -> None:
    """On the end, 6 mm from the corner: bolt and dowel keep it off to 117, more than 80 away. On the side it
    must be 40 + 12 mm from the joint's line for the bolt's spanner, and 1 + 22 more."""
    a, keep, _ = pair_of_boards(straight_pair)
    end = next(m for m in a.frame.members if m.role.value == "end" and m.outer_start[0] > 900)
    corner = SupportPoint(member=end.id, x_mm=994.0, y_mm=18.0, load_n=1.0, uplift_n=0.0)
    figures = BoardStrength(board="A", support="legs", points=(corner,), mass_kg=1.0, service_class=2)
    own = SupportSettings()
    (leg,) = legs_of(a.board, a.frame, a.joists, figures, own, keep.things)
    (before,) = legs_of(a.board, a.frame, a.joists, figures, own)
    assert before.member == end.id
    assert not leg.meets
    assert leg.member != end.id
    assert leg.y_mm == 6.0
    assert 994.0 - 80.0 <= leg.x_mm <= 1000 - 12 - 40 - 23 + 0.1


def test_what_is_met_is_what_a_square_of_wood_meets(board: Callable[..., dict[str, Any]]) -> None:
    """A leg drawn as a rectangle of its own, and turned rectangles that hang to all depths."""
    draw, both = random.Random(11), set()
    made = board(joists_at=(600.0,))
    members = (*made["frame"].members, *made["joists"].members)
    number, side = next((i, m) for i, m in enumerate(members) if abs(m.direction[0]) > 0.5)
    inner, inward = side.inner_start[1], 1 if side.inner_start[1] > side.outer_start[1] else -1
    for n in range(150):
        at = draw.uniform(100, 400)
        near = draw.uniform(-20, 90) * inward + inner
        motor = device(
            (side.outer_start[0] + side.direction[0] * at) + draw.uniform(-90, 90),
            near, draw.uniform(5, 60), angle_deg=draw.uniform(0, 180),
        )  # fmt: skip
        (thing,) = keeping(made, motor).things
        x, half = side.outer_start[0] + side.direction[0] * at, 22.0
        low, high = sorted((inner, inner + inward * 44.0))
        leg, keep_out = shapely.box(x - half, low, x + half, high), shapely.Polygon(motor.keepout())
        hangs, apart = motor.depth_mm > 20.0, leg.distance(keep_out)
        meets = not has_room(Place(number, at), members, 44.0, 70.0, (thing,))
        both.add((hangs, meets))
        assert meets == bool(met(Place(number, at), members, 44.0, 70.0, (thing,)))
        if not hangs:
            assert not meets, n
        elif leg.intersection(keep_out).area > 0.11 * 44:  # 0.1 mm are left to rounding
            assert meets, n
        elif apart > math.sqrt(2) * 1.0:
            assert not meets, n
    assert both == {(True, True), (True, False), (False, False)}


def test_legs_keep_off_one_another(board: Callable[..., dict[str, Any]]) -> None:
    """Two places 30 mm apart on one side: legs of 44 with 1 mm between stand 45 apart at least."""
    made = board()
    side = next(m for m in made["frame"].members if abs(m.direction[0]) > 0.5)
    y = (side.outer_start[1] + side.inner_start[1]) / 2
    points = tuple(
        SupportPoint(member=side.id, x_mm=x, y_mm=y, load_n=1.0, uplift_n=0.0) for x in (400.0, 430.0)
    )
    figures = BoardStrength(board="A", support="legs", points=points, mass_kg=1.0, service_class=2)
    args = (made["board"], made["frame"], made["joists"], figures)
    one, two = legs_of(*args, SupportSettings())
    assert abs(one.x_mm - two.x_mm) >= 45.0 - 0.1
    assert one.x_mm == 400.0
    given = SupportSettings(points={"A": ((400.0, y), (430.0, y))})
    assert [leg.meets for leg in legs_of(*args, given)] == [(), ("leg A-L1",)]


def test_a_legs_own_middle_is_half_of_both_off_its_members(board: Callable[..., dict[str, Any]]) -> None:
    """Inwards from a side of 12 by 6 + 22 = 28 mm; of one that ends under the frame by nothing."""
    made = board()
    args = (made["board"], made["frame"], made["joists"])
    figures = stood(made, KeepOff())
    legs = legs_of(*args, figures, SupportSettings())
    assert sorted({leg.middle[1] for leg in legs}) == [34.0, 600.0 - 34.0]
    assert all(leg.middle[0] == leg.x_mm for leg in legs)
    below = legs_of(*args, figures, SupportSettings(leg_lap_mm=0.0))
    assert all(leg.middle == (leg.x_mm, leg.y_mm) for leg in below)
