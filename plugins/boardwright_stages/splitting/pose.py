"""The pose in which a plan is split: turned and mirrored so that the same layout always lies the same way.

A layout drawn at another angle, or mirrored, must be split the same. So it is first brought into its own
pose: its commonest direction along x, and of the eight ways left (quarter turns, mirrored or not) the one
whose weight lies farthest to the right and up. The outlines decide; only where they are symmetrical the
tracks do, and so on down to the devices, so that a moved device hardly ever turns the pose.

Points of the outline come back exactly as they were drawn; new points are rounded once. What this does not
know: a layout whose every line is symmetrical has several poses that are all its own; the nearest is taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import product

import msgspec
import numpy as np
from msgspec.structs import replace

from boardwright.plan.model import Circle, Point, Ring, TrackPlan

from .directions import Array
from .piece import Cut, Piece, rounded

PARALLEL = 1e-4  # radians; edges nearer in direction are parallel
SAME_MM = 0.05  # total lengths of two directions this near are equal
LEVEL = 1e-6  # moments this near, as a share of the largest they could be, are equal
# Powers of x and y of the moments compared, in order: long way along x, then skew to the right and up.
POWERS = ((2, 0), (3, 0), (0, 3), (2, 1), (1, 2), (1, 1), (3, 1), (1, 3), (4, 0), (5, 0), (0, 5), (3, 2))


class Pose(msgspec.Struct):
    """``matrix`` brings plan points into the pose; it turns, or mirrors and turns, never stretches."""

    matrix: Array
    known: dict[Point, Point] = {}

    @property
    def still(self) -> bool:
        """Does the plan lie in its pose as it is?"""
        return bool(np.array_equal(self.matrix, np.eye(2)))

    def plan(self, plan: TrackPlan) -> TrackPlan:
        """The plan in its pose; points of its outlines are remembered for the way back."""
        if self.still:
            return plan
        outlines = []
        for o in plan.outlines:
            rings = [self._remembered(r) for r in (o.ring, *o.wells)]
            outlines.append(replace(o, ring=rings[0], wells=tuple(rings[1:]), circles=()))
        return replace(
            plan,
            outlines=tuple(outlines),
            tracks=tuple(
                replace(t, points=self._ring(t.points), circles=tuple(map(self._circle, t.circles)))
                for t in plan.tracks
            ),
            turnouts=tuple(replace(t, ring=self._ring(t.ring)) for t in plan.turnouts),
            obstacles=tuple(replace(o, ring=self._ring(o.ring)) for o in plan.obstacles),
            devices=tuple(
                replace(d, x_mm=x, y_mm=y, angle_deg=self._angle(d.angle_deg))
                for d in plan.devices
                for x, y in self._ring(((d.x_mm, d.y_mm),))
            ),
            drawn_joints=tuple(
                replace(j, start=ends[0], end=ends[1])
                for j in plan.drawn_joints
                for ends in (self._ring((j.start, j.end)),)
            ),
        )

    def back(self, piece: Piece) -> Piece:
        """A piece in plan coordinates, its outer ring anticlockwise again."""
        if self.still:
            return piece
        rings = [np.array([self._back(p) for p in ring.tolist()]) for ring in piece.rings]
        if np.linalg.det(self.matrix) < 0:
            rings = [np.ascontiguousarray(r[::-1]) for r in rings]
        return Piece(tuple(rings))

    def points_back(self, points: Array) -> Array:
        """Points in plan coordinates, not rounded."""
        return points if self.still else points @ self.matrix

    def cut_back(self, cut: Cut) -> Cut:
        """A cut in plan coordinates."""
        if self.still:
            return cut
        return Cut(self._back(cut.start), self._back(cut.end), cut.drawn, cut.held)

    def line(self, start: Point, end: Point) -> tuple[Point, Point]:
        """A line in the pose; its ends come back as they were."""
        if self.still:
            return start, end
        one, other = self._ring((start, end))
        for moved, own in ((one, start), (other, end)):
            self.known.setdefault(moved, own)
        return one, other

    def points(self, points: Iterable[Point]) -> Ring:
        """Points in the pose."""
        return self._ring(points)

    def _remembered(self, ring: Ring) -> Ring:
        own = tuple((rounded(x), rounded(y)) for x, y in ring)
        moved = self._ring(own)
        self.known.update(zip(moved, own, strict=True))
        return moved

    def _ring(self, points: Iterable[Point]) -> Ring:
        moved = np.array(tuple(points), dtype=float).reshape(-1, 2) @ self.matrix.T
        return tuple((rounded(x), rounded(y)) for x, y in moved.tolist())

    def _circle(self, circle: Circle) -> Circle:
        ((x, y),) = self._ring(((circle.x_mm, circle.y_mm),))
        return replace(circle, x_mm=x, y_mm=y)

    def _angle(self, degrees: float) -> float:
        a = math.radians(degrees)
        x, y = self.matrix @ np.array((math.cos(a), math.sin(a)))
        return math.degrees(math.atan2(y, x))

    def _back(self, p: Iterable[float]) -> Point:
        x, y = p
        if (x, y) in self.known:
            return self.known[(x, y)]
        u, v = self.matrix.T @ np.array((x, y))
        return rounded(u), rounded(v)


def pose_of(plan: TrackPlan) -> Pose:
    """The pose of a plan."""
    rings = [np.array(r, dtype=float) for o in plan.outlines for r in (o.ring, *o.wells) if len(r) >= 3]
    if not rings:
        return Pose(np.eye(2))
    starts = np.concatenate(rings)
    ends = np.concatenate([np.roll(r, -1, axis=0) for r in rings])
    poses = [
        _turn(-angle - k * math.pi / 2) @ np.diag((1.0, side))
        for angle, k, side in _angles(ends - starts)
        if angle is not None
    ]
    middle = _middle(starts, ends)
    for points, weights in _clouds(plan, starts, ends):
        poses = _farthest(poses, points - middle, weights)
        if len(poses) == 1:
            break
    return Pose(max(poses, key=lambda m: (round(float(np.trace(m)), 6), round(float(m[0, 0]), 6))))


def _angles(edges: Array) -> list[tuple[float, int, float]]:
    """Commonest directions (mostly one), each with its quarter turns and mirrored ones."""
    found = []
    for side in (1.0, -1.0):
        found += [(a, k, side) for a, k in product(_commonest(edges * np.array((1.0, side))), range(4))]
    return found


def _commonest(edges: Array) -> list[float]:
    """Directions (0 ≤ angle < π/2) along or square to which most of the edges' length lies."""
    length = np.hypot(edges[:, 0], edges[:, 1])
    angle = np.arctan2(edges[:, 1], edges[:, 0]) % (math.pi / 2)
    angle = np.where(angle > math.pi / 2 - PARALLEL, angle - math.pi / 2, angle)
    order = np.argsort(angle, kind="stable")
    angle, length = angle[order], length[order]
    first = np.flatnonzero(np.concatenate(([True], np.diff(angle) > PARALLEL)))
    total = np.add.reduceat(length, first)
    mean = np.add.reduceat(length * angle, first) / np.maximum(total, 1e-12)
    best = mean[total > float(total.max()) - SAME_MM]
    return [0.0 if abs(a) < 1e-9 else a for a in best.tolist()]


