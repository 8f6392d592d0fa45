"""A layout turned, moved or mirrored is split into the same boards, turned, moved or mirrored.

Every plan drawn here has a device off any axis of symmetry: a layout that is its own mirror image may be cut
either way round. Coordinates are stored to 0.000001 mm, so boards are compared by area to 1 mm².
"""

from __future__ import annotations

import math
import os
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright.plan.model import Device, DrawnJoint, Outline, Point, Ring, Track, TrackPlan, Turnout
from boardwright_timber.model import Board

FIXED = {
    "deadline": None,
    "derandomize": True,
    "suppress_health_check": list(HealthCheck),
    "phases": [Phase.explicit, Phase.generate],  # a case takes seconds: it is told as drawn, not made small
}
EXAMPLES = 150 if os.environ.get("BOARDWRIGHT_DEEP") else 8


class Move:
    """Mirror about the y axis (or not), turn, shift."""

    def __init__(self, degrees: float, mirrored: bool, dx: float, dy: float) -> None:
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        self.matrix = np.array(((c, -s), (s, c))) @ np.diag((-1.0 if mirrored else 1.0, 1.0))
        self.shift = np.array((dx, dy))
        self.degrees, self.mirrored = degrees, mirrored

    def ring(self, points: Any) -> Ring:
        moved = np.array(points, dtype=float).reshape(-1, 2) @ self.matrix.T + self.shift
        return tuple((x, y) for x, y in np.round(moved, 6).tolist())

    def point(self, p: Point) -> Point:
        return self.ring((p,))[0]

    def plan(self, plan: TrackPlan) -> TrackPlan:
        return replace(
            plan,
            outlines=tuple(
                replace(o, ring=self.ring(o.ring), wells=tuple(self.ring(w) for w in o.wells))
                for o in plan.outlines
            ),
            tracks=tuple(replace(t, points=self.ring(t.points)) for t in plan.tracks),
            turnouts=tuple(replace(t, ring=self.ring(t.ring)) for t in plan.turnouts),
            devices=tuple(self.device(d) for d in plan.devices),
            drawn_joints=tuple(
                replace(j, start=self.point(j.start), end=self.point(j.end)) for j in plan.drawn_joints
            ),
        )

    def device(self, d: Device) -> Device:
        x, y = self.point((d.x_mm, d.y_mm))
        own = 180.0 - d.angle_deg if self.mirrored else d.angle_deg
        return replace(d, x_mm=x, y_mm=y, angle_deg=own + self.degrees)


def same_boards(before: tuple[Board, ...], after: tuple[Board, ...], move: Move) -> None:
    """Each board of one splitting lies on one of the other, to 1 mm²."""
    assert len(before) == len(after)
    there = [shapely.Polygon(b.ring, b.wells) for b in after]
    for board in before:
        moved = shapely.Polygon(move.ring(board.ring), [move.ring(w) for w in board.wells])
        assert min(shapely.symmetric_difference(moved, t).area for t in there) < 1.0, board.id


moves = st.builds(
    Move,
    st.one_of(st.sampled_from([0.0, 90.0, 180.0, 270.0]), st.floats(0, 360)),
    st.booleans(),
    st.floats(-2000, 2000),
    st.floats(-2000, 2000),
)
cell = st.integers(0, 4).map(lambda k: 300.0 * k)
span = st.integers(1, 4).map(lambda k: 300.0 * k + 150.0)


@st.composite
def areas(draw: st.DrawFn) -> Any:
    """Rectangles put together (L, T, U, with wells), mostly with a round end, a bay or a round hole."""
    parts = []
    for _ in range(draw(st.integers(1, 3))):
        x, y, w, h = draw(cell), draw(cell), draw(span), draw(span)
        parts.append(shapely.box(x, y, x + w, y + h))
    area = shapely.simplify(shapely.union_all(parts), 0)
    assume(area.geom_type == "Polygon")
    x0, y0, x1, y1 = area.bounds
    round_at = shapely.Point(draw(st.floats(x0, x1)), draw(st.floats(y0, y1))).buffer(
        draw(st.floats(150, 500)), 8
    )
    kind = draw(st.sampled_from(["plain", "end", "bay"]))
    if kind == "end":
        area = shapely.union(area, round_at)
    elif kind == "bay":
        area = shapely.difference(area, round_at)
    assume(area.geom_type == "Polygon" and area.is_valid)
    return area


