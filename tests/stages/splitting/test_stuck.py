"""Of a stretch that nothing can part it is told what takes out which lines of it, in order and all of it."""

from __future__ import annotations

import math
import os
import random
from typing import Any

import numpy as np
import pytest
import shapely
from msgspec.structs import replace

from boardwright import Finding
from boardwright.findings import Detail
from boardwright.plan.model import Device, DrawnJoint, Obstacle, Point, TrackPlan, Turnout

SHELF = ((0.0, 0.0), (1500.0, 0.0), (1500.0, 500.0), (0.0, 500.0))


def turned(points: Any, degrees: float) -> tuple[Point, ...]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((x * c - y * s, x * s + y * c) for x, y in points)


def box(x: float, y: float, length: float, width: float) -> tuple[Point, ...]:
    u, v = length / 2, width / 2
    return ((x - u, y - v), (x + u, y - v), (x + u, y + v), (x - u, y + v))


def takers(fault: Finding) -> list[Detail]:
    """What takes lines of the stretch; the least that must move is data too (``test_giving_way``)."""
    return [d for d in fault.data if " takes the lines " in d.says]


def told(findings: list[Finding]) -> list[Finding]:
    return [f for f in findings if f.code == "BW-SPLIT-001"]


@pytest.mark.parametrize("degrees", [0.0, 33.0, 90.0])
def test_each_turnout_is_told_with_what_it_takes(plan_of: Any, cut: Any, degrees: float) -> None:
    """Turnouts reach from 20 to 480, 520 to 980 and 1020 to 1480 along a shelf of 1500 mm, and 60 mm are kept
    clear: they take 0 to 540, 460 to 1040 and 960 to 1500. A motor 100 mm from the end takes only lines that
    would leave a board narrower than 250 mm: moving it frees nothing."""
    turnouts = tuple(
        Turnout(id=f"T{n}", x_mm=0, y_mm=0, ring=turned(box(x, 250, 460, 200), degrees))
        for n, x in ((1, 250), (2, 750), (3, 1250))
    )
    ((x, y),) = turned(((100.0, 60.0),), degrees)
    motor = Device(
        id="M9",
        kind="motor",
        x_mm=x,
        y_mm=y,
        length_mm=40,
        width_mm=40,
        depth_mm=40,
        clearance_mm=10,
        angle_deg=degrees,
    )
    _, findings = cut(plan_of(turned(SHELF, degrees), turnouts=turnouts, devices=(motor,)))
    (fault,) = told(findings)
    assert fault.says.endswith(
        "The lines across B01, counted from its left end, are taken by turnout T1 0 to 540 mm, "
        "turnout T2 460 to 1040 mm and turnout T3 960 to 1500 mm"
    )
    assert [(d.from_mm, d.to_mm) for d in takers(fault)] == [(0, 540), (460, 1040), (960, 1500)]


def test_a_handful_is_told_the_rest_counted_and_all_of_it_is_data(plan_of: Any, cut: Any) -> None:
    """Seven turnouts 180 mm long, 200 mm from middle to middle, take 300 mm each; the first from 0 to 300."""
    turnouts = tuple(
        Turnout(id=f"T{n}", x_mm=0, y_mm=0, ring=box(150 + 200 * n, 250, 180, 200)) for n in range(7)
    )
    (fault,) = told(cut(plan_of(SHELF, turnouts=turnouts))[1])
    assert fault.says.endswith("turnout T2 400 to 700 mm, turnout T3 600 to 900 mm and 3 more")
    assert [d.from_mm for d in takers(fault)] == [200 * n for n in range(7)]


def test_where_it_is_too_wide_the_lines_along_it_are_told(plan_of: Any, cut: Any) -> None:
    """1100 × 1400 mm, 750 mm wide at most. The tank reaches up to 700, the sink from 690: 10 mm are kept."""
    ring = ((0.0, 0.0), (1100.0, 0.0), (1100.0, 1400.0), (0.0, 1400.0))
    things = (
        Obstacle(id="tank", ring=box(550, 350, 1100, 700)),
        Obstacle(id="sink", ring=box(550, 1045, 1100, 710)),
    )
    (fault,) = told(cut(plan_of(ring, obstacles=things))[1])
    assert {(d.says.split()[1], d.from_mm, d.to_mm) for d in takers(fault)} >= {
        ("tank", 0, 710),
        ("sink", 680, 1400),
    }


