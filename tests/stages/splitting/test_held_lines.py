"""The layout is cut along held joints first, however they meet, and wherever the edge has gone."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from boardwright import Notes
from boardwright.plan.model import Device, DrawnJoint, Outline, TrackPlan
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_stages.splitting.whole import split_plan
from boardwright_timber.model import Splitting

SIZES: dict[str, Any] = {"length_mm": 80, "width_mm": 50, "depth_mm": 45, "clearance_mm": 15}
SMALL = SplittingSettings(max_length_mm=1200, max_width_mm=700)
TEE = ((0, 0), (2400, 0), (2400, 500), (1800, 500), (1800, 1400), (600, 1400), (600, 500), (0, 500))


def board_at(splitting: Splitting, ring: Any) -> shapely.Polygon:
    """The board of a splitting that covers most of a ring."""
    wanted = shapely.Polygon(ring)
    return max((shapely.Polygon(b.ring) for b in splitting.boards), key=lambda b: b.intersection(wanted).area)


@pytest.mark.parametrize("name", ["B01", "B02", "B03", "B04"])
def test_joints_of_one_board_that_meet_in_a_corner_are_cut_together(
    plan_of: Any, held_of: Any, name: str
) -> None:
    """None of them runs from edge to edge alone: as drawn joints they could not be followed."""
    free = split(plan_of(TEE), SMALL, Notes())
    assert len(free.boards) == 4
    held = held_of(free, name)
    assert len(held.joints) > 1
    elsewhere = next(j for j in free.joints if j.id not in {h.id for h in held.joints})
    (x, y), (u, v) = elsewhere.start, elsewhere.end
    motor = Device(id="PM1", kind="point motor", x_mm=(x + u) / 2, y_mm=(y + v) / 2, **SIZES)
    notes = Notes()
    after = split(plan_of(TEE, devices=(motor,)), SMALL, notes, held=held)
    (board,) = (b for b in free.boards if b.id == name)
    assert shapely.equals_exact(
        board_at(after, board.ring).normalize(), shapely.Polygon(board.ring).normalize(), 1e-5
    )
    assert not {"BW-SPLIT-005", "BW-SPLIT-006", "BW-SPLIT-022"} & {f.code for f in notes.findings}


@pytest.mark.parametrize("levels", [(0.0, 0.0), (0.0, 90.0)])
def test_a_joint_of_two_outlines_is_one_joint_still(
    plan_of: Any, held_of: Any, levels: tuple[float, float]
) -> None:
    """Drawn past both edges and held between them, it had been two joints, or a joint and a module's end."""
    ring = ((0, 0), (1200, 0), (1200, 500), (0, 500))
    beside = Outline(id="B", ring=tuple((x + 1200, y) for x, y in ring), level_mm=levels[1])
    drawn = (DrawnJoint(id="D1", start=(1200, -20), end=(1200, 520)),)
    plan = plan_of(ring, outlines=(beside,), drawn_joints=drawn)
    notes = Notes()
    free = split(plan, SMALL, Notes())
    after = split_plan(plan, SMALL, notes, held=held_of(free, "B01"))
    assert after == free
    assert notes.findings == []


def test_a_held_joint_goes_on_to_where_the_edge_is_now(plan_of: Any, held_of: Any) -> None:
    def plan(deep_mm: float, *motors: Device) -> TrackPlan:
        ring = ((0, 0), (2600, 0), (2600, deep_mm), (0, deep_mm))
        made: TrackPlan = plan_of(ring, devices=motors)
        return made

    free = split(plan(500), SMALL, Notes())
    held = held_of(free, "B01")
    ((x, _),) = {h.start for h in held.joints}
    motor = Device(id="PM1", kind="point motor", x_mm=x, y_mm=200, **SIZES)
    for deep_mm in (440.0, 560.0, 640.0):
        notes = Notes()
        after = split(plan(deep_mm, motor), SMALL, notes, held=held)
        (joint,) = (j for j in after.joints if j.held)
        assert sorted([joint.start, joint.end]) == [(x, 0.0), (x, deep_mm)]
        (cuts,) = (f for f in notes.findings if f.code == "BW-SPLIT-003")
        assert cuts.says == "The held joint J01 cuts the clearance of device PM1"
        assert cuts.mend.endswith("--undo sets it free.")
        assert "drawn" not in cuts.says + cuts.mend


def test_a_joint_that_is_gone_is_told(plan_of: Any, held_of: Any) -> None:
    free = split(plan_of(((0, 0), (2400, 0), (2400, 500), (0, 500))), SMALL, Notes())
    notes = Notes()
    shorter = plan_of(((0, 0), (1100, 0), (1100, 500), (0, 500)))
    split(shorter, SMALL, notes, held=held_of(free, "B01"))
    assert [f.code for f in notes.findings] == ["BW-SPLIT-022"]
    assert notes.findings[0].where[0].file == "made.json"