@st.composite
def plans(draw: st.DrawFn) -> TrackPlan:
    """An outline with a few devices, turnouts and tracks at odd places, perhaps a drawn joint."""
    area = draw(areas())
    x0, y0, x1, y1 = area.bounds
    at = st.tuples(st.floats(x0, x1).map(round), st.floats(y0, y1).map(round))
    size = {"length_mm": 60.0, "width_mm": 40.0, "depth_mm": 50.0, "clearance_mm": 15.0}
    spots = [(x0 + 0.2718 * (x1 - x0), y0 + 0.3142 * (y1 - y0)), *draw(st.lists(at, max_size=4))]
    devices = tuple(
        Device(id=f"M{k}", kind="motor", x_mm=x, y_mm=y, angle_deg=draw(st.integers(0, 90)), **size)
        for k, (x, y) in enumerate(spots)
    )
    turnouts = tuple(
        Turnout(
            id=f"T{k}", x_mm=x, y_mm=y, ring=((x, y - 20), (x + 180, y - 20), (x + 180, y + 35), (x, y + 20))
        )
        for k, (x, y) in enumerate(draw(st.lists(at, max_size=3)))
    )
    ways = draw(st.lists(st.lists(at, min_size=2, max_size=4, unique=True), max_size=3))
    if draw(st.booleans()):  # along the very edge, with a corner on it: on the layout, however it lies
        corner = draw(st.integers(0, len(area.exterior.coords) - 2))
        ways.append([*area.exterior.coords[corner : corner + 2], draw(at)])
    tracks = tuple(Track(id=f"K{k}", points=tuple(points)) for k, points in enumerate(ways))
    joints: tuple[DrawnJoint, ...] = ()
    if draw(st.integers(0, 3)) == 0:
        x = draw(st.integers(int(x0) + 1, int(x1) - 1))
        joints = (DrawnJoint(id="D1", start=(x, y0), end=(x, y1)),)
    return TrackPlan(
        name="Coldharbour Loop",
        drawing_file="plan.dxf",
        scale_ratio=76.2,
        outlines=(
            Outline(
                id="A",
                ring=tuple(area.exterior.coords)[:-1],
                wells=tuple(tuple(r.coords)[:-1] for r in area.interiors),
            ),
        ),
        tracks=tracks,
        turnouts=turnouts,
        devices=devices,
        drawn_joints=joints,
    )


@settings(max_examples=EXAMPLES, **FIXED)
@given(plan=plans(), move=moves)
def test_a_moved_plan_gives_the_same_boards_moved(cut: Any, plan: TrackPlan, move: Move) -> None:
    before, told = cut(plan, step_mm=100.0)
    after, told_after = cut(move.plan(plan), step_mm=100.0)
    same_boards(before.boards, after.boards, move)
    assert sorted(f.code for f in told) == sorted(f.code for f in told_after)


@pytest.mark.parametrize("degrees", [17.3, 90.0, 201.9])
@pytest.mark.parametrize("mirrored", [False, True])
def test_an_l_with_a_bow_is_split_the_same_whichever_way_it_lies(
    plan_of: Any, cut: Any, degrees: float, mirrored: bool
) -> None:
    bow = tuple((3000 + 600 * math.sin(a), 600 - 600 * math.cos(a)) for a in np.linspace(0, math.pi / 2, 30))
    ring = ((0, 0), *bow, (3600, 2400), (2900, 2400), (2900, 700), (0, 550))
    plan = plan_of(ring)
    move = Move(degrees, mirrored, 431.7, -1204.3)
    before, _ = cut(plan)
    same_boards(before.boards, cut(move.plan(plan))[0].boards, move)


def test_boards_round_a_well_are_moved_with_it(cut: Any, plan_of: Any) -> None:
    """A loop with a round corner and a yard on it, turned and mirrored."""
    bow = tuple((3000 + 600 * math.cos(a), 600 + 600 * math.sin(a)) for a in np.linspace(-math.pi / 2, 0, 12))
    ring = ((0, 0), *bow, (3600, 2600), (2000, 2600), (2000, 3000), (900, 3000), (900, 2600), (0, 2600))
    well = ((600, 600), (600, 2050), (3000, 2050), (3000, 600))
    size = {"length_mm": 60.0, "width_mm": 40.0, "depth_mm": 50.0, "clearance_mm": 15.0}
    device = Device(id="M1", kind="motor", x_mm=1410, y_mm=250, **size)
    plan = plan_of(ring, (well,), devices=(device,))
    move = Move(33.0, True, 431.7, -1204.3)
    before, _ = cut(plan)
    same_boards(before.boards, cut(move.plan(plan))[0].boards, move)


@pytest.mark.parametrize("degrees", [0.0, 178.29289512873405])
def test_a_well_between_a_bay_and_a_drawn_joint_stays_a_well(cut: Any, degrees: float) -> None:
    """Once a board's edge ran round a well that another board holds: a slit passed its corner twice."""
    area = shapely.union(shapely.box(0, 0, 1050, 1950), shapely.box(1050, 300, 1650, 1650))
    area = shapely.difference(area, shapely.box(450, 750, 600, 900))
    area = shapely.difference(area, shapely.Point(500.5, 0).buffer(150, 8))
    size = {"length_mm": 60.0, "width_mm": 40.0, "depth_mm": 50.0, "clearance_mm": 15.0}
    plan = TrackPlan(
        name="Coldharbour Loop",
        drawing_file="plan.dxf",
        scale_ratio=76.2,
        outlines=(
            Outline(
                id="A",
                ring=tuple(area.exterior.coords)[:-1],
                wells=tuple(tuple(r.coords)[:-1] for r in area.interiors),
            ),
        ),
        tracks=(Track(id="K0", points=((1650, 1365), (0, 0), (1427, 1000))),),
        turnouts=(
            Turnout(id="T0", x_mm=313, y_mm=690, ring=((313, 670), (493, 670), (493, 725), (313, 710))),
        ),
        devices=(Device(id="M0", kind="motor", x_mm=448.47, y_mm=612.69, **size),),
        drawn_joints=(DrawnJoint(id="D1", start=(343, 0), end=(343, 1950)),),
    )
    cut(Move(degrees, False, 0, 0).plan(plan), step_mm=100.0)
