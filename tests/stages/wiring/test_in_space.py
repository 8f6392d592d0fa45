"""Whatever two boards look like: heads, washers, nuts and spanners hit nothing, and holes read back from the
part drawings' DXF meet.
"""

from __future__ import annotations

import math
import os
from typing import Any

import pytest
from hypothesis import given, settings
from in_space import REACH_MM, a_spanner_turns, circles, hands_get_there, nothing_is_hit
from laid_out import layouts
from wired import Boards

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.bolting import joint_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import FixingKind

EXAMPLES = 60 if os.environ.get("BOARDWRIGHT_DEEP") else 9
HELD = (
    JointSettings(),
    JointSettings(fastener="hex bolt", bolt_size="M6", spanner_room_mm=24.0),
    JointSettings(nut="wing nut"),
    JointSettings(fastener="hex bolt", nut="tee nut", pattern="handed"),
    JointSettings(fastener="toggle catch"),
)


def every_bolt_ends_in_its_room(on: Boards) -> None:
    """The bolt that is bought reaches no deeper behind the end than the room that is kept: 40 mm; it is
    called by the same length where it is put in as where it is bought."""
    for name, board in on.boards.items():
        bolts = [f for f in on.fixings[name].fixings if f.kind is FixingKind.BOLT]
        lines = list(joint_lines(board, on.frames[name], bolts, HardwareSettings(), Notes()))
        called = {f.called.replace(" × ", "x") for f in bolts}
        assert called == {n.item.split("bolt-")[1] for n in lines if "bolt-" in n.item}
        for line in lines:
            if "bolt-" in line.item:
                assert float(line.item.rsplit("x", 1)[1]) - 24.0 <= REACH_MM, line


def holes_read_back(on: Boards, name: str) -> set[tuple[float, float, float, float]]:
    """Plan point, height and diameter of the holes drawn in the parts that stand on the joint."""
    board = on.boards[name]
    made = parts(
        board,
        on.plans[name],
        on.frames[name],
        on.joists[name],
        on.fixings[name],
        on.wiring[name],
        FramingSettings(),
        Notes(),
    )
    found = set()
    for part in (p for p in made.parts if any(h.joint for h in p.holes)):
        a = math.radians(part.placement.angle_deg)
        mating = {(h.x_mm, h.y_mm) for h in part.holes if h.joint}
        for x, y, d in circles(part):
            if min(math.dist((x, y), m) for m in mating) < 0.5:
                at = board.to_plan(
                    (part.placement.x_mm + x * math.cos(a), part.placement.y_mm + x * math.sin(a))
                )
                found.add((*at, part.placement.z_mm + y, d))
    return found


def they_meet(on: Boards) -> int:
    one, two = (holes_read_back(on, name) for name in on.boards)
    assert len(one) == len(two)
    for hole in one:
        assert min(math.dist(hole, other) for other in two) <= 0.01  # mm; a diameter apart counts as well
    drilled = [f for f in on.fixings["A"].fixings if f.kind is not FixingKind.CATCH]
    assert len(one) == len(drilled) + sum(h.joint is not None for h in on.wiring["A"].holes)
    return len(one)


@pytest.mark.parametrize("how", HELD, ids=lambda h: f"{h.fastener}, {h.nut}")
def test_nothing_collides_and_holes_meet(boxes: Any, how: JointSettings) -> None:
    seen = {"bolts": 0, "holes": 0, "catches": 0, "hands": 0, "missed": 0}

    @settings(deadline=None, max_examples=EXAMPLES, derandomize=True)
    @given(layouts(boxes, how, crowded=True))
    def run(on: Boards) -> None:
        seen["bolts"] += nothing_is_hit(on)
        seen["catches"] += sum(f.kind is FixingKind.CATCH for f in on.fixings["A"].fixings)
        every_bolt_ends_in_its_room(on)
        a_spanner_turns(on)
        got, missed = hands_get_there(on)
        seen["hands"] += got
        seen["missed"] += missed
        seen["holes"] += they_meet(on)

    run()
    assert seen["holes"] > 20, seen
    assert seen["hands"] + seen["missed"] == seen["bolts"]
    assert seen["catches" if how.fastener == "toggle catch" else "bolts"] > 10, seen
