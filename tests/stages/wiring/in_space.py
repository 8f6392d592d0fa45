"""What stands round bolts in space, for proofs on pairs of boards and on whole layouts.

Sizes are those of the standards' tables, not of the stage's settings. A spanner's envelope is a socket over
the nut: 1.5 × the nut across its corners (common practice, no source), 40 mm deep; its handle is as wide as
the nut is across the flats and swings by 30°. A hand is a disc 60 mm wide that comes straight up from below,
to half its width above the nut, its rim no more than 40 mm of fingers from it.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import combinations
from typing import Any

import ezdxf
import shapely
from shapely.affinity import rotate
from wired import Boards

from boardwright_outputs.drawings.dxf import write_dxf
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_timber.model import Fixing, FixingKind, Part
from boardwright_timber.reference import CUP_HEAD_BOLTS, NUTS, TIMBER_WASHERS, WING_NUTS

SWING_DEG, STEP_DEG, HANDLE_MM = 30, 2, 250.0
#: A handle hung from (0, 0), turned from right to left by steps.
HANDLES = {
    size: [
        rotate(
            shapely.box(-nut.across_flats_mm / 2 + 0.05, -HANDLE_MM, nut.across_flats_mm / 2 - 0.05, 0),
            turn,
            origin=(0, 0),
        )
        for turn in range(-90, 91, STEP_DEG)
    ]
    for size, nut in NUTS.items()
}
REACH_MM = 40.0
HAND_MM, FINGERS_MM, NEAR_MM = 60.0, 40.0, 0.25


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
        r, thick = widest(fixing), 12.0 + board.clear_mm
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


def circles(part: Part) -> Iterator[tuple[float, float, float]]:
    """Centre and diameter of every through hole in a part's DXF, read by the library alone."""
    text = write_dxf(part_drawing(part)).decode().replace("\r\n", "\n")
    for entity in ezdxf.read(io.StringIO(text)).modelspace().query("CIRCLE"):
        if entity.dxf.layer == "HOLE":
            yield entity.dxf.center.x, entity.dxf.center.y, 2 * entity.dxf.radius


def a_spanner_turns(on: Boards) -> int:
    """For every bolt with a nut to be turned: a handle, tried degree by degree in the plane behind each end,
    swings 30° clear of all that stands there: on one side for a cup-head bolt, on both for a hex bolt."""
    counted = 0
    joints = {j.id: j for b in on.boards.values() for j in b.joints}
    for joint in joints.values():
        for fixing in (f for f in on.fixings[joint.boards[0]].fixings if f.joint == joint.id):
            if fixing.kind is not FixingKind.BOLT or fixing.nut == "wing nut":
                continue
            free = [_swings(on, name, joint, fixing) for name in joint.boards]
            assert any(free) if fixing.fastener == "cup bolt" else all(free), fixing.id
            counted += 1
    return counted


def _swings(on: Boards, name: str, joint: Any, fixing: Fixing) -> bool:
    board = on.boards[name]
    side = 1 if joint.boards[0] == name else -1
    ux, uy = ((joint.end[k] - joint.start[k]) / joint.length_mm for k in (0, 1))
    nx, ny = -uy * side, ux * side
    near, far = 12.0 + board.clear_mm + 0.02, 12.0 + board.clear_mm + REACH_MM
    slab = shapely.Polygon(
        [
            (fixing.x_mm + t * ux + s * nx, fixing.y_mm + t * uy + s * ny)
            for t, s in ((-HANDLE_MM, near), (HANDLE_MM, near), (HANDLE_MM, far), (-HANDLE_MM, far))
        ]
    )
    walls = []
    things = [
        (shapely.Polygon([board.to_plan(p) for p in m.outline]), m.bottom_mm, m.top_mm)
        for m in (*on.frames[name].members, *on.joists[name].members)
    ]
    things += [(shapely.Polygon(d.footprint()), -d.depth_mm, 0.0) for d in on.plans[name].devices]
    for shape, bottom, top in things:
        behind = shape.intersection(slab)
        if behind.area < 1e-3:
            continue
        ts = [(x - fixing.x_mm) * ux + (y - fixing.y_mm) * uy for x, y in shapely.get_coordinates(behind)]
        walls.append(shapely.box(min(ts), bottom - fixing.z_mm, max(ts), top - fixing.z_mm))
    wood = shapely.union_all(walls)
    shapely.prepare(wood)
    run = 0
    for hit in shapely.intersects(wood, HANDLES[fixing.size]):
        run = 0 if hit else run + 1
        if run * STEP_DEG >= SWING_DEG:
            return True
    return False


def hands_get_there(on: Boards) -> tuple[int, int]:
    """How many nuts and heads a hand gets to from below, and how many it does not: those are told, and no
    joint is told of where a hand gets to all with a quarter of a millimetre to spare.

    Places for the hand's middle are what is left of the board when all that hangs lower is grown by half a
    hand: worked out in plan, for every bolt and both ends, apart from how the stage does it.
    """
    told = {w.item for f in on.notes.findings if f.code == "BW-JOINT-008" for w in f.where}
    reached, missed, tight = 0, [], set()
    for name, board in on.boards.items():
        things = [
            (shapely.Polygon([board.to_plan(p) for p in m.outline]), m.bottom_mm)
            for m in (*on.frames[name].members, *on.joists[name].members)
        ]
        things += [(shapely.Polygon(d.footprint()), -d.depth_mm) for d in on.plans[name].devices]
        ring = shapely.Polygon(board.ring, board.wells)
        for fixing, room, _ in envelopes(on, name):
            nut = room.centroid
            lower = [shape for shape, bottom in things if bottom < fixing.z_mm + HAND_MM / 2]
            lower = [shape for shape in lower if shape.distance(nut) < FINGERS_MM + HAND_MM + 1]
            if _a_hand_fits(ring, lower, nut, NEAR_MM):
                reached += 1
            else:
                missed.append((fixing.joint, fixing.id))
            if not _a_hand_fits(ring, lower, nut, -NEAR_MM):
                tight.add(fixing.joint)
    assert {joint for joint, _ in missed} <= told <= tight, (missed, told, tight)
    return reached, len(missed)


def _a_hand_fits(ring: Any, lower: list[Any], nut: Any, spare_mm: float) -> bool:
    half = HAND_MM / 2 - spare_mm
    near = nut.buffer(FINGERS_MM + HAND_MM / 2 + spare_mm).intersection(ring.buffer(-half))
    return not near.difference(shapely.union_all([shape.buffer(half) for shape in lower])).is_empty
