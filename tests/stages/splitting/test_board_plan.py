"""Each board's share of the plan."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from boardwright.plan.model import Device, DrawnJoint, Track, TrackPlan, Turnout
from boardwright_stages.splitting.stages import board_plan, boards

SHELF = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 500.0), (0.0, 500.0))
MIDDLE = (DrawnJoint(id="D1", start=(1000.0, 0.0), end=(1000.0, 500.0)),)


def device(name: str, x: float) -> Device:
    return Device(
        id=name, kind="motor", x_mm=x, y_mm=250, length_mm=60, width_mm=40, depth_mm=50, clearance_mm=15
    )


@pytest.fixture
def plan(plan_of: Any) -> TrackPlan:
    made: TrackPlan = plan_of(
        SHELF,
        drawn_joints=MIDDLE,
        devices=(device("M1", 400), device("M2", 980), device("M3", 1000)),
        turnouts=(
            Turnout(id="T1", x_mm=900, y_mm=90, ring=((900, 80), (1100, 80), (1100, 120), (900, 120))),
            Turnout(id="T2", x_mm=1500, y_mm=90, ring=((1500, 80), (1600, 80), (1600, 120), (1500, 120))),
        ),
        tracks=(
            Track(id="K1", points=((-100, 300), (900, 300), (1500, 300))),
            Track(id="K2", points=((900, 400), (1100, 400), (1100, 450), (900, 450))),
        ),
    )
    return made


def test_devices_and_turnouts_are_shared_and_owned_once(plan: TrackPlan, cut: Any) -> None:
    made, _ = cut(plan)
    left, right = (board_plan(b, plan) for b in boards(made).values())
    assert [d.id for d in left.devices] == ["M1", "M2", "M3"]
    assert [d.id for d in right.devices] == ["M2", "M3"]
    owned = [*left.own_devices, *right.own_devices]
    assert sorted(owned) == ["M1", "M2", "M3"]
    assert set(left.own_devices) >= {"M1", "M2"}
    assert [t.id for t in left.turnouts] == ["T1"]
    assert [t.id for t in right.turnouts] == ["T1", "T2"]


def test_tracks_are_clipped_in_their_own_direction(plan: TrackPlan, cut: Any) -> None:
    made, _ = cut(plan)
    left, right = (board_plan(b, plan) for b in boards(made).values())
    assert [(t.id, t.points) for t in left.tracks] == [
        ("K1", ((0, 300), (900, 300), (1000, 300))),
        ("K2", ((900, 400), (1000, 400))),
        ("K2", ((1000, 450), (900, 450))),
    ]
    assert [(t.id, t.points) for t in right.tracks] == [
        ("K1", ((1000, 300), (1500, 300))),
        ("K2", ((1000, 400), (1100, 400), (1100, 450), (1000, 450))),
    ]


def test_heights_are_clipped_with_their_tracks(plan: TrackPlan, cut: Any) -> None:
    """K1 rises by 30 mm on 1500: it is at 20 at the joint on x = 1000. Nothing is told of a level plan."""
    k1, *others = plan.tracks
    for top, left_told, right_told in ((30.0, (0, 18, 20), (20, 30)), (4.0, (), ())):
        rising = replace(k1, heights_mm=tuple(p[0] * top / 1500 for p in k1.points))
        made, _ = cut(replace(plan, tracks=(rising, *others)))
        left, right = (board_plan(b, replace(plan, tracks=(rising, *others))) for b in boards(made).values())
        assert left.tracks[0].heights_mm == pytest.approx(left_told)
        assert right.tracks[0].heights_mm == pytest.approx(right_told)
        assert all(t.heights_mm == () for t in (*left.tracks[1:], *right.tracks[1:]))


def test_a_lift_outs_neighbours_are_known(plan: TrackPlan, cut: Any) -> None:
    made, _ = cut(plan)
    assert [b.neighbours for b in made.boards] == [("B02",), ("B01",)]
