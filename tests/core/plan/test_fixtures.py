"""The committed fixtures are what the script draws, can be read, and leave room for joints and joists."""

from __future__ import annotations

import itertools
import math
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import msgspec
import pytest

from boardwright.findings import Notes, Severity
from boardwright.plan.model import TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.rings import area
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile

FIXTURES = Path(__file__).parents[3] / "fixtures"
CASES = ("branch-terminus", "exhibition-module", "shed-three-walls")


@pytest.fixture(scope="module")
def script() -> Iterator[ModuleType]:
    sys.path.insert(0, str(FIXTURES))
    try:
        import draw_fixtures

        yield draw_fixtures
    finally:
        sys.path.remove(str(FIXTURES))


def plan_of(case: str) -> tuple[TrackPlan, Notes]:
    folder = FIXTURES / case
    tables = tomllib.loads((folder / "layout.toml").read_text())
    notes = Notes()
    plan = read_plan(
        SourceFile("plan.dxf", (folder / "plan.dxf").read_bytes()),
        SourceFile("devices.csv", (folder / "devices.csv").read_bytes()),
        msgspec.convert(tables["drawing"], DrawingSettings),
        msgspec.convert(tables["devices"], DeviceSettings),
        tables["layout"]["name"],
        notes,
    )
    return plan, notes


@pytest.mark.parametrize("case", CASES)
def test_the_script_draws_the_committed_bytes(script: Any, case: str) -> None:
    assert set(script.CASES) == set(CASES)
    for name, data in script.files(case).items():
        assert (FIXTURES / case / name).read_bytes() == data


@pytest.mark.parametrize("case", CASES)
def test_fixtures_are_read_without_a_fault_or_caution(case: str) -> None:
    plan, notes = plan_of(case)
    assert [f for f in notes.findings if f.severity in (Severity.FAULT, Severity.CAUTION)] == []
    assert len(plan.outlines) == 1
    assert {d.kind for d in plan.devices} >= {"point_motor", "feed", "electronics", "signal_base"}
    motors = [d for d in plan.devices if d.kind == "point_motor"]
    assert len(motors) == len(plan.turnouts)
    assert plan.scale_ratio == 76.2


@pytest.mark.parametrize("case", CASES)
def test_a_plan_is_plain_numbers_only(case: str) -> None:
    plan, _ = plan_of(case)
    assert msgspec.json.decode(msgspec.json.encode(plan), type=TrackPlan) == plan


def test_what_the_fixtures_hold() -> None:
    terminus, module, shed = (plan_of(case)[0] for case in CASES)
    assert len(terminus.turnouts) == 10
    assert len(terminus.outlines[0].ring) > 100
    assert next(d for d in terminus.devices if d.id == "PM10").depth_mm == 75
    assert next(d for d in module.devices if d.id == "PM01").clearance_mm == 20
    # 1200 × 500 = 600 000 mm²
    assert area(module.outlines[0].ring) == 600_000
    # 3000 × 2400 less the well 2000 × 1450 with four 60 mm corners (4 × 60²/2 = 7200) cut off:
    # 7 200 000 − (2 900 000 − 7 200) = 4 307 200 mm²
    (outline,) = shed.outlines
    assert area(outline.ring) + sum(map(area, outline.wells)) == 4_307_200
    assert (len(shed.drawn_joints), len(shed.obstacles), len(shed.lift_outs)) == (2, 2, 1)
    assert next(d for d in shed.devices if d.id == "X01").kind == "plug"


def test_the_terminus_surface_by_an_independent_reading() -> None:
    """The area is summed from the drawing's text alone, with our own arc and Bézier formulas."""
    pieces = [_sampled(e) for e in _edge_entities((FIXTURES / "branch-terminus" / "plan.dxf").read_text())]
    chain = pieces.pop(0)
    while pieces:
        near = min(
            ((math.dist(chain[-1], p[end]), i, end) for i, p in enumerate(pieces) for end in (0, -1)),
        )
        assert near[0] < 0.011
        piece = pieces.pop(near[1])
        chain += piece if near[2] == 0 else piece[::-1]
    plan, _ = plan_of("branch-terminus")
    # Curved edges are about 2094 + 220 + 230 + 1110 + 314 = 3970 mm long; flattened to 0.05 mm they may
    # lose or gain 3970 × 0.05 = 200 mm² at most.
    assert area(plan.outlines[0].ring) == pytest.approx(abs(area(chain)), abs=200)


