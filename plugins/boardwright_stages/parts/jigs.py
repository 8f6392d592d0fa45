"""Drill jigs: one template a joint that drills both of its ends.

Claim: laid on the first board's end with its drawn face outwards, its datum corner at the joint's start and
its top edge flush with the frame's, a jig's holes are where that end's are; turned over, with the same corner
at the same place, they are where the second board's are. For the faces of two ends look at each other: what
is left for one is right for the other.

Glossary
    datum corner   top left of the drawn face: the joint's start, at the top of the frame

What this does not know: bushes. Drill through wood wears it: mind the holes after some boards.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec

from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardWiring,
    Fixing,
    FixingKind,
    Frame,
    Grain,
    Hole,
    HoleKind,
    Joint,
    Joists,
    Mark,
    MarkKind,
    Member,
    Part,
    Placement,
)
from boardwright_timber.reference import density_kg_m3

from ..joints.mating import Half, Mate, mates, plan_to_joint
from .members import KG_PER_MM3

ARROW_MM = 25.0


class Drilled(msgspec.Struct, frozen=True):
    """A board with what is drilled through its joints."""

    board: Board
    frame: Frame
    joists: Joists
    fixings: BoardFixings
    wiring: BoardWiring
    first_end: str = ""


def jigs(own: Drilled) -> Iterator[Part]:
    """A jig for every joint that this board is the first of, but for those drilled like one before."""
    seen: set[tuple[float, float, tuple[tuple[str, float, float, float], ...]]] = set()
    half = Half(own.board, own.frame, own.joists)
    for joint in (*own.board.joints, *own.board.ends):
        again = joint in own.board.ends and joint.id != own.first_end  # one pattern for all ends
        if joint.boards[0] != own.board.id or again:
            continue
        found = mates(joint, half, 0.0)
        part = _jig(own, joint, half, found) if found else None
        if part is None:
            continue
        alike = tuple((h.kind.value, h.x_mm, h.y_mm, h.diameter_mm) for h in part.holes)
        if (part.length_mm, part.width_mm, alike) not in seen:
            seen.add((part.length_mm, part.width_mm, alike))
            yield part


def _jig(own: Drilled, joint: Joint, half: Half, found: Sequence[Mate]) -> Part | None:
    depth = min(m.member.depth_mm for m in found)
    member = found[0].member
    length = round(joint.length_mm, 6)
    holes = [
        Hole(
            kind=HoleKind.BOLT if f.kind is FixingKind.BOLT else HoleKind.DOWEL,
            x_mm=f.along_mm,
            y_mm=round(depth + f.z_mm, 6),
            diameter_mm=f.hole_diameter_mm,
            note=f.id,
        )
        for f in _through(own.fixings.fixings, joint)
    ]
    for wire in own.wiring.holes:
        if wire.joint == joint.id:
            along = plan_to_joint(joint, half, (wire.x_mm, wire.y_mm))[0]
            holes.append(
                Hole(
                    kind=HoleKind.WIRE,
                    x_mm=round(along, 6),
                    y_mm=round(depth + wire.z_mm, 6),
                    diameter_mm=wire.diameter_mm,
                    note="wires",
                )
            )
    if not holes:
        return None
    drilled = tuple(sorted(holes, key=lambda h: (h.x_mm, h.y_mm, h.kind)))
    area = length * depth - sum(h.area_mm2 for h in drilled)
    material, thick = _wood(member)
    one, other = joint.boards
    where = f"this face out on {one}, turned over on {other}; top left corner at the joint's start"
    if one == other:
        where = "this face out on ends that face right, turned over on others; top left corner at their start"
    return Part(
        id=f"{joint.id}-JIG",
        board=own.board.id,
        role="drill jig",
        label=f"{joint.id}-JIG: {where}"
        + (
            f", top edge {joint.drop_mm:g} mm above that of {other}" if joint.drop_mm else ", top edges flush"
        ),
        material=material,
        thickness_mm=thick,
        length_mm=length,
        width_mm=depth,
        grain=Grain.FREE,
        ring=((0.0, 0.0), (length, 0.0), (length, depth), (0.0, depth)),
        holes=drilled,
        marks=(
            Mark(
                kind=MarkKind.MEMBER,
                points=((0.0, depth - min(ARROW_MM, depth / 3)), (min(ARROW_MM, length / 3), depth)),
                text="datum",
            ),
        ),
        area_mm2=round(area, 3),
        mass_kg=round(area * thick * density_kg_m3(material, thick) * KG_PER_MM3, 6),
        placement=Placement(x_mm=0.0, y_mm=0.0, z_mm=0.0, angle_deg=0.0, stands=False),
    )


def _wood(member: Member) -> tuple[str, float]:
    """What a jig is made of: as the end, or as the blocks of a hollow one: no sheet is as thick as that."""
    if member.sandwich is None:
        return member.material, member.thickness_mm
    return member.sandwich.block_material, round(member.thickness_mm - 2 * member.sandwich.skin_mm, 6)


def _through(fixings: Sequence[Fixing], joint: Joint) -> list[Fixing]:
    return [f for f in fixings if f.joint == joint.id and f.hole_diameter_mm > 0]
