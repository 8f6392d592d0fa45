"""Every weight costs what its description says; the rules for rails hold, can be off, or are a fault."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from boardwright import Severity
from boardwright.plan.model import Device, DrawnJoint, Outline, Ring, Track, TrackPlan
from boardwright_stages.splitting import chords, worth
from boardwright_stages.splitting.keepaway import KeepAway
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.search import Search
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.tracks import Tracks

SHELF: Ring = ((0.0, 0.0), (2300.0, 0.0), (2300.0, 500.0), (0.0, 500.0))
FREE = {
    name: 0.0 for name in SplittingSettings.__struct_fields__ if name.endswith("_weight")
}  # every weight off


def plan_with(*tracks: tuple[tuple[float, float], ...], devices: tuple[Device, ...] = ()) -> TrackPlan:
    return TrackPlan(
        name="Fallow End",
        drawing_file="plan.dxf",
        scale_ratio=87.0,
        outlines=(Outline(id="A", ring=SHELF),),
        tracks=tuple(Track(id=f"K{k}", points=t) for k, t in enumerate(tracks)),
        devices=devices,
    )


def joint_cost(plan: TrackPlan, normal: tuple[float, float], offset: float, **weights: float) -> float:
    """Cost of one line across the shelf with these weights and all others off."""
    settings = SplittingSettings(**(FREE | weights), roomy_joint_mm=ROOMY_MM)
    piece = from_outline(SHELF, ())
    search = Search(settings, KeepAway(plan, settings), Tracks(plan, settings), piece.main_directions)
    scale = math.hypot(*normal)
    found = chords.find(piece, np.array([normal]) / scale, np.array([offset]) / scale)
    return float(search.judge(found)[0][0])


ROOMY_MM = 520.0
SQUARE, SLANT = (1.0, 0.0), (1.0, 1.0)
ARC = tuple((1150 + 500 * math.sin(a), 700 - 500 * math.cos(a)) for a in np.linspace(-0.5, 0.5, 41).tolist())
MOTOR = Device(
    id="M1", kind="motor", x_mm=1100, y_mm=250, length_mm=60, width_mm=40, depth_mm=50, clearance_mm=10
)


@pytest.mark.parametrize(
    ("weight", "plan", "normal", "offset", "units"),
    [
        ("joint_length_weight", plan_with(), SQUARE, 1150, 0.5),  # 500 mm of joint
        ("track_weight", plan_with(((0, 200), (2300, 200)), ((0, 260), (2300, 260))), SQUARE, 1150, 2),
        # atan(tan 15°) = 15° off square, half the limit of 30°: a quarter of the cost at the limit
        (
            "off_square_weight",
            plan_with(((0, 100), (1500, 100 + 1500 * math.tan(math.pi / 12)))),
            SQUARE,
            900,
            0.25,
        ),
        ("curve_weight", plan_with(ARC), SQUARE, 1150, 1.0),  # a radius of 500 mm
        ("beside_weight", plan_with(((1180, 100), (1180, 400))), SQUARE, 1150, 0.3),  # 300 mm, 30 mm away
        # the keep-out ends at 1140, 10 mm are wanted: at 1150 it is just outside, at 1165 half way to 30 mm
        ("near_weight", plan_with(devices=(MOTOR,)), SQUARE, 1150, 1.0),
        ("near_weight", plan_with(devices=(MOTOR,)), SQUARE, 1165, 0.5),
        ("skew_weight", plan_with(), SLANT, 1400, 1.0),  # 45°
        ("edge_weight", plan_with(), SLANT, 1400, 1.0),
        ("corner_weight", plan_with(), SQUARE, 30, 2.0),  # both ends 30 mm from a corner
        ("short_joint_weight", plan_with(), SQUARE, 1150, 1.0),  # 500 mm, less than ROOMY_MM
    ],
)
def test_a_weight_costs_what_its_description_says(
    weight: str, plan: TrackPlan, normal: tuple[float, float], offset: float, units: float
) -> None:
    assert joint_cost(plan, normal, offset) == 0
    assert joint_cost(plan, normal, offset, **{weight: 0.7}) == pytest.approx(0.7 * units, rel=0.02)


def board_cost(ring: Ring, **settings: float) -> float:
    """Worth of one board beyond the board itself, all other weights off."""
    wanted = SplittingSettings(**(FREE | settings))
    return float(worth.value(worth.whole(from_outline(ring, ()), wanted), wanted, 1.0)[0]) - 1.0


def test_weights_of_a_board_cost_what_their_descriptions_say() -> None:
    ring: Ring = ((0.0, 0.0), (600.0, 0.0), (600.0, 500.0), (0.0, 500.0))
    assert board_cost(ring) == 0
    # a third of the largest board, 1200 × 750
    assert board_cost(ring, uneven_weight=0.9) == pytest.approx(0.9 * (1 / 3) ** 2)
    # an L that fills 600 × 500 but for 300 × 250: a quarter is missing
    bent: Ring = ((0.0, 0.0), (600.0, 0.0), (600.0, 500.0), (300.0, 500.0), (300.0, 250.0), (0.0, 250.0))
    assert board_cost(bent, shape_weight=0.8) == pytest.approx(0.8 * 0.25)
    # sheets of 1220 × 610 hold two decks of 600 × 500: 600 000 of 744 200 mm²
    sheet = {"sheet_length_mm": 1220.0, "sheet_width_mm": 610.0}
    assert board_cost(ring, sheet_weight=0.5, **sheet) == pytest.approx(0.5 * (1 - 600e3 / 744.2e3), rel=1e-3)


def test_every_weight_is_met_by_a_test() -> None:
    tried = {
        mark.args[1][k][0]
        for mark in test_a_weight_costs_what_its_description_says.pytestmark  # type: ignore[attr-defined]  # pytest's own
        for k in range(len(mark.args[1]))
    }
    assert tried | {"uneven_weight", "shape_weight", "sheet_weight"} == set(FREE)


def test_whole_sheets_are_sought_where_they_count(plan_of: Any, cut: Any) -> None:
    """3600 × 600 at most 1400 long: 3 boards of 1200. A sheet 1220 × 1220 holds two decks of 1200 × 600."""
    shelf = ((0, 0), (3600, 0), (3600, 600), (0, 600))
    made, _ = cut(
        plan_of(shelf), max_length_mm=1400, sheet_length_mm=1220, sheet_width_mm=1220, sheet_weight=1
    )
    assert [b.length_mm for b in made.boards] == pytest.approx([1200, 1200, 1200])


DIP = ((0, 200), (900, 200), (1060, 8), (1240, 8), (1400, 200), (2300, 200))


def test_no_joint_ends_at_a_rail(plan_of: Any, cut: Any) -> None:
    """The track dips to 8 mm from the front edge between 1060 and 1240: rails at ± 8.2 mm (1435 / 87 / 2)."""
    plan = plan_of(SHELF, tracks=(Track(id="K1", points=DIP),))
    made, findings = cut(plan, max_length_mm=1500)
    (joint,) = made.joints
    assert not [f for f in findings if f.code == "BW-SPLIT-018"]
    assert not 1040 < joint.start[0] < 1260
    made, findings = cut(plan, max_length_mm=1500, rail_end_clear_mm=0, curve_weight=0)
    assert 1040 < made.joints[0].start[0] < 1260
    assert findings == []


def test_a_rail_at_every_joints_end_is_a_fault_that_names_the_track(plan_of: Any, cut: Any) -> None:
    """At 11 mm the nearer rail is 11 - 1435 / 76.2 / 2 = 1.6 mm from the edge all along."""
    plan = plan_of(SHELF, tracks=(Track(id="K1", points=((0, 11), (2300, 11))),))
    made, findings = cut(plan)
    assert len(made.boards) == 2
    (fault,) = findings
    assert (fault.code, fault.severity) == ("BW-SPLIT-018", Severity.FAULT)
    assert "2 mm from a rail of track K1; 5 mm are wanted" in fault.says
    assert cut(plan, gauge_mm=9.0)[1] == []  # rails 6.5 mm from the edge


def test_no_rail_runs_along_a_joint_unless_it_is_drawn_so(plan_of: Any, cut: Any) -> None:
    """Tracks 30 mm apart across the shelf leave 30 - 2 × (9.4 + 5) = 1.2 mm for a joint midway."""
    across = tuple(Track(id=f"K{k}", points=((925 + 30 * k, 0), (925 + 30 * k, 500))) for k in range(16))
    plan = plan_of(SHELF, tracks=across)
    made, findings = cut(plan, max_length_mm=1350, rail_end_clear_mm=0)
    assert {f.code for f in findings} == set()
    assert all(abs(t.points[0][0] - j.start[0]) > 14.4 for t in across for j in made.joints)
    drawn = (DrawnJoint(id="D1", start=(1130, 0), end=(1130, 500)),)
    _, findings = cut(plan_of(SHELF, tracks=across, drawn_joints=drawn))
    assert {(f.code, f.severity) for f in findings} == {
        ("BW-SPLIT-009", Severity.CAUTION),
        ("BW-SPLIT-018", Severity.CAUTION),
    }


def test_sizes_that_are_off_ask_nothing(plan_of: Any, cut: Any) -> None:
    whole, _ = cut(plan_of(SHELF), max_length_mm=0, max_width_mm=0)
    assert len(whole.boards) == 1
    wide = ((0, 0), (2300, 0), (2300, 1500), (0, 1500))
    assert len(cut(plan_of(wide), max_length_mm=0)[0].boards) == 2  # 750 wide and as long as they like
    assert len(cut(plan_of(wide), max_width_mm=0)[0].boards) == 2  # 1200 one way and as long the other
