"""One drill jig drills both ends of a joint: laid on either board, its holes are where that board's are."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.parts.stages import parts
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import BoardParts, BoardPlan, HoleKind, Joint, Sandwich


def built(made: dict[str, Any], how: JointSettings) -> dict[str, BoardParts]:
    answer = {}
    for name, own in made.items():
        near = own.board.neighbours
        boards, frames, joists = (
            {n: getattr(made[n], field) for n in near} for field in ("board", "frame", "joists")
        )
        plans = {n: BoardPlan(board=n) for n in near}
        around = (own.board, boards, BoardPlan(board=name), plans, own.frame, frames, own.joists, joists)
        fixed = fixings(*around, how, Notes())
        wired = wiring(*around, fixed, WiringSettings(), Notes())
        answer[name] = parts(
            own.board,
            BoardPlan(board=name),
            own.frame,
            own.joists,
            fixed,
            wired,
            FramingSettings(),
            Notes(),
            how,
        )
    return answer


def drilled(made: Any, given: BoardParts, joint: str) -> list[tuple[str, float, float, float, float]]:
    """Kind, plan point, height and diameter of a joint's holes in a board's parts."""
    found = []
    for part in given.parts:
        a = math.radians(part.placement.angle_deg)
        for h in (h for h in part.holes if h.joint == joint):
            local = (part.placement.x_mm + h.x_mm * math.cos(a), part.placement.y_mm + h.x_mm * math.sin(a))
            found.append(
                (h.kind.value, *made.board.to_plan(local), part.placement.z_mm + h.y_mm, h.diameter_mm)
            )
    return found


@pytest.mark.parametrize("how", [JointSettings(jigs=True), JointSettings(jigs=True, pattern="handed")])
@pytest.mark.parametrize("lean", [0.0, 120.0])
def test_the_jig_is_right_for_both_ends(boxes: Any, how: JointSettings, lean: float) -> None:
    """Its datum corner (0, depth) at the joint's start, x along the joint, top edge at the frames' tops."""
    low, high = (1000.0, 0.0), (1000.0 + lean, 600.0)
    joint = Joint(id="J01", boards=("A", "B"), start=low, end=high)
    made = {
        "A": boxes.box("A", ((0.0, 0.0), low, high, (0.0, 600.0)), (joint,)),
        "B": boxes.box("B", (low, (2000.0, 0.0), (2000.0, 600.0), high), (joint,)),
    }
    answer = built(made, how)
    (jig,) = answer["A"].tools
    assert answer["B"].tools == ()
    assert (jig.id, jig.width_mm, jig.thickness_mm) == ("J01-JIG", 90.0, 12.0)
    assert jig.length_mm == pytest.approx(joint.length_mm, abs=1e-5)
    ux, uy = lean / joint.length_mm, 600.0 / joint.length_mm
    laid = [
        (h.kind.value, low[0] + h.x_mm * ux, low[1] + h.x_mm * uy, h.y_mm - jig.width_mm, h.diameter_mm)
        for h in jig.holes
    ]
    for name, side in made.items():
        wanted = drilled(side, answer[name], "J01")
        assert len(wanted) == len(laid) == 6  # two bolts, two dowels, two holes for wires
        for kind, *at in wanted:
            assert any(k == kind and math.dist(at, other) <= 0.01 for k, *other in laid), (name, kind, at)
    assert answer["A"].mass_kg == pytest.approx(sum(p.mass_kg for p in answer["A"].parts))


def test_a_hollow_end_has_its_jig_from_the_blocks_wood(straight_pair: Callable) -> None:
    """Two skins of 4 mm on blocks of 12 mm: no sheet is 20 mm thick."""
    hollow = Sandwich(skin_mm=4.0, block_material="softwood", block_mm=40.0, spacing_mm=160.0)

    def made(one: Any) -> Any:
        members = tuple(replace(m, sandwich=hollow, thickness_mm=20.0) for m in one.frame.members)
        return dataclasses.replace(one, frame=replace(one.frame, members=members))

    a, b = map(made, straight_pair())
    (jig,) = built({"A": a, "B": b}, JointSettings(jigs=True))["A"].tools
    assert (jig.material, jig.thickness_mm) == ("softwood", 12.0)
    assert len(jig.holes) == 6


def test_no_jig_unless_asked_for(straight_pair: Callable) -> None:
    a, b = straight_pair()
    assert all(p.tools == () and p.cut == p.parts for p in built({"A": a, "B": b}, JointSettings()).values())


def test_joints_drilled_alike_share_a_jig(boxes: Any) -> None:
    joints = tuple(
        Joint(id=f"J0{n}", boards=("A", other), start=start, end=end)
        for n, other, start, end in (
            (1, "B", (1000.0, 0.0), (1000.0, 600.0)),
            (2, "C", (0.0, 600.0), (0.0, 0.0)),
        )
    )
    made = {
        "A": boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), joints),
        "B": boxes.box("B", ((1000, 0), (1800, 0), (1800, 600), (1000, 600)), joints[:1]),
        "C": boxes.box("C", ((-800, 0), (0, 0), (0, 600), (-800, 600)), joints[1:]),
    }
    answer = built(made, JointSettings(jigs=True))
    assert [t.id for t in answer["A"].tools] == ["J01-JIG"]
    assert {h.kind for h in answer["A"].tools[0].holes} == {HoleKind.BOLT, HoleKind.DOWEL, HoleKind.WIRE}
