"""What must move for a stretch nothing parts: the least of all ways, and it does free the stretch."""

from __future__ import annotations

import itertools
import math
import os
import random
import re
from typing import Any

import pytest
from msgspec.structs import replace

from boardwright.plan.model import Device, Turnout

LENGTH = 2300.0
SHELF = ((0.0, 0.0), (LENGTH, 0.0), (LENGTH, 500.0), (0.0, 500.0))
EACH_MM = 20.0  # as ``giving_way`` counts: one thing less to move is worth so much more way


def device(name: str, left: float, right: float) -> Device:
    """A device whose keep-out reaches from left to right; a joint keeps 10 mm from it."""
    size = {"length_mm": right - left - 20, "width_mm": 40.0, "depth_mm": 40.0, "clearance_mm": 10.0}
    return Device(id=name, kind="motor", x_mm=(left + right) / 2, y_mm=250.0, **size)


def side_by_side(rnd: random.Random) -> list[Device]:
    """Devices along the shelf, never 20 mm apart: no joint comes between."""
    at, found = 200.0, []
    while at < LENGTH - 250:
        long = rnd.uniform(60, 400)
        found.append(device(f"M{len(found)}", at, min(at + long, LENGTH - 100)))
        at += long + rnd.uniform(1, 18)
    return found


def least_by_hand(devices: list[Device]) -> float:
    """Every place of one joint and of two, 2 mm apart: how far all in the way must move, EACH_MM each."""
    spans = [(d.x_mm - d.length_mm / 2 - 20, d.x_mm + d.length_mm / 2 + 20) for d in devices]

    def burden(x: float) -> float:
        total = 0.0
        for low, high in (span for span in spans if span[0] < x < span[1]):
            right, left = x - low, high - x
            ways = [right] * (high + right <= LENGTH + 10) + [left] * (low - left >= -10)
            total += min(ways, default=math.inf) + EACH_MM
        return total

    places = {x: burden(x) for x in (250.0 + 2 * k for k in range(900))}
    one = min(b for x, b in places.items() if 1100 <= x <= 1200)
    two = min(
        (a + b for (x, a), (y, b) in itertools.combinations(places.items(), 2)
         if x <= 1200 and 250 <= y - x <= 1200 and y >= 1100),
        default=math.inf,
    )  # fmt: skip
    return min(one, two)


def told(mend: str) -> list[tuple[str, float, float]]:
    found = re.findall(r"device (\w+) by (\d+) mm to the (left|right)", mend.partition(", draw")[0])
    return [(name, float(by), -1.0 if way == "left" else 1.0) for name, by, way in found]


def test_the_least_of_all_ways_is_told_and_frees_the_stretch(plan_of: Any, cut: Any) -> None:
    freed = 0
    for seed in range(40) if os.environ.get("BOARDWRIGHT_DEEP") else range(3):
        devices = side_by_side(random.Random(seed))
        (fault,) = [f for f in cut(plan_of(SHELF, devices=tuple(devices)))[1] if f.code == "BW-SPLIT-001"]
        assert fault.mend.startswith("Move "), fault.mend
        moves = told(fault.mend)
        assert sum(by + EACH_MM for _, by, _ in moves) == pytest.approx(
            least_by_hand(devices), abs=4.0 * len(moves)
        )
        by_name = {name: by * way for name, by, way in moves}
        moved = tuple(replace(d, x_mm=d.x_mm + by_name.get(d.id, 0.0)) for d in devices)
        assert "BW-SPLIT-001" not in {f.code for f in cut(plan_of(SHELF, devices=moved))[1]}, seed
        freed += 1
    assert freed


def test_a_joint_made_for_want_of_a_better_place_gives_way(plan_of: Any, cut: Any) -> None:
    """A joint may come between 1020 and 1040 and leaves 1260 mm or more. The turnout could clear the device
    behind it by 52 mm to the left, but would then stand too near to that joint. What frees the stretch is to
    have one joint at 1100: the turnout that begins there moves 60 + 1 mm to the right."""
    turnout = Turnout(id="T1", x_mm=0, y_mm=0, ring=((1100, 200), (1300, 200), (1300, 300), (1100, 300)))
    things = {"devices": (device("PM1", 200, 1010), device("PM2", 1320, 2290)), "turnouts": (turnout,)}
    (fault,) = [f for f in cut(plan_of(SHELF, **things))[1] if f.code == "BW-SPLIT-001"]
    assert "turnout T1 0 mm from the best line (1100, 500) to (1100, 0)" in fault.says
    assert fault.mend.startswith("Move turnout T1 by 61 mm to the right, draw")


def test_what_cannot_be_freed_by_moving_is_not_said_to_be(plan_of: Any, cut: Any) -> None:
    """A device 1260 mm long is on no board of 1200 mm, wherever it stands."""
    plan = plan_of(SHELF, devices=(device("PM3", 0, 1010), device("PM4", 1040, 2300)))
    (fault,) = [f for f in cut(plan)[1] if f.code == "BW-SPLIT-001"]
    assert fault.mend.startswith("Make room for joints (the best line alone needs device PM4")
