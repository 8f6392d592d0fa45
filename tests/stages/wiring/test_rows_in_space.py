"""Whole layouts through the real stages: lift-outs, wells, side boards, three boards and more, in space.

The same proof as for pairs: heads, washers, nuts and spanners hit nothing, and holes read back from the part
drawings meet, along the joint and in height.
"""

from __future__ import annotations

import math
import os
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from in_space import a_spanner_turns, circles, hands_get_there, nothing_is_hit
from msgspec.structs import replace
from wired import Boards, device

from boardwright import Notes
from boardwright.plan.model import DrawnJoint, LiftOut, Outline, Point, Ring, TrackPlan
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import board_plan, boards, split
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import Board, BoardParts, FixingKind, Joint

EXAMPLES = 30 if os.environ.get("BOARDWRIGHT_DEEP") else 3
KINDS = (("servo", 3, 500.0), ("feed", 2, 3000.0), ("point_motor", 3, 2000.0))


def drawn(*lines: tuple[Point, Point]) -> tuple[DrawnJoint, ...]:
    return tuple(DrawnJoint(id=f"D{n}", start=a, end=b) for n, (a, b) in enumerate(lines))


def ring_of(*points: Point) -> Ring:
    return points


#: Outline, wells, drawn joints, lift-outs: a side board on a long side, and a ring with a lift-out across it.
SIDE = (
    ring_of((0, 0), (2400, 0), (2400, 500), (1500, 500), (1500, 1200), (1000, 1200), (1000, 500), (0, 500)),
    (),
    drawn(((800, 0), (800, 500)), ((1700, 0), (1700, 500)), ((1000, 500), (1500, 500))),
    (),
)
RING = (
    ring_of((0, 0), (2600, 0), (2600, 2000), (0, 2000)),
    (ring_of((500, 500), (500, 1500), (2100, 1500), (2100, 500)),),
    drawn(
        ((900, 0), (900, 500)),
        ((1500, 0), (1500, 500)),
        ((0, 1000), (500, 1000)),
        ((2100, 1000), (2600, 1000)),
        ((1300, 1500), (1300, 2000)),
    ),
    (LiftOut(id="L1", x_mm=1200, y_mm=250),),
)
SKEW = (
    ring_of((0, 0), (2700, 0), (2700, 600), (0, 450)),
    (),
    drawn(((800, 0), (900, 700)), ((1750, 0), (1650, 700))),
    (),
)


def planned(layout: Any) -> tuple[TrackPlan, dict[str, Board]]:
    """Outline and boards; joints are drawn, so devices do not shift them."""
    ring, wells, lines, lift_outs = layout
    plan = TrackPlan(
        name="rows",
        drawing_file="",
        scale_ratio=76.2,
        outlines=(Outline(id="A", ring=ring, wells=wells),),
        drawn_joints=lines,
        lift_outs=lift_outs,
    )
    return plan, boards(split(plan, SplittingSettings(max_length_mm=2600, max_width_mm=1600), Notes()))


def built(plan: TrackPlan, every: dict[str, Board], how: JointSettings) -> Boards:
    on, notes = Boards(boards=every), Notes()
    for name, board in every.items():
        on.plans[name] = board_plan(board, plan)
        on.frames[name] = frame(board, FramingSettings(), notes)
        on.joists[name] = joists(
            board, on.plans[name], on.frames[name], FramingSettings(), JoistSettings(), notes
        )
    for name, board in every.items():
        near = [on.beside(name, n) for n in (on.boards, on.plans, on.frames, on.joists)]
        own = (board, near[0], on.plans[name], near[1], on.frames[name], near[2], on.joists[name], near[3])
        on.fixings[name] = fixings(*own, how, on.notes)
        on.wiring[name] = wiring(*own, on.fixings[name], WiringSettings(), on.notes)
    return on


def made_parts(on: Boards, name: str) -> BoardParts:
    return parts(
        on.boards[name],
        on.plans[name],
        on.frames[name],
        on.joists[name],
        on.fixings[name],
        on.wiring[name],
        FramingSettings(),
        Notes(),
    )


def along(board: Board, made: BoardParts, joint: Joint) -> list[tuple[float, float, float]]:
    """Place along a joint, height and diameter of the holes drawn for it in one board's parts."""
    ux, uy = ((joint.end[k] - joint.start[k]) / joint.length_mm for k in (0, 1))
    found = []
    for part in made.parts:
        mating = [(h.x_mm, h.y_mm) for h in part.holes if h.joint == joint.id]
        a = math.radians(part.placement.angle_deg)
        for x, y, d in circles(part) if mating else ():
            if min(math.dist((x, y), m) for m in mating) < 0.5:
                px, py = board.to_plan(
                    (part.placement.x_mm + x * math.cos(a), part.placement.y_mm + x * math.sin(a))
                )
                t = (px - joint.start[0]) * ux + (py - joint.start[1]) * uy
                found.append((t, part.placement.z_mm + y, d))
    return found


def holes_meet(on: Boards) -> int:
    met = 0
    joints = {j.id: j for b in on.boards.values() for j in b.joints}
    made = {name: made_parts(on, name) for name in on.boards}
    for joint in joints.values():
        one, two = (along(on.boards[name], made[name], joint) for name in joint.boards)
        assert len(one) == len(two)
        for hole in one:
            assert min(math.dist(hole, other) for other in two) <= 0.01
        met += len(one)
    return met


@pytest.mark.parametrize(
    ("layout", "how", "least"),
    [
        (SIDE, JointSettings(), 3),
        (RING, JointSettings(fastener="hex bolt", lift_out_fastener="hex bolt"), 5),
        (SKEW, JointSettings(), 2),
    ],
    ids=["side board", "ring with a lift-out", "skew"],
)
def test_nothing_collides_on_whole_layouts(layout: Any, how: JointSettings, least: int) -> None:
    seen = {"bolts": 0, "holes": 0}
    ring = layout[0]
    plan, every = planned(layout)
    wide, high = max(x for x, _ in ring), max(y for _, y in ring)
    spots = st.tuples(st.floats(0.02, 0.98), st.floats(0.02, 0.98), st.sampled_from(KINDS))

    @settings(deadline=None, max_examples=EXAMPLES, derandomize=True)
    @given(st.lists(spots, max_size=10))
    def run(at: list[tuple[float, float, tuple[str, int, float]]]) -> None:
        devices = tuple(
            device(f"D{n}", kind, round(x * wide, 1), round(y * high, 1), cores, current)
            for n, (x, y, (kind, cores, current)) in enumerate(at)
        )
        on = built(replace(plan, devices=devices), every, how)
        assert len({j.id for b in on.boards.values() for j in b.joints}) >= least
        seen["bolts"] += nothing_is_hit(on)
        a_spanner_turns(on)
        hands_get_there(on)
        seen["holes"] += holes_meet(on)
        told = {f.where[0].item for f in on.notes.findings if f.code in ("BW-JOINT-001", "BW-JOINT-002")}
        for board in on.boards.values():
            for joint in board.joints:
                bolts = [f for f in on.fixings[board.id].fixings if f.joint == joint.id]
                assert any(f.kind is FixingKind.BOLT for f in bolts) or joint.id in told

    run()
    assert seen["bolts"] > 10
    assert seen["holes"] > 20