def _edge_entities(text: str) -> list[list[tuple[int, str]]]:
    """(group code, value) lists of all model space entities on the edge layer."""
    lines = [line.strip() for line in text.splitlines()]
    tags = [(int(lines[i]), lines[i + 1]) for i in range(0, len(lines) - 1, 2)]
    start = tags.index((2, "ENTITIES"))
    found: list[list[tuple[int, str]]] = []
    for code, value in tags[start + 1 :]:
        if (code, value) == (0, "ENDSEC"):
            break
        if code == 0:
            found.append([])
        found[-1].append((code, value))
    return [e for e in found if (8, "Board edge") in e]


def _sampled(entity: list[tuple[int, str]]) -> list[tuple[float, float]]:
    def all_of(code: int) -> list[float]:
        return [float(v) for c, v in entity if c == code]

    kind = entity[0][1]
    xs, ys = all_of(10), all_of(20)
    if kind == "LINE":
        return [(xs[0], ys[0]), (all_of(11)[0], all_of(21)[0])]
    if kind == "ARC":
        r, a, b = all_of(40)[0], all_of(50)[0], all_of(51)[0]
        b += 360 if b <= a else 0
        turns = (math.radians(a + (b - a) * i / 3000) for i in range(3001))
        return [(xs[0] + r * math.cos(t), ys[0] + r * math.sin(t)) for t in turns]
    assert kind == "SPLINE"
    assert len(xs) == 4  # four control points of a clamped cubic: a Bézier curve
    curve = []
    for i in range(3001):
        t = i / 3000
        w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        x, y = (sum(k * v for k, v in zip(w, vs, strict=True)) for vs in (xs, ys))
        curve.append((x, y))
    return curve


STRETCHES = [
    ("branch-terminus", 0, 740.0, 3600.0, 1),
    ("branch-terminus", 1, 1000.0, 2400.0, 0),
    ("exhibition-module", 0, 0.0, 1200.0, 1),
    ("shed-three-walls", 0, 500.0, 2500.0, 1),
]
"""Case, axis along the boards (0: x, 1: y), from, to, which half (1: the upper, 0: the left)."""


@pytest.mark.parametrize(("case", "axis", "low", "high", "half"), STRETCHES)
def test_there_is_room_for_joists_between_clusters(
    case: str, axis: int, low: float, high: float, half: int
) -> None:
    """At least every 400 mm along the boards there are 40 mm that no device's clearance reaches into."""
    plan, _ = plan_of(case)
    taken = []
    for d in plan.devices:
        here = (d.x_mm < 700) if (axis, half) == (1, 0) else (case == "exhibition-module" or d.y_mm > 1800)
        if here:
            along = [p[axis] for p in d.keepout()]
            taken.append((min(along), max(along)))
    free, last = [], low
    for a, b in sorted(taken):
        if a - last >= 40:
            free.append((last, a))
        last = max(last, b)
    free.append((last, high))
    for (_, end), (start, _) in itertools.pairwise(free):
        assert start - end <= 400 - 40


def test_a_gap_for_a_joint_in_every_stretch_of_the_terminus() -> None:
    """Along the long arm, no 1300 mm are without 150 mm free of turnouts and devices."""
    plan, _ = plan_of("branch-terminus")
    taken = [[x for x, y in t.ring if y > 1800] for t in plan.turnouts]
    taken += [[p[0] for p in d.keepout()] for d in plan.devices if d.y_mm > 1800 and d.kind != "feed"]
    gaps, last = [], 740.0
    for a, b in sorted((min(xs), max(xs)) for xs in taken if xs):
        if a - last >= 150:
            gaps.append((last, a))
        last = max(last, b)
    gaps.append((last, 3600.0))
    for (_, end), (start, _) in itertools.pairwise(gaps):
        assert start - end <= 1300 - 150