def crowded(rnd: random.Random, plan_of: Any) -> TrackPlan:
    """A shelf, an L or a table full of turnouts, obstacles and devices."""
    a, d = rnd.uniform(1500, 3000), rnd.uniform(350, 900)
    ring = rnd.choice((
        ((0, 0), (a, 0), (a, d), (0, d)),
        ((0, 0), (a, 0), (a, 1600), (a - d, 1600), (a - d, d), (0, d)),
    ))  # fmt: skip
    area = shapely.Polygon(ring)
    spots = [
        p
        for p in ((rnd.uniform(0, a), rnd.uniform(0, 1600)) for _ in range(60))
        if area.covers(shapely.Point(p))
    ]
    third = len(spots) // 3
    angle = rnd.uniform(0, 40)
    return plan_of(
        turned(ring, angle),
        turnouts=tuple(
            Turnout(id=f"T{k}", x_mm=x, y_mm=y, ring=turned(box(x, y, 240, 60), angle))
            for k, (x, y) in enumerate(spots[:third])
        ),
        obstacles=tuple(
            Obstacle(id=f"O{k}", ring=turned(box(x, y, 90, 200), angle))
            for k, (x, y) in enumerate(spots[third : 2 * third])
        ),
        devices=tuple(
            Device(id=f"M{k}", kind="motor", x_mm=x, y_mm=y, length_mm=80, width_mm=50, depth_mm=50,
                   clearance_mm=15, angle_deg=rnd.uniform(0, 90))
            for k, (x, y) in enumerate(turned(spots[2 * third :], angle))
        ),
    )  # fmt: skip


def test_without_all_that_is_named_every_stretch_parts(plan_of: Any, cut: Any) -> None:
    """And what is named does take what is said: a line square to the board there comes nearer than wanted."""
    stuck = 0
    for seed in range(60) if os.environ.get("BOARDWRIGHT_DEEP") else (1, 3, 5):
        plan = crowded(random.Random(seed), plan_of)
        made, findings = cut(plan)
        faults = told(findings)
        named = {tuple(d.says.split()[:2]) for f in faults for d in takers(f)}
        assert all(takers(f) for f in faults)
        stuck += len(faults)
        rings = {("turnout", t.id): (t.ring, 60.0) for t in plan.turnouts}
        rings |= {("obstacle", o.id): (o.ring, 10.0) for o in plan.obstacles}
        rings |= {("device", v.id): (v.keepout(), 10.0) for v in plan.devices}
        for fault in faults:
            board = next(b for b in made.boards if b.id == fault.where[0].board)
            for d in takers(fault):
                ring, clear = rings[tuple(d.says.split()[:2])]  # type: ignore[index]
                local = np.array([board.to_local(p) for p in ring])[:, int("across" not in d.says)]
                whole = board.length_mm if "across" in d.says else board.width_mm
                low, high = max(0.0, local.min() - clear), min(whole, local.max() + clear)
                assert (d.from_mm, d.to_mm) == pytest.approx((low, high), abs=0.06)
        left = replace(
            plan,
            turnouts=tuple(t for t in plan.turnouts if ("turnout", t.id) not in named),
            obstacles=tuple(o for o in plan.obstacles if ("obstacle", o.id) not in named),
            devices=tuple(v for v in plan.devices if ("device", v.id) not in named),
        )
        assert not told(cut(left)[1]), seed
    assert stuck >= 3


def test_a_stretch_that_nothing_stands_on_is_told_without_names(plan_of: Any, cut: Any) -> None:
    """A drawn joint leaves a strip 1 mm wide and 1350 long: no line would leave boards as wide as wanted."""
    ring = (
        (300.0, 300.0),
        (2250.0, 300.0),
        (2250.0, 750.0),
        (1350.0, 750.0),
        (1350.0, 1650.0),
        (300.0, 1650.0),
    )
    strip = DrawnJoint(id="D1", start=(301.0, 300.0), end=(301.0, 1650.0))
    faults = told(cut(plan_of(ring, drawn_joints=(strip,)))[1])
    for fault in faults:
        assert "the best line" not in fault.says
        assert fault.mend.startswith("Draw a joint where you would cut, or ")
        assert fault.data == ()
    assert faults
