"""The two boards of ``joined``, their joint and the plan that lies on them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from boardwright.plan.model import Device, Outline, Track, TrackPlan, Turnout
from boardwright_timber.model import (
    Board,
    BoardPlan,
    Crossing,
    Joint,
)


@dataclass(frozen=True)
class Ground:
    """Boards, and what of the plan lies on each."""

    plan: TrackPlan
    joint: Joint
    boards: dict[str, Board]
    plans: dict[str, BoardPlan]
    track: Track
    motor: Device


def ground(name: str) -> Ground:
    joint = Joint(
        id="J01",
        boards=("B01", "B02"),
        start=(1200.0, 0.0),
        end=(1200.0, 600.0),
        crossings=(Crossing(track="T1", x_mm=1200.0, y_mm=300.0, off_square_deg=0.0),),
        nearest_turnout_mm=420.0,
    )
    arc = [
        (1800.0 + 300 * math.sin(a), 300.0 - 300 * math.cos(a)) for a in [math.pi * i / 60 for i in range(61)]
    ]
    ring2 = ((1200.0, 0.0), *((round(x, 6), round(y, 6)) for x, y in arc), (1200.0, 600.0))
    well = ((1500.0, 250.0), (1500.0, 350.0), (1700.0, 350.0), (1700.0, 250.0))
    b1 = Board(
        id="B01",
        outline="O1",
        level_mm=1000.0,
        ring=((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0)),
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=1200.0,
        width_mm=600.0,
        joints=(joint,),
    )
    b2 = Board(
        id="B02",
        outline="O1",
        level_mm=1000.0,
        ring=ring2,
        wells=(well,),
        origin=(1200.0, 0.0),
        angle_deg=0.0,
        length_mm=900.0,
        width_mm=600.0,
        joints=(joint,),
    )
    track = Track(id="T1", points=tuple((x * 20.0, 300.0 + 40 * math.sin(x / 5)) for x in range(76)))
    turnout = Turnout(id="W1", x_mm=700.0, y_mm=300.0, ring=((600, 250), (850, 250), (850, 350), (600, 350)))
    motor = Device(
        id="M1",
        kind="point motor",
        x_mm=650.0,
        y_mm=360.0,
        length_mm=80,
        width_mm=40,
        depth_mm=60,
        clearance_mm=15,
    )
    feed = Device(
        id="F1", kind="feed", x_mm=300.0, y_mm=300.0, length_mm=6, width_mm=6, depth_mm=20, clearance_mm=10
    )
    plan = TrackPlan(
        name=name,
        drawing_file="plan.dxf",
        scale_ratio=76.2,
        outlines=(
            Outline(
                id="O1",
                ring=((0.0, 0.0), (1200.0, 0.0), *ring2[1:], (0.0, 600.0)),
                wells=(well,),
                level_mm=1000.0,
            ),
        ),
        tracks=(track,),
        turnouts=(turnout,),
        devices=(motor, feed),
    )
    plans = {
        "B01": BoardPlan(
            board="B01",
            devices=(motor, feed),
            own_devices=("M1", "F1"),
            turnouts=(turnout,),
            tracks=(Track(id="T1", points=track.points[:61]),),
        ),
        "B02": BoardPlan(board="B02", tracks=(Track(id="T1", points=track.points[60:]),)),
    }
    return Ground(plan, joint, {"B01": b1, "B02": b2}, plans, track, motor)
