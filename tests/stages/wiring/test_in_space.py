"""Whatever two boards look like: heads, washers, nuts and spanners hit nothing, and holes read back from the
part drawings' DXF meet.

Sizes are those of the standards' tables, not of the stage's settings. A spanner's envelope is a socket over
the nut: 1.5 × the nut across its corners (common practice, no source), 40 mm deep.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import combinations
from typing import Any

import ezdxf
import pytest
import shapely
from hypothesis import given, settings
from laid_out import layouts
from wired import Boards

from boardwright import Notes
from boardwright_outputs.drawings.dxf import write_dxf
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.bolting import joint_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import Fixing, FixingKind, Part
from boardwright_timber.reference import CUP_HEAD_BOLTS, NUTS, TIMBER_WASHERS, WING_NUTS

HELD = (
    JointSettings(),
    JointSettings(fastener="hex bolt", bolt_size="M6", spanner_room_mm=24.0),
    JointSettings(nut="wing nut"),
    JointSettings(fastener="hex bolt", nut="tee nut", pattern="handed"),
    JointSettings(fastener="toggle catch"),
)
REACH_MM = 40.0


def widest(fixing: Fixing) -> float:
    """Radius of the largest thing round a bolt's end, on whichever side it is put in."""
    size = fixing.size
    round_it = [TIMBER_WASHERS[size].diameter_mm, 1.5 * NUTS[size].across_corners_min_mm]
    if fixing.fastener == "cup bolt":
        round_it.append(CUP_HEAD_BOLTS[size].head_diameter_max_mm)
    if fixing.nut == "wing nut":
        round_it.append(WING_NUTS[size].span_mm)
    return max(round_it) / 2


def envelopes(on: Boards, name: str) -> Iterator[tuple[Fixing, Any, tuple[float, float]]]:
    """Every bolt's room behind this board's end: its plan shape, and from which height to which."""
    board = on.boards[name]
    for fixing in (f for f in on.fixings[name].fixings if f.kind is FixingKind.BOLT):
        joint = next(j for j in board.joints if j.id == fixing.joint)
        side = 1 if joint.boards[0] == name else -1
        ux, uy = ((joint.end[k] - joint.start[k]) / joint.length_mm for k in (0, 1))
        nx, ny = -uy * side, ux * side
        r, thick = widest(fixing), 12.0
        room = shapely.Polygon(
            [
                (fixing.x_mm + t * ux + s * nx, fixing.y_mm + t * uy + s * ny)
                for t, s in ((-r, thick), (r, thick), (r, thick + REACH_MM), (-r, thick + REACH_MM))
            ]
        ).buffer(-0.02)
        yield fixing, room, (fixing.z_mm - r, fixing.z_mm + r)


def nothing_is_hit(on: Boards) -> int:
    counted = 0
    for name, board in on.boards.items():
        things = [
            (m.id, shapely.Polygon([board.to_plan(p) for p in m.outline]), m.bottom_mm, m.top_mm)
            for m in (*on.frames[name].members, *on.joists[name].members)
        ]
        things += [(d.id, shapely.Polygon(d.footprint()), -d.depth_mm, 0.0) for d in on.plans[name].devices]
        for fixing, room, (low, high) in envelopes(on, name):
            counted += 1
            assert high <= 0.0, f"{fixing.id} stands above the frame's top, in the deck"
            for thing, shape, bottom, top in things:
                hit = min(top, high) - max(bottom, low) > 1e-6 and shape.intersects(room)
                assert not hit, (fixing.id, thing)
        for a, b in combinations(on.fixings[name].fixings, 2):
            away = math.dist((a.x_mm, a.y_mm, a.z_mm), (b.x_mm, b.y_mm, b.z_mm))
            washers = [TIMBER_WASHERS[f.size].diameter_mm / 2 for f in (a, b) if f.kind is FixingKind.BOLT]
            assert FixingKind.CATCH in (a.kind, b.kind) or away >= sum(washers) - 1e-6
        for f in on.fixings[name].fixings:
            for hole in (h for h in on.wiring[name].holes if h.joint == f.joint):
                away = math.dist((f.x_mm, f.y_mm, f.z_mm), (hole.x_mm, hole.y_mm, hole.z_mm))
                half = TIMBER_WASHERS[f.size].diameter_mm / 2 if f.kind is FixingKind.BOLT else 5.0
                assert f.kind is FixingKind.CATCH or away >= hole.diameter_mm / 2 + half - 1e-6
    return counted


def every_bolt_ends_in_its_room(on: Boards) -> None:
    """The bolt that is bought reaches no deeper behind the end than the room that is kept: 40 mm."""
    for name, board in on.boards.items():
        bolts = [f for f in on.fixings[name].fixings if f.kind is FixingKind.BOLT]
        for line in joint_lines(board, on.frames[name], bolts, HardwareSettings(), Notes()):
            if "bolt-" in line.item:
                assert float(line.item.rsplit("x", 1)[1]) - 24.0 <= REACH_MM, line


def circles(part: Part) -> Iterator[tuple[float, float, float]]:
    """Centre and diameter of every through hole in a part's DXF, read by the library alone."""
    text = write_dxf(part_drawing(part)).decode().replace("\r\n", "\n")
    for entity in ezdxf.read(io.StringIO(text)).modelspace().query("CIRCLE"):
        if entity.dxf.layer == "HOLE":
            yield entity.dxf.center.x, entity.dxf.center.y, 2 * entity.dxf.radius


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
    seen = {"bolts": 0, "holes": 0, "catches": 0}

    @settings(deadline=None, max_examples=12, derandomize=True)
    @given(layouts(boxes, how))
    def run(on: Boards) -> None:
        seen["bolts"] += nothing_is_hit(on)
        seen["catches"] += sum(f.kind is FixingKind.CATCH for f in on.fixings["A"].fixings)
        every_bolt_ends_in_its_room(on)
        seen["holes"] += they_meet(on)

    run()
    assert seen["holes"] > 20
    assert seen["catches" if how.fastener == "toggle catch" else "bolts"] > 10, seen
