"""Ends of identical modules: whatever stands behind them, every pair that may meet does."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import product
from typing import Any

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.model import Device, Track
from boardwright_outputs.drawings.dxf import write_dxf
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_stages.checks.geometry import ends_alike
from boardwright_stages.checks.reassembly import drilled as in_place
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.bolting import joint_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joints.ends import end_pattern
from boardwright_stages.joints.facing import hand_of
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.parts.stages import parts
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import BoardParts, BoardPlan, EndPattern, FixingKind, Joint

LONG, COPIES = 1000.0, 12

type Hole = tuple[float, float, float, str]  # along from the end's middle, height, diameter, kind


class Module:
    """Boards with ends, drilled; ``holes`` of each end read back from its part's DXF."""

    def __init__(self, *boards: tuple[Any, BoardPlan], how: JointSettings = JointSettings()) -> None:
        self.boards = {made.board.id: made.board for made, _ in boards}
        plans = {made.board.id: plan for made, plan in boards}
        frames = {made.board.id: made.frame for made, _ in boards}
        joists = {made.board.id: made.joists for made, _ in boards}
        self.notes = Notes()
        self.pattern = end_pattern(self.boards, plans, frames, joists, how, self.notes)
        self.parts: dict[str, BoardParts] = {}
        self.fixed = []
        for name, board in self.boards.items():
            own = (board, {}, plans[name], {}, frames[name], {}, joists[name], {})
            fixed = fixings(*own, how, self.notes, ends=self.pattern)
            holes = wiring(*own, fixed, WiringSettings(), Notes(), ends=self.pattern)
            self.fixed += list(fixed.fixings)
            self.parts[name] = parts(
                board,
                plans[name],
                frames[name],
                joists[name],
                fixed,
                holes,
                FramingSettings(),
                Notes(),
                how,
                self.pattern,
            )

    @property
    def ends(self) -> list[Joint]:
        return [end for board in self.boards.values() for end in board.ends]

    def holes(self, end: Joint) -> list[Hole]:
        board = self.boards[end.boards[0]]
        found = []
        for part in self.parts[board.id].parts:
            mine = [h for h in part.holes if h.joint == end.id]
            a = math.radians(part.placement.angle_deg)
            for x, y, d in circles(part) if mine else ():
                near = min(mine, key=lambda h: math.dist((h.x_mm, h.y_mm), (x, y)))
                if math.dist((near.x_mm, near.y_mm), (x, y)) > 0.5:
                    continue
                px, py = board.to_plan(
                    (part.placement.x_mm + x * math.cos(a), part.placement.y_mm + x * math.sin(a))
                )
                ux, uy = ((end.end[k] - end.start[k]) / end.length_mm for k in (0, 1))
                mx, my = ((end.end[k] + end.start[k]) / 2 for k in (0, 1))
                found.append((ux * (px - mx) + uy * (py - my), part.placement.z_mm + y, d, near.kind.value))
        return found


def circles(part: Any) -> Iterator[tuple[float, float, float]]:
    text = write_dxf(part_drawing(part)).decode().replace("\r\n", "\n")
    for entity in ezdxf.read(io.StringIO(text)).modelspace().query("CIRCLE"):
        if entity.dxf.layer == "HOLE":
            yield entity.dxf.center.x, entity.dxf.center.y, 2 * entity.dxf.radius


def end(name: str, board: str, start: tuple[float, float], stop: tuple[float, float]) -> Joint:
    return Joint(id=name, boards=(board, board), start=start, end=stop)


def module(
    boxes: Any,
    widths: tuple[float, float] = (600.0, 600.0),
    devices: tuple[Device, ...] = (),
    joists: tuple[float, ...] = (450.0,),
    turned: bool = False,
) -> list[tuple[Any, BoardPlan]]:
    """Two loose boards: one's left end and the other's right end mate with the next module."""
    found = []
    for n, (name, width) in enumerate(zip("AB", widths, strict=True)):
        x = n * LONG
        ring = ((x, 0.0), (x + LONG, 0.0), (x + LONG, width), (x, width))
        built = boxes.box(name, ring, (), joists)
        one = (
            end("E01", "A", (x, width), (x, 0.0))
            if n == 0
            else end("E02", "B", (x + LONG, 0.0), (x + LONG, width))
        )
        board = replace(built.board, ends=(one,))
        found.append((replace_board(built, board), BoardPlan(board=name, devices=devices, scale_ratio=87.1)))
    return found


def replace_board(built: Any, board: Any) -> Any:
    import dataclasses

    return dataclasses.replace(built, board=board)


def meet(one: list[Hole], other: list[Hole]) -> float:
    """Worst distance when two ends face each other: along one is against along the other."""
    assert len(one) == len(other) > 0
    worst = 0.0
    for t, z, d, kind in one:
        worst = max(worst, min(math.dist((t, z), (-u, v)) for u, v, e, k in other if (e, k) == (d, kind)))
    return worst


def body(name: str, x: float, y: float) -> Device:
    return Device(
        id=name, kind="servo", x_mm=x, y_mm=y, length_mm=40, width_mm=40, depth_mm=50, clearance_mm=5
    )