def _turn(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    if abs(c) < 1e-9 or abs(s) < 1e-9:
        c, s = float(round(c)), float(round(s))
    return np.array(((c, -s), (s, c)))


def _middle(starts: Array, ends: Array) -> Array:
    weight = np.hypot(*(ends - starts).T)
    middle: Array = np.average((starts + ends) / 2, axis=0, weights=weight)
    return middle


def _clouds(plan: TrackPlan, starts: Array, ends: Array) -> list[tuple[Array, Array]]:
    """What may decide, in order: weighted points of outlines, tracks, turnouts, … devices."""
    lines = [
        [(starts, ends)],
        [_legs(t.points) for t in plan.tracks],
        [_legs((*t.ring, t.ring[0])) for t in plan.turnouts if t.ring],
        [_legs((*o.ring, o.ring[0])) for o in plan.obstacles if o.ring],
        [_legs((j.start, j.end)) for j in plan.drawn_joints],
    ]
    found = []
    for legs in lines:
        if legs:
            a, b = (np.concatenate([leg[k] for leg in legs]) for k in (0, 1))
            found.append(((a + b) / 2, np.hypot(*(b - a).T)))
    if plan.devices:
        at = np.array([(d.x_mm, d.y_mm) for d in plan.devices])
        found.append((at, np.array([d.length_mm * d.width_mm for d in plan.devices])))
    return found


def _legs(points: Iterable[Point]) -> tuple[Array, Array]:
    p = np.array(tuple(points), dtype=float).reshape(-1, 2)
    return p[:-1], p[1:]


def _farthest(poses: list[Array], points: Array, weights: Array) -> list[Array]:
    """The poses in which the moments are largest, compared one after the other."""
    size = float(np.abs(points).max(initial=1.0)) * math.sqrt(2)
    total = float(weights.sum()) or 1.0
    for px, py in POWERS:
        values = []
        for matrix in poses:
            x, y = (points @ matrix.T / size).T
            values.append(float(np.sum(weights * x**px * y**py)) / total)
        best = max(values)
        poses = [m for m, v in zip(poses, values, strict=True) if v > best - LEVEL]
    return poses
