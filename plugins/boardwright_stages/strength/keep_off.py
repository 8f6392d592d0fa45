"""What legs keep off beside the wood of a board: devices, the bolts and dowels of joints, wire holes.

Claim: all that a leg could meet at the face where it runs up is in the answer, with the room that it wants:

    device      its keep-out, where it hangs lower than the leg's top
    bolt        ``joints.spanner_room_mm`` wide (its washer, nut or head), ``joints.reach_mm`` behind the end,
                all the way down: the spanner comes from below
    dowel       ``joints.dowel_room_mm`` wide and high, as far behind the end as a wire wants
    wire hole   HAND_ROOM_MM wider and higher than it is, BEHIND_MM on each side that a wire comes out of

A leg at a bolt's room stands 1 mm clear of it (``leg_room``), 16 mm from the bolt's middle at M8: a handle
150 mm long, half 6.5 wide, leans by asin((16 - 6.5) / 150) = 3.6° to that side. With the 26.5° that a corner
leaves on the other side (``joints.access``) it takes hold again after 30°.

Sources: the rooms are those that bolts, dowels and wires themselves are placed by; a handle of 150 mm is
common practice, no source.

What this does not know: that a hand must get to a bolt past a leg; wires and plugs between holes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import msgspec

from boardwright import stage
from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardWiring,
    Fixing,
    FixingKind,
    Frame,
    Joists,
    Member,
    WireHole,
)

from ..framing.on_deck import hung
from ..joints.bores import bolt_bore, dowel_bore
from ..joints.mating import ON_LINE_MM
from ..joints.settings import JointSettings
from ..wiring.holes import BEHIND_MM, HAND_ROOM_MM

JOINTS = JointSettings()


class Thing(msgspec.Struct, frozen=True, kw_only=True):
    """What a leg must not meet: its name in words, its plan shape in the board's axes, and how low it reaches
    (negative, from the deck's underside)."""

    name: str
    ring: Ring
    bottom_mm: float


class KeepOff(msgspec.Struct, frozen=True, kw_only=True):
    """All such things of one board."""

    things: tuple[Thing, ...] = ()


NOTHING = KeepOff()


@stage(each=True)
def keep_off(
    board: Board,
    board_plan: BoardPlan,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    wiring: BoardWiring,
    joints: JointSettings = JOINTS,
) -> KeepOff:
    """What the legs of one board keep off; nothing under a lift-out, which has none."""
    if board.lift_out:
        return NOTHING
    members = (*frame.members, *joists.members)
    by_name = {m.id: m for m in members}
    found = [
        Thing(
            name=f"{d.kind.replace('_', ' ')} {d.id}",
            ring=tuple(snap_point(board.to_local(p)) for p in d.keepout()),
            bottom_mm=-d.depth_mm,
        )
        for d in hung(board, frame, board_plan.devices)
        if d.depth_mm > 0
    ]
    found += [t for f in fixings.fixings for m in frame.members for t in _fixing(board, m, f, joints)]
    found += [t for hole in wiring.holes for t in _wire(by_name[hole.member], hole)]
    return KeepOff(things=tuple(found))


def named(member: Member) -> str:
    """Wood in words, among what a leg meets."""
    return f"{member.role.value} {member.id}"


def _fixing(board: Board, member: Member, fixing: Fixing, joints: JointSettings) -> Iterator[Thing]:
    """A bolt or dowel that goes through this member, behind its inner face."""
    if fixing.kind is FixingKind.CATCH:
        return
    at = board.to_local((fixing.x_mm, fixing.y_mm))
    (dx, dy), (x, y) = member.direction, member.outer_start
    along, off = dx * (at[0] - x) + dy * (at[1] - y), dx * (at[1] - y) - dy * (at[0] - x)
    if abs(abs(off) - board.clear_mm) > ON_LINE_MM or not 0 < along < math.dist((x, y), member.outer_end):
        return
    ends = {j.id: j for j in (*board.joints, *board.ends)}
    drop = ends[fixing.joint].drop_to(board.id) if fixing.joint in ends else 0.0
    bolt = fixing.kind is FixingKind.BOLT
    half = (bolt_bore if bolt else dowel_bore)(joints).room_mm / 2
    yield Thing(
        name=f"{fixing.kind.value} {fixing.id}",
        ring=_behind(member, member.along((x, y)) + along, half, joints.reach_mm if bolt else BEHIND_MM),
        bottom_mm=member.bottom_mm if bolt else round(fixing.z_mm + drop - half, 6),
    )


def _wire(member: Member, hole: WireHole) -> Iterator[Thing]:
    """Where a wire comes out of a hole: inside, and of a member within the board on both sides."""
    half = hole.diameter_mm / 2 + HAND_ROOM_MM
    name = f"wire hole {hole.along_mm:.0f} mm along {member.id}"
    bottom = round(hole.z_mm - half, 6)
    yield Thing(name=name, ring=_behind(member, hole.along_mm, half, BEHIND_MM), bottom_mm=bottom)
    if hole.joint is None:
        before = _behind(member, hole.along_mm, half, -BEHIND_MM)
        yield Thing(name=name, ring=before, bottom_mm=bottom)


def _behind(member: Member, along_mm: float, half_mm: float, reach_mm: float) -> Ring:
    """A rectangle at a member's inner face, or with a negative reach before its outer one."""
    (x, y), (ux, uy) = member.datum, member.direction
    near = member.thickness_mm if reach_mm > 0 else 0.0
    corners: Sequence[Point] = (
        (along_mm - half_mm, near),
        (along_mm + half_mm, near),
        (along_mm + half_mm, near + reach_mm),
        (along_mm - half_mm, near + reach_mm),
    )
    return tuple(snap_point((x + ux * a - uy * off, y + uy * a + ux * off)) for a, off in corners)
