"""Boards that are made are not sawn in two: they stay whole; what the layout gains is a board beside them.

Claim: no joint is searched through a board of which something is made (one that is drawn there is obeyed).
What is left of it stays whole, be it larger than boards may be now. Where the layout goes on beyond its edge
by MIN_LENGTH or more, the edge is held as its joints are; where by less, the board is another with the same
joints.

What this does not know: boards marked in lists of older releases, which did not tell their edges.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from msgspec.structs import replace

from boardwright.findings import Notes, Place
from boardwright.plan.model import Point, TrackPlan
from boardwright_timber.model import Board, Splitting
from boardwright_timber.model.made import HeldJoints, MadeBoard, MadeJoint

from . import worth
from .held import LEAST_MM, Line
from .keepaway import KeepAway
from .piece import Piece, from_outline, rounded
from .settings import SplittingSettings

BESIDE_MM = 21.0  # nearer to a joint an edge is the joint's own: a lift-out stands back by up to 20 mm
FULL = 0.95  # of what lies beyond an edge must be layout, as deep as a board is wide at least
SHALLOWEST_MM = 100.0
WITHIN_MM = 1.0  # by so much a piece may be larger than the board was when it was made
SAME_MM = 0.001
EDGE = "edge of "  # names what is no joint yet


def with_grown(plan: TrackPlan, held: HeldJoints, settings: SplittingSettings) -> HeldJoints:
    """What is held, with edges of made boards beyond which there is room for another board now."""
    more: list[MadeJoint] = []
    for level_mm in sorted({b.level_mm for b in held.boards if b.ring}):
        keep_away = KeepAway(plan.at_level(level_mm), settings)
        layout = _layout(plan, level_mm)
        for board, (start, end) in sorted(_grown(layout, held, level_mm, keep_away, settings)):
            more.append(MadeJoint(id=f"{EDGE}{board}", start=start, end=end, level_mm=level_mm))
    return replace(held, joints=(*held.joints, *more)) if more else held


def _grown(
    layout: shapely.Geometry,
    held: HeldJoints,
    level_mm: float,
    keep_away: KeepAway,
    settings: SplittingSettings,
) -> Iterator[tuple[str, Line]]:
    made = [b for b in held.boards if b.ring and b.level_mm == level_mm]
    beyond = shapely.difference(layout, shapely.union_all([shapely.Polygon(b.ring) for b in made]))
    joints = [shapely.LineString((j.start, j.end)) for j in held.joints if j.level_mm == level_mm]
    own = shapely.buffer(shapely.union_all(joints), BESIDE_MM)
    free = shapely.difference(shapely.buffer(layout, -WITHIN_MM), own)
    least = max((settings.shortest_joint_mm or 0.0) - 2 * BESIDE_MM, LEAST_MM)
    for board in made:
        for side in _sides(board):
            for stretch in shapely.get_parts(shapely.intersection(shapely.LineString(side), free)):
                if stretch.length < least:
                    continue
                line = _line(stretch)
                if _room(side, line, beyond, settings) and not _cuts(line, keep_away):
                    yield board.id, line


def _sides(board: MadeBoard) -> Iterator[Line]:
    """The straight edges of a board, each whole, the board on their left."""
    ring = np.array(board.ring)
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    one, other = ring - before, after - ring
    turn = np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]) / np.hypot(*other.T)
    corners = [(float(x), float(y)) for x, y in ring[turn > 1e-3].tolist()]
    yield from pairwise((*corners, *corners[:1]))


def _line(stretch: shapely.Geometry) -> Line:
    (x, y), (u, v) = shapely.get_coordinates(stretch).tolist()
    return (rounded(x), rounded(y)), (rounded(u), rounded(v))


def _room(side: Line, line: Line, beyond: shapely.Geometry, settings: SplittingSettings) -> bool:
    """Is nearly all that lies beyond a stretch of a side layout, as deep as a board is wide at least?"""
    (a, b), (p, q) = side, line
    deep = max(settings.min_length_mm, SHALLOWEST_MM) / math.dist(a, b)
    out = ((b[1] - a[1]) * deep, (a[0] - b[0]) * deep)
    box = shapely.Polygon((p, q, (q[0] + out[0], q[1] + out[1]), (p[0] + out[0], p[1] + out[1])))
    return bool(shapely.intersection(box, beyond).area >= FULL * box.area)


def _cuts(line: Line, keep_away: KeepAway) -> bool:
    return any(gap < 1e-6 for _, gap in keep_away.too_near(*line))


def _layout(plan: TrackPlan, level_mm: float) -> shapely.Geometry:
    return shapely.union_all(
        [shapely.Polygon(o.ring, o.wells) for o in plan.outlines if o.level_mm == level_mm]
    )


def has_held(splitting: Splitting, held: HeldJoints, plan: TrackPlan) -> bool:
    """Whether every joint that must stay is there, as far as its line is still within the layout."""
    level_of = {b.id: b.level_mm for b in splitting.boards}
    there = [(level_of[j.boards[0]], (j.start, j.end)) for j in splitting.joints]
    for one in held.joints:
        line = one.start, one.end
        spans = [s for level, other in there if level == one.level_mm and (s := _span(line, other))]
        inside = shapely.buffer(_layout(plan, one.level_mm), -WITHIN_MM)
        for gap in _gaps(math.dist(*line), spans):
            if shapely.intersection(shapely.LineString(_part(line, *gap)), inside).length > LEAST_MM:
                return False
    return True


def _span(line: Line, other: Line) -> tuple[float, float] | None:
    """From where to where a line runs along another, mm from its start; None: they lie apart."""
    p, length = np.array(line[0]), math.dist(*line)
    d = (np.array(line[1]) - p) / length
    ends = np.array(other) - p
    if np.abs(ends @ np.array((-d[1], d[0]))).max() > SAME_MM:
        return None
    low, high = sorted((ends @ d).tolist())
    return low, high


def _gaps(length: float, spans: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    reached = 0.0
    for low, high in (*sorted(spans), (length, length)):
        if min(low, length) - reached > SAME_MM:
            yield reached, min(low, length)
        reached = max(reached, high)


def _part(line: Line, low: float, high: float) -> Line:
    (x, y), (u, v) = line
    length = math.dist(*line)
    dx, dy = (u - x) / length, (v - y) / length
    return (x + low * dx, y + low * dy), (x + high * dx, y + high * dy)


def is_sawn(splitting: Splitting, held: HeldJoints) -> bool:
    """Whether a joint that nobody drew runs through a made board."""
    for made in (b for b in held.boards if b.ring):
        inside = shapely.buffer(shapely.Polygon(made.ring), -WITHIN_MM)
        boards = {b.id for b in splitting.boards if b.level_mm == made.level_mm}
        lines = [
            shapely.LineString((j.start, j.end))
            for j in splitting.joints
            if not j.drawn and j.boards[0] in boards
        ]
        if any(shapely.intersection(line, inside).length > LEAST_MM for line in lines):
            return True
    return False


def stays_whole(piece: Piece, made: Iterable[Sequence[Point]]) -> bool:
    """Is a piece a made board, or what is left of one? ``made``: their edges."""
    area = shapely.Polygon(piece.rings[0])
    return any(shapely.buffer(shapely.Polygon(ring), WITHIN_MM).contains(area) for ring in made)


def larger(
    boards: Iterable[Board], held: HeldJoints, settings: SplittingSettings, notes: Notes
) -> list[Board]:
    """Boards, with those that are larger than boards may be now, but made, marked and told."""
    return [_larger(b, held, settings, notes) for b in boards]


def _larger(board: Board, held: HeldJoints, settings: SplittingSettings, notes: Notes) -> Board:
    made = [b.ring for b in held.boards if b.ring and b.level_mm == board.level_mm]
    piece = from_outline(board.ring, board.wells)
    if not made or worth.fits(piece, settings) or not stays_whole(piece, made):
        return board
    long, short = settings.box_mm
    heavy = f" and weigh {settings.max_mass_kg:.1f} kg" if settings.max_mass_kg is not None else ""
    x, y = board.to_plan((board.length_mm / 2, board.width_mm / 2))
    notes.caution(
        "BW-SPLIT-023",
        f"Board {board.id} is made and stays whole: {board.length_mm:.0f} × {board.width_mm:.0f} mm, though "
        f"boards may measure at most {long:.0f} × {short:.0f} mm{heavy} now",
        Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
        f"Keep it if it passes where it must; else say boardwright made --undo {board.id}, and it is parted "
        "like the rest.",
    )
    return replace(board, stays_whole=True)