places = st.tuples(st.sampled_from((40.0, 60.0, 1940.0, 1960.0)), st.floats(60, 540))


@settings(deadline=None, max_examples=15, derandomize=True)
@given(
    st.lists(places, max_size=3),
    st.tuples(st.integers(350, 700), st.integers(350, 700)),
    st.sampled_from(("cup bolt", "hex bolt")),
)
def test_any_end_mates_with_any_other_of_twelve_copies(
    boxes: Any, at: list[tuple[float, float]], widths: tuple[int, int], fastener: str
) -> None:
    devices = tuple(body(f"D{n}", x, y) for n, (x, y) in enumerate(at))
    how = JointSettings(fastener=fastener)  # type: ignore[arg-type]  # one of its words
    made = Module(*module(boxes, (float(widths[0]), float(widths[1])), devices), how=how)
    ends = [made.holes(e) for e in made.ends] * COPIES
    if not made.pattern.bolts_mm:
        assert any(f.code == "BW-JOINT-012" for f in made.notes.findings)
        return
    tried = 0
    for one, other in product(ends[: len(made.ends)], ends):
        assert meet(one, other) <= 0.01  # as they are
        assert meet([(-t, z, d, k) for t, z, d, k in one], other) <= 0.01  # one of them turned round
        tried += 2
    assert tried == 2 * len(made.ends) * len(ends) == 96
    assert len({f.id for f in made.fixed}) == len(made.fixed)


def test_a_pair_by_hand(boxes: Any) -> None:
    """600 and 500 wide: from their middles 300 and 250; bolts 250 - 44 = 206 out, dowels 40 further in, wire
    holes of 22: innermost 33 to either side."""
    made = Module(*module(boxes, (600.0, 500.0)))
    assert made.pattern == EndPattern(
        ends=("E01", "E02"),
        fastener="cup bolt",
        bolts_mm=(-206.0, 206.0),
        bolts_z_mm=(-45.0,),
        dowels_mm=(-166.0, 166.0),
        dowels_z_mm=-45.0,
        wires_mm=(-33.0, 33.0),
        wires_z_mm=-45.0,
        wires_diameter_mm=22.0,
    )
    assert made.notes.findings == []


def test_handed_ends_mate_right_to_left_alone(boxes: Any) -> None:
    made = Module(*module(boxes), how=JointSettings(pattern="handed"))
    left, right = made.ends
    assert (hand_of(left), hand_of(right)) == (-1, 1)
    one, two = made.holes(left), made.holes(right)
    assert meet(one, two) <= 0.01
    assert min(meet(one, one), meet(two, two)) > 10
    assert meet([(-t, z, d, k) for t, z, d, k in one], two) > 10  # turned round


def test_ends_that_are_not_alike_are_told_apart(boxes: Any) -> None:
    made = Module(*module(boxes))
    holes = {n: [h for p in made.parts[n].parts for h in in_place(made.boards[n], p)] for n in made.boards}
    assert ends_alike(made.ends, holes, False).value <= 1e-6
    own = [h for h in holes["A"] if h.hole.joint]
    x, y, z = own[0].at
    moved = replace(own[0], at=(x, y + 0.02, z))
    assert ends_alike(made.ends, holes | {"A": [moved, *own[1:]]}, False).value == pytest.approx(0.02)


def test_tracks_that_do_not_meet_are_told(boxes: Any) -> None:
    """Over the middle of both ends (y = 300): fine. 20 mm off on one: told, but for that one alone."""
    for y, codes in ((300.0, []), (320.0, ["BW-JOINT-011"] * 2)):
        (a, plan_a), (b, plan_b) = module(boxes)
        plan_a = replace(plan_a, tracks=(Track(id="T1", points=((0, 300), (1000, 300))),))
        plan_b = replace(plan_b, tracks=(Track(id="T1", points=((1000, 300), (2000, y))),))
        made = Module((a, plan_a), (b, plan_b))
        assert [f.code for f in made.notes.findings] == codes  # with E01, and with itself


def test_two_ends_share_one_set_of_bolts(boxes: Any) -> None:
    made = Module(*module(boxes))
    counted = [f for f in made.fixed if f.joint in made.pattern.counted]
    assert sum(f.kind is FixingKind.BOLT for f in made.fixed) == 4
    board = made.boards["A"]
    frame = module(boxes)[0][0].frame
    lines = {
        line.item: line.quantity for line in joint_lines(board, frame, counted, HardwareSettings(), Notes())
    }
    assert lines["bolt-M8x40"] == 2


def test_one_jig_drills_all_ends(boxes: Any) -> None:
    made = Module(*module(boxes), how=JointSettings(jigs=True))
    assert [t.id for b in made.parts.values() for t in b.tools] == ["E01-JIG"]
    (jig,) = made.parts["A"].tools
    laid = [
        (h.x_mm - jig.length_mm / 2, h.y_mm - jig.width_mm, h.diameter_mm, h.kind.value) for h in jig.holes
    ]
    for e in made.ends:
        assert meet(laid, made.holes(e)) <= 0.01
