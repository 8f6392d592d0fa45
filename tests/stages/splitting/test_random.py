"""Whatever the outline: boards tile it; limits and free distances hold, or a finding says so."""

from __future__ import annotations

import math
import os
from typing import Any

import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright.plan.model import Device, DrawnJoint, Track, TrackPlan, Turnout
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_stages.splitting.whole import split_plan

FIXED = {"deadline": None, "derandomize": True, "suppress_health_check": list(HealthCheck)}
cell = st.integers(0, 5).map(lambda k: 300.0 * k)
span = st.integers(1, 5).map(lambda k: 300.0 * k + 150.0)


def _plan_from(area: Any, plan_of: Any, **more: Any) -> TrackPlan:
    made: TrackPlan = plan_of(
        tuple(area.exterior.coords)[:-1], tuple(tuple(r.coords)[:-1] for r in area.interiors), **more
    )
    return made


@st.composite
def blocks(draw: st.DrawFn) -> Any:
    """A union of rectangles (with the wells that leaves), all in one piece."""
    parts = []
    for _ in range(draw(st.integers(1, 5))):
        x, y, w, h = draw(cell), draw(cell), draw(span), draw(span)
        parts.append(shapely.box(x, y, x + w, y + h))
    area = shapely.simplify(shapely.union_all(parts), 0)
    assume(area.geom_type == "Polygon")
    return area


@st.composite
def curved(draw: st.DrawFn) -> Any:
    """A shelf with a wavy front, a return loop at its end, or a bend, turned by some angle."""
    length, depth = draw(st.floats(900, 4000)), draw(st.floats(300, 900))
    wave, turns = draw(st.floats(0, 0.4)), draw(st.floats(0.5, 4))
    back = [(0.0, 0.0), (length, 0.0)]
    front = [
        (length * (1 - i / 80), depth * (1 + wave * math.sin(turns * math.pi * i / 80))) for i in range(81)
    ]
    area = shapely.Polygon(back + front)
    if draw(st.booleans()):
        area = area.union(shapely.Point(length, depth / 2).buffer(draw(st.floats(300, 700)), 24))
    if draw(st.booleans()):
        area = area.difference(shapely.Point(length / 2, depth / 2).buffer(depth / 4, 12))
    assume(area.geom_type == "Polygon" and area.is_valid)
    c, s = (lambda a: (math.cos(a), math.sin(a)))(draw(st.floats(0, 3.1)))
    return shapely.transform(area, lambda p: p @ [[c, s], [-s, c]])


@st.composite
def things(draw: st.DrawFn, area: Any) -> dict[str, Any]:
    """Devices, turnouts and tracks strewn over the extent of an area."""
    x0, y0, x1, y1 = area.bounds
    at = st.tuples(st.floats(x0, x1), st.floats(y0, y1))
    devices = tuple(
        Device(
            id=f"M{k}",
            kind="motor",
            x_mm=x,
            y_mm=y,
            length_mm=60,
            width_mm=40,
            depth_mm=50,
            clearance_mm=15,
            angle_deg=draw(st.floats(0, 90)),
        )
        for k, (x, y) in enumerate(draw(st.lists(at, max_size=6)))
    )
    turnouts = tuple(
        Turnout(
            id=f"T{k}",
            x_mm=x,
            y_mm=y,
            ring=((x, y - 20), (x + 180, y - 20), (x + 180, y + 35), (x, y + 20)),
        )
        for k, (x, y) in enumerate(draw(st.lists(at, max_size=5)))
    )
    tracks = tuple(
        Track(id=f"K{k}", points=tuple(points))
        for k, points in enumerate(draw(st.lists(st.lists(at, min_size=2, max_size=5), max_size=3)))
    )
    return {"devices": devices, "turnouts": turnouts, "tracks": tracks}


@settings(max_examples=9, **FIXED)
@given(area=blocks(), data=st.data())
def test_blocks(plan_of: Any, cut: Any, area: Any, data: Any) -> None:
    cut(_plan_from(area, plan_of, **data.draw(things(area))))


@settings(max_examples=9, **FIXED)
@given(area=curved(), data=st.data())
def test_curved_outlines(plan_of: Any, cut: Any, area: Any, data: Any) -> None:
    cut(_plan_from(area, plan_of, **data.draw(things(area))), step_mm=50.0)


@settings(max_examples=8, **FIXED)
@given(area=blocks(), data=st.data())
def test_drawn_joints_anywhere(plan_of: Any, cut: Any, area: Any, data: Any) -> None:
    x0, y0, x1, y1 = area.bounds
    at = st.tuples(st.floats(x0 - 100, x1 + 100).map(round), st.floats(y0 - 100, y1 + 100).map(round))
    ends = data.draw(st.lists(st.tuples(at, at), min_size=1, max_size=4))
    joints = tuple(DrawnJoint(id=f"D{k}", start=p, end=q) for k, (p, q) in enumerate(ends) if p != q)
    cut(_plan_from(area, plan_of, drawn_joints=joints), step_mm=100.0)


@settings(max_examples=3, **FIXED)
@given(area=blocks(), data=st.data())
def test_the_same_plan_gives_the_same_boards(plan_of: Any, area: Any, data: Any) -> None:
    plan = _plan_from(area, plan_of, **data.draw(things(area)))
    one, other = Notes(), Notes()
    assert split(plan, SplittingSettings(), one) == split(plan, SplittingSettings(), other)
    assert one.findings == other.findings


@settings(max_examples=300 if os.environ.get("BOARDWRIGHT_DEEP") else 3, **FIXED)
@given(area=st.one_of(blocks(), curved()), which=st.integers(0, 9))
def test_whatever_the_layout_a_board_between_held_joints_is_as_it_was(
    plan_of: Any, held_of: Any, area: Any, which: int
) -> None:
    """Cut along one board's joints only, each layout has that board again, and the rest tiles the rest."""
    plan, wanted = _plan_from(area, plan_of), SplittingSettings(max_width_mm=700, step_mm=100)
    free = split(plan, wanted, Notes())
    assume(len(free.boards) > 1)
    board = free.boards[which % len(free.boards)]
    held = held_of(free, board.id)
    notes = Notes()
    after = split_plan(plan, wanted, notes, held=held)
    assert "BW-SPLIT-022" not in {f.code for f in notes.findings}
    was = shapely.Polygon(board.ring)
    same = max((shapely.Polygon(b.ring) for b in after.boards), key=lambda b: b.intersection(was).area)
    assert was.symmetric_difference(same).area < 1.0
    whole = sum(shapely.Polygon(b.ring, b.wells).area for b in after.boards)
    assert math.isclose(whole, sum(shapely.Polygon(b.ring, b.wells).area for b in free.boards), abs_tol=1.0)
    smaller = SplittingSettings(max_length_mm=800, max_width_mm=700, step_mm=100)
    sawn = split(plan, smaller, Notes(), held=held_of(free, board.id, with_edge=True))
    assert min(was.symmetric_difference(shapely.Polygon(b.ring)).area for b in sawn.boards) < 1.0
    assert sum(j.length_mm for j in after.joints if j.held) > 0.999 * sum(
        math.dist(h.start, h.end) for h in held.joints
    )
