"""Bores seen from above: where bolts, dowels and wires go through the members."""

from __future__ import annotations

import math

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Board, Fixing, FixingKind, Member, WireHole

CATCH_MM = (8.0, 40.0)  # a catch as drawn: thick, and long on each board


def fixing_bore(board: Board, fixing: Fixing) -> Ring:
    """A fixing's bore on this board's side of the joint, in plan coordinates: as wide as the hole, half the
    grip deep; half a catch lies along its side."""
    joint = next(j for j in (*board.joints, *board.ends) if j.id == fixing.joint)
    length = joint.length_mm
    along = ((joint.end[0] - joint.start[0]) / length, (joint.end[1] - joint.start[1]) / length)
    side = 1.0 if joint.boards[0] == board.id else -1.0
    inward = (-along[1] * side, along[0] * side)
    wide, deep = fixing.hole_diameter_mm, fixing.grip_mm / 2
    if fixing.kind is FixingKind.CATCH:
        wide, deep = CATCH_MM
    return _bore((fixing.x_mm, fixing.y_mm), along, inward, wide, deep)


def wire_bore(member: Member, hole: WireHole) -> Ring:
    """A wire hole's bore through its member, in the board's local axes."""
    d = member.direction
    start = (member.datum[0] + d[0] * hole.along_mm, member.datum[1] + d[1] * hole.along_mm)
    return _bore(start, d, (-d[1], d[0]), hole.diameter_mm, member.thickness_mm)


def _bore(start: Point, along: Point, inward: Point, diameter_mm: float, depth_mm: float) -> Ring:
    r = diameter_mm / 2
    return tuple(
        (
            math.fsum((start[0], along[0] * u, inward[0] * v)),
            math.fsum((start[1], along[1] * u, inward[1] * v)),
        )
        for u, v in ((-r, 0.0), (r, 0.0), (r, depth_mm), (-r, depth_mm))
    )
