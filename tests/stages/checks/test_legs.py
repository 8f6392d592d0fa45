"""Legs measured anew beside the parts, the holes and the devices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from boardwright.plan.model import Device
from boardwright_stages.checks.legs import legs_met
from boardwright_stages.checks.reassembly import drilled, solid
from boardwright_stages.joints.settings import JointSettings
from boardwright_timber.model import BoardStand, Leg

MOTOR = Device(
    id="M1",
    kind="point motor",
    x_mm=200.0,
    y_mm=60.0,
    length_mm=60.0,
    width_mm=40.0,
    depth_mm=50.0,
    clearance_mm=10.0,
)
END, SIDE = "A-E1", "A-S0"  # the end on the joint, x from 988 to 1000, and the front side, y from 0 to 12


def leg(member: str, x: float, y: float, name: str = "A-L1", meets: tuple[str, ...] = ()) -> Leg:
    return Leg(
        id=name,
        member=member,
        x_mm=x,
        y_mm=y,
        top_mm=-20.0,
        length_mm=900.0,
        side_mm=44.0,
        foot_mm=25.0,
        lap_mm=70.0,
        meets=meets,
    )


@pytest.fixture
def worst(build: Callable[..., Any], straight_pair: Callable[..., Any]) -> Callable[..., tuple[float, str]]:
    """What the worst of some legs of board A meets; joists stand at 350 and 650, bolts at 44 and 556."""
    a, b = straight_pair()
    parts = build({"A": a, "B": b}, (MOTOR,)).parts["A"].parts

    def look(*legs: Leg, device: Device = MOTOR) -> tuple[float, str]:
        solids = [solid(a.board, p) for p in parts]
        holes = [h for p in parts for h in drilled(a.board, p)]
        stand = BoardStand(board="A", legs=legs)
        return max(legs_met(a.board, stand, solids, holes, (device,), JointSettings()))

    return look


def test_the_parts_are_where_the_tests_say(build: Any, straight_pair: Any) -> None:
    a, b = straight_pair()
    assert {END, SIDE} <= {m.id for m in a.frame.members}
    placed = build({"A": a, "B": b}).fixings["A"].fixings
    assert [(f.kind.value, f.along_mm) for f in placed] == [
        ("bolt", 44.0),
        ("dowel", 84.0),
        ("dowel", 516.0),
        ("bolt", 556.0),
    ]


@pytest.mark.parametrize(
    ("member", "x", "y", "area", "met"),
    [
        (SIDE, 500.0, 6.0, 0.0, "A-L1"),
        (SIDE, 344.0, 6.0, 12.0 * 43.8, "A-L1 and A-J1"),  # the whole of a joist of 12 lies within
        (SIDE, 200.0, 6.0, 43.8 * (55.9 - 30.0), "A-L1 and M1"),  # its keep-out begins 60 - 20 - 10 in
        (SIDE, 139.0, 6.0, (160.9 - 160.0) * 25.9, "A-L1 and M1"),
        (SIDE, 138.0, 6.0, 0.0, "A-L1"),  # 138 + 22 = 160: side by side
        (END, 994.0, 44.0, 30.0 * 39.9, "A-L1 and a bolt of A-E1"),  # 30 wide, 40 deep
        (END, 994.0, 80.9, 20.0 * 19.9, "A-L1 and a dowel of A-E1"),
        (END, 994.0, 116.1, 0.0, "A-L1"),  # 84 + 10 + 22 = 116
        (END, 994.0, 300.0, 0.0, ""),
    ],
)
def test_a_leg_is_measured(
    worst: Callable[..., tuple[float, str]], member: str, x: float, y: float, area: float, met: str
) -> None:
    """The leg is looked at 0.1 mm smaller all round: 43.8 of 44."""
    found, where = worst(leg(member, x, y))
    if met:
        assert (round(found, 6), where) == (pytest.approx(area, abs=1e-6), met)
    else:
        assert "wire hole" in where
        assert found > 100.0


def test_what_a_leg_says_itself_does_not_count(worst: Callable[..., tuple[float, str]]) -> None:
    assert worst(leg(SIDE, 200.0, 6.0, meets=("point motor M1",)))[0] == 0.0
    assert worst(leg(SIDE, 200.0, 6.0, meets=("point motor M11",)))[0] > 0.0
    assert worst(leg(SIDE, 344.0, 6.0, meets=("joist A-J1",)))[0] == 0.0
    assert worst(leg(END, 994.0, 44.0, meets=("bolt J01-A",)))[0] == 0.0
    assert worst(leg(END, 994.0, 44.0, meets=("dowel J01-B",)))[0] > 0.0


def test_a_device_that_ends_above_the_legs_top_is_none(worst: Callable[..., tuple[float, str]]) -> None:
    assert worst(leg(SIDE, 200.0, 6.0), device=replace(MOTOR, depth_mm=20.0))[0] == 0.0
    assert worst(leg(SIDE, 200.0, 6.0), device=replace(MOTOR, depth_mm=20.1))[0] > 0.0


def test_a_short_lap_ends_below_a_dowel_but_not_below_a_spanner(
    worst: Callable[..., tuple[float, str]],
) -> None:
    """Dowels 45 mm below the deck want 10 each way: a leg 56 mm below it is clear, one at 54 is not."""
    short = [replace(leg(END, 994.0, 80.9), top_mm=top) for top in (-56.0, -54.0)]
    assert [worst(one)[0] > 0 for one in short] == [False, True]
    assert worst(replace(leg(END, 994.0, 44.0), top_mm=-85.0))[0] > 0.0


def test_legs_are_no_nearer_than_side_by_side(worst: Callable[..., tuple[float, str]]) -> None:
    one = leg(SIDE, 500.0, 6.0)
    assert worst(one, leg(SIDE, 544.0, 6.0, "A-L2"))[0] == 0.0
    assert worst(one, leg(SIDE, 543.0, 6.0, "A-L2")) == (pytest.approx(0.8 * 43.8), "A-L2 and A-L1")
    assert worst(one, leg(SIDE, 543.0, 6.0, "A-L2", ("leg A-L1",)))[0] == 0.0
