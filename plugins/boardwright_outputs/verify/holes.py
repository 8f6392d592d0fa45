"""Holes across joints and through what they are for: as drawn, in plan and in height.

Claim: every hole that a joint has in one board has its mate in the other, of the same diameter, within
0.01 mm; every bolt and dowel has a hole in both boards, every wire hole is drilled in its member.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from . import shapes
from .opened import Opened, many
from .profiles import BORED, SIZE_MM
from .record import Hole, Joint, Part

MATES_MM = 0.01
ONE_PLACE_MM = 15.0  # farther off than this it is no mate but another hole


class Bored(msgspec.Struct, frozen=True):
    """A hole as it is drawn, in its place: plan axes and height."""

    part: Part
    hole: Hole
    x: float
    y: float
    z: float
    diameter: float

    @property
    def at(self) -> tuple[float, float, float]:
        return self.x, self.y, self.z


def check_holes(opened: Opened) -> Iterator[str]:
    mates, worst = 0, 0.0
    for joint in opened.pack.joints:
        sides = [_bored(opened, joint, b) for b in joint.boards]
        clear = sum(opened.boards[b].clear_mm for b in joint.boards if b in opened.boards)
        for one, two, other in (
            (sides[0], sides[1], joint.boards[1]),
            (sides[1], sides[0], joint.boards[0]),
        ):
            for bored in one:
                mates += 1
                worst = max(worst, _mate(opened, joint, bored, two, other, clear))
        _fixings(opened, joint, sides)
        if not sides[0] and not sides[1]:
            why = opened.own_fault(joint.id, "JOINT", "WIRE")
            opened.fault("BW-VERIFY-040", f"joint {joint.id} has no hole at all", item=joint.id, why=why)
    for board in opened.pack.boards:
        for end in board.ends:  # that mates with the next module: drilled as its own fixings have it
            side = _bored(opened, end, board.id)
            _fixings(opened, end, [side, side])
    wires = _wire_holes(opened)
    joints, fixings = many(len(opened.pack.joints), "joint"), many(len(opened.pack.fixings), "fixing")
    yield (
        f"{many(mates, 'hole')} of {joints} with mates in the next board, the worst {worst:.4f} mm off; "
        f"{fixings} and {many(wires, 'wire hole')} drilled where they are wanted."
    )


def _bored(opened: Opened, joint: Joint, board_id: str) -> list[Bored]:
    board = opened.boards.get(board_id)
    if board is None:
        opened.fault("BW-VERIFY-040", f"joint {joint.id} names the board {board_id}, which there is not")
        return []
    found = []
    for part in board.parts:
        for hole in part.holes:
            if hole.joint == joint.id and (seen := as_drawn(opened, part, hole)):
                x, y, diameter = seen
                found.append(Bored(part, hole, *shapes.in_plan(board, part, x, y), diameter))
    return found


def as_drawn(opened: Opened, part: Part, hole: Hole) -> tuple[float, float, float] | None:
    """A hole as its part's drawing has it: the nearest circle; none near: None (told there)."""
    drawn = opened.part_drawing(part)
    near = [
        (math.dist((c.x_mm, c.y_mm), (hole.x_mm, hole.y_mm)), c)
        for c in (drawn.circles if drawn else ())
        if c.layer in BORED
    ]
    away, circle = min(near, key=lambda n: n[0], default=(math.inf, None))
    if circle is None or away > ONE_PLACE_MM:
        return None
    return circle.x_mm, circle.y_mm, circle.diameter_mm


def _mate(opened: Opened, joint: Joint, bored: Bored, others: list[Bored], other: str, clear: float) -> float:
    said = f"joint {joint.id}: the {bored.hole.kind} hole in {bored.part.id}"
    same = [o for o in others if o.hole.kind == bored.hole.kind]
    mate = min(same, key=lambda o: abs(math.dist(o.at, bored.at) - clear), default=None)
    away = abs(math.dist(mate.at, bored.at) - clear) if mate else math.inf
    if mate is None or away > ONE_PLACE_MM:
        opened.fault(
            "BW-VERIFY-040",
            f"{said} has no mate in board {other}",
            board=bored.part.board,
            item=f"{joint.id}, {bored.part.id}",
        )
        return 0.0
    away = max(away, math.dist(_on_face(joint, bored), _on_face(joint, mate)))
    if away > MATES_MM:
        opened.fault(
            "BW-VERIFY-041",
            f"{said} and its mate in {mate.part.id} do not meet: they are {away:.3f} mm apart",
            board=bored.part.board,
            item=f"{joint.id}, {bored.part.id}, {mate.part.id}",
        )
    if abs(mate.diameter - bored.diameter) > 1e-3:
        opened.fault(
            "BW-VERIFY-042",
            f"{said} is {bored.diameter:g} mm wide, its mate in {mate.part.id} {mate.diameter:g} mm",
            board=bored.part.board,
            item=f"{joint.id}, {bored.part.id}, {mate.part.id}",
        )
    return away


def _on_face(joint: Joint, bored: Bored) -> tuple[float, float]:
    """Along the joint's line, and height: a lift-out's gap does not count."""
    (x, y), (u, v) = joint.start, joint.end
    length = math.dist((x, y), (u, v)) or 1.0
    return ((bored.x - x) * (u - x) + (bored.y - y) * (v - y)) / length, bored.z


def _fixings(opened: Opened, joint: Joint, sides: list[list[Bored]]) -> None:
    for fixing in opened.pack.fixings:
        if fixing.joint != joint.id or not fixing.hole_diameter_mm:
            continue
        for id_, side in zip(joint.boards, sides, strict=True):
            board = opened.boards.get(id_)
            if board is None:
                continue
            first = opened.boards.get(joint.boards[0], board)
            wanted = (fixing.x_mm, fixing.y_mm, first.level_mm + fixing.z_mm)
            same = [b for b in side if b.hole.kind == fixing.kind]
            away = min((abs(math.dist(b.at, wanted) - board.clear_mm) for b in same), default=math.inf)
            if away > MATES_MM:
                opened.fault(
                    "BW-VERIFY-043",
                    f"joint {joint.id}: board {id_} has no hole where {fixing.kind} {fixing.id} goes"
                    + (f", the nearest is {away:.2f} mm off" if away < ONE_PLACE_MM else ""),
                    board=id_,
                    item=f"{joint.id}, {fixing.id}",
                )


def _wire_holes(opened: Opened) -> int:
    counted = 0
    for board in opened.pack.boards:
        members = {m.id: m for m in board.frame.members}
        for wire in board.wire_holes:
            counted += 1
            member = members.get(wire.member)
            lengths = [p for p in board.parts if wire.member in (p.id, p.of)]
            bottom = member.top_mm - member.depth_mm if member else 0.0
            wanted = (wire.along_mm, wire.z_mm - bottom)
            fits = [
                h
                for p in lengths
                for h in p.holes
                if h.kind == "wire"
                and math.dist((h.x_mm + p.from_mm, h.y_mm), wanted) <= SIZE_MM
                and abs(h.diameter_mm - wire.diameter_mm) < 1e-3
            ]
            if not fits:
                opened.fault(
                    "BW-VERIFY-044",
                    f"board {board.id}: {wire.member} is not drilled where a wire goes through it, "
                    f"{wire.along_mm:.1f} mm along, {-wire.z_mm:.1f} mm below the deck",
                    board=board.id,
                    item=wire.member,
                )
    return counted
