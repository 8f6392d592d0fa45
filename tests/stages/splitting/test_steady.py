"""Small changes change little: names of boards when devices move, the cost when the step is halved."""

from __future__ import annotations

import math
import os
import random
from typing import Any

import msgspec
import pytest
import shapely
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.model import Device, Outline, Ring, Track, TrackPlan
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_timber.model import Splitting

DEEP = bool(os.environ.get("BOARDWRIGHT_DEEP"))
SIZE = {"length_mm": 60.0, "width_mm": 40.0, "depth_mm": 50.0, "clearance_mm": 15.0}


def shelf_with(rnd: random.Random, ring: Ring, devices: int) -> TrackPlan:
    area = shapely.Polygon(ring)
    x0, y0, x1, y1 = area.bounds
    spots: list[tuple[float, float]] = []
    while len(spots) < devices:
        p = rnd.uniform(x0, x1), rnd.uniform(y0, y1)
        if area.contains(shapely.Point(p)):
            spots.append(p)
    return TrackPlan(
        name="Withy Bank",
        drawing_file="plan.dxf",
        scale_ratio=87.0,
        outlines=(Outline(id="A", ring=ring),),
        tracks=(Track(id="K1", points=((x0, y0 + 150), (x1, y0 + 150))),),
        devices=tuple(
            Device(id=f"M{k}", kind="motor", x_mm=x, y_mm=y, **SIZE) for k, (x, y) in enumerate(spots)
        ),
    )


def shapes(rnd: random.Random) -> Ring:
    """A tapering shelf, an L, or a shelf with a wide end."""
    a, d = rnd.uniform(3000, 6500), rnd.uniform(400, 650)
    return rnd.choice(
        (
            ((0, 0), (a, 0), (a, d * 0.8), (0, d)),
            ((0, 0), (a, 0), (a, 2100), (a - d, 2100), (a - d, d), (0, d)),
            ((0, 0), (a, 0), (a, d + 500), (a - 1000, d + 500), (a - 1000, d), (0, d)),
        )
    )


def made(plan: TrackPlan, **settings: Any) -> Splitting:
    return split(plan, SplittingSettings(**settings), Notes())


def test_a_device_that_moves_a_little_renames_no_board_and_no_joint() -> None:
    """The device nearest to a joint moves 30 mm; the board that lies where one lay keeps its name."""
    moved_joints = 0
    for seed in range(24 if DEEP else 12):
        rnd = random.Random(seed)
        plan = shelf_with(rnd, shapes(rnd), 6)
        before = made(plan, step_mm=50.0)
        joints = shapely.MultiLineString([(j.start, j.end) for j in before.joints])
        k = min(
            range(6), key=lambda n: joints.distance(shapely.Point(plan.devices[n].x_mm, plan.devices[n].y_mm))
        )
        way = rnd.uniform(0, 2 * math.pi)
        moved = replace(
            plan.devices[k],
            x_mm=plan.devices[k].x_mm + 30 * math.cos(way),
            y_mm=plan.devices[k].y_mm + 30 * math.sin(way),
        )
        after = made(replace(plan, devices=(*plan.devices[:k], moved, *plan.devices[k + 1 :])), step_mm=50.0)
        moved_joints += [j.start for j in before.joints] != [j.start for j in after.joints]
        assert [b.id for b in before.boards] == [b.id for b in after.boards], seed
        names = {j.boards: j.id for j in before.joints}
        assert all(names.get(j.boards, j.id) == j.id for j in after.joints), seed
        for old, new in zip(before.boards, after.boards, strict=True):
            one, other = shapely.Polygon(old.ring), shapely.Polygon(new.ring)
            assert shapely.intersection(one, other).area > 0.5 * one.area, (seed, old.id)
    assert moved_joints  # not only devices that stand in nobody's way


def cost(plan: TrackPlan, step: float, **settings: Any) -> float:
    return sum(c.cost for c in made(plan, step_mm=step, **settings).costs)


def test_half_the_step_changes_the_cost_of_random_layouts_by_less_than_a_hundredth() -> None:
    """Whole layouts, devices in the way, at the step that is used unless another is set."""
    step = SplittingSettings().step_mm
    worst = 0.0
    for seed in range(40 if DEEP else 5):
        rnd = random.Random(100 + seed)
        plan = shelf_with(rnd, shapes(rnd), 8)
        whole, half = cost(plan, step), cost(plan, step / 2)
        worst = max(worst, abs(whole - half) / whole)
        assert abs(whole - half) < 0.01 * whole, (seed, whole, half)
    assert worst > 0  # the step does matter


def test_half_the_step_changes_the_cost_of_a_ring_by_less_than_a_hundredth() -> None:
    rnd = random.Random(3)
    plan = shelf_with(rnd, ((0, 0), (3700, 0), (3700, 2900), (0, 2900)), 30)
    well = ((550, 600), (550, 2350), (3100, 2350), (3100, 600))
    plan = replace(plan, outlines=(replace(plan.outlines[0], wells=(well,)),))
    whole, half = cost(plan, 25.0), cost(plan, 12.5)
    assert abs(whole - half) < 0.01 * whole


@pytest.mark.parametrize("case", ["branch-terminus", "shed-three-walls", "real-terminus"])
def test_half_the_step_changes_the_cost_of_a_fixture_by_less_than_a_hundredth(read: Any, case: str) -> None:
    plan, table = read(case)
    wanted = msgspec.convert(table, SplittingSettings)
    costs = [
        sum(c.cost for c in split(plan, replace(wanted, step_mm=step), Notes()).costs)
        for step in (wanted.step_mm, wanted.step_mm / 2)
    ]
    assert abs(costs[0] - costs[1]) < 0.01 * costs[0]
