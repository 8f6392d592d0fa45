"""Where nothing can part a stretch, the least longer board that frees it is told."""

from __future__ import annotations

import os
import random
import re
from typing import Any

from msgspec.structs import replace

from boardwright.plan.model import Device, Obstacle
from boardwright_stages.splitting.freeing import _least, _least_near

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
    seeds = range(40 if os.environ.get("BOARDWRIGHT_DEEP") else 5)
    for seed in seeds:
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
    assert freed == len(seeds)


def slab(name: str, left: float, right: float, low: float, high: float) -> Obstacle:
    return Obstacle(id=name, ring=((left, low), (right, low), (right, high), (left, high)))


WIDE = ((0.0, 0.0), (1100.0, 0.0), (1100.0, 1400.0), (0.0, 1400.0))


def test_the_width_told_frees_a_wide_place_and_ten_less_does_not(plan_of: Any, cut: Any) -> None:
    """1100 × 1400 mm, at most 1200 × 750: obstacles fill it but for a lane from 560 to 590; 10 mm are wanted
    to either: a joint may come between 570 and 580 only, and leaves 1400 - 580 = 820 mm."""
    plan = plan_of(WIDE, obstacles=(slab("tank", 0, 1100, 0, 560), slab("sink", 0, 1100, 590, 1400)))
    _, findings = cut(plan)
    (fault,) = [f for f in findings if f.code == "BW-SPLIT-001"]
    assert "wider boards: [splitting] max_width_mm = 820" in fault.mend
    assert "obstacle" in fault.mend
    assert "BW-SPLIT-001" not in {f.code for f in cut(plan, max_width_mm=820.0)[1]}
    assert "BW-SPLIT-001" in {f.code for f in cut(plan, max_width_mm=810.0)[1]}


def test_the_mass_told_frees_a_heavy_piece_and_half_a_kilogram_less_does_not(plan_of: Any, cut: Any) -> None:
    """1000 × 700 mm is 0.7 m² × 11.3 + 3.4 m × 0.75 = 10.5 kg. A lane from 480 to 505 leaves at least
    1000 - 495 = 505 mm: 0.3535 m² × 11.3 + 2.41 m × 0.75 = 5.8 kg, so 6 kg will do."""
    ring = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 700.0), (0.0, 700.0))
    plan = plan_of(ring, obstacles=(slab("tank", 0, 480, 0, 700), slab("sink", 505, 1000, 0, 700)))
    _, findings = cut(plan, max_mass_kg=5.5)
    faults = [f for f in findings if f.code == "BW-SPLIT-001"]
    assert faults  # both sides of the lane, each too heavy
    assert all("allow heavier boards: [splitting] max_mass_kg = 6." in f.mend for f in faults)
    assert "BW-SPLIT-001" not in {f.code for f in cut(plan, max_mass_kg=6.0)[1]}
    assert "BW-SPLIT-001" in {f.code for f in cut(plan, max_mass_kg=5.5)[1]}


def test_a_guess_saves_tries_and_changes_nothing() -> None:
    """Whatever is guessed, what is told was tried, as was one step less; a right guess needs no other try."""
    for needed in range(1, 40):
        for guess in (None, *range(1, 31)):
            tried = []

            def parts(steps: int, needed: int = needed, tried: list[int] = tried) -> bool:
                tried.append(steps)
                return steps >= needed

            found = _least_near(guess, 0, 30, parts)
            assert found == (needed if needed <= 30 else None) == _least(0, 30, lambda n, m=needed: n >= m)
            assert found is None or {found, found - 1} - {0} <= set(tried)
            assert guess != needed or len(tried) <= 2
