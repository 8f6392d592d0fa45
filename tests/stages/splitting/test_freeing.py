"""Where nothing can part a stretch, the least longer board that frees it is told."""

from __future__ import annotations

import random
import re
from typing import Any

from msgspec.structs import replace

from boardwright.plan.model import Device

SHELF = ((0.0, 0.0), (2300.0, 0.0), (2300.0, 500.0), (0.0, 500.0))


def long_device(name: str, left: float, right: float) -> Device:
    """A device whose keep-out reaches from left to right."""
    size = {"length_mm": right - left - 20, "width_mm": 40.0, "depth_mm": 40.0, "clearance_mm": 10.0}
    return Device(id=name, kind="point_motor", x_mm=(left + right) / 2, y_mm=250.0, **size)


def test_the_length_told_frees_the_stretch_and_ten_less_does_not(plan_of: Any, cut: Any) -> None:
    """Keep-outs reach from 0 to 1010 and from 1040 to 2300; 10 mm more are wanted: a joint may come between
    1020 and 1030 only, and leaves 2300 - 1030 = 1270 mm."""
    plan = plan_of(SHELF, devices=(long_device("PM3", 0, 1010), long_device("PM4", 1040, 2300)))
    _, findings = cut(plan)
    (fault,) = [f for f in findings if f.code == "BW-SPLIT-001"]
    assert "max_length_mm = 1270" in fault.mend
    assert "device PM4 by" in fault.mend
    assert "BW-SPLIT-001" not in {f.code for f in cut(plan, max_length_mm=1270.0)[1]}
    assert "BW-SPLIT-001" in {f.code for f in cut(plan, max_length_mm=1260.0)[1]}


def test_moving_what_is_named_by_the_mm_told_frees_the_stretch(plan_of: Any, cut: Any) -> None:
    """The advice of a fault is taken word by word: that device, that far, one way or the other."""
    freed = 0
    for seed in range(4):
        rnd = random.Random(seed)
        gap = rnd.uniform(5, 18)  # 20 mm and more would let a joint through
        middle = rnd.uniform(1110, 1190)
        pair = (long_device("PM3", 30, middle - gap / 2), long_device("PM4", middle + gap / 2, 2270))
        _, findings = cut(plan_of(SHELF, devices=pair))
        (fault,) = [f for f in findings if f.code == "BW-SPLIT-001"]
        told = {m: float(by) for m, by in re.findall(r"device (\w+) by (\d+) mm", fault.mend)}
        assert told, fault.mend
        name, by = min(told.items(), key=lambda t: (t[1], t[0]))
        assert by <= 20
        tries = []
        for way in (-by, by):
            moved = tuple(replace(d, x_mm=d.x_mm + (way if d.id == name else 0)) for d in pair)
            tries.append("BW-SPLIT-001" not in {f.code for f in cut(plan_of(SHELF, devices=moved))[1]})
        assert any(tries), (seed, fault.mend)
        freed += 1
    assert freed == 4
