"""Mating members: which strips of two boards meet face to face on a joint, and where both are clear.

Glossary
    mating member   a member whose outer face lies on the joint line: an end, or a side that another board
                    is bolted to
    joint axes      t along the joint line from its start; s square to it, growing into the board looked at
                    from its own edge: a lift-out's stands back from the line
    room            the space behind the inner face that a nut, a hand or a wire needs

Behind a mating member stand joists, corner members and the bodies of devices.

What this does not know: legs, rails, and how deep a device reaches (its body is taken to fill the depth).
"""

from __future__ import annotations

import math

import msgspec

from boardwright.plan.model import Device, Point
from boardwright_timber.model import Board, Frame, Joint, Joists, Member

from ..framing.on_deck import hung
from .settings import Bore
from .spans import Span, Spans, common, shrunk, union, without

ON_LINE_MM = 0.05  # an outer face this near the joint line stands on it


class Half(msgspec.Struct, frozen=True):
    """One board's side of a joint."""

    board: Board
    frame: Frame
    joists: Joists
    devices: tuple[Device, ...] = ()

    @property
    def hanging(self) -> tuple[Device, ...]:
        """Devices with their depth below the board's level."""
        return hung(self.board, self.frame, self.devices)

    @property
    def members(self) -> tuple[Member, ...]:
        return (*self.frame.members, *self.joists.members)


class Thing(msgspec.Struct, frozen=True):
    """What stands behind an end: where along the joint, and between which heights."""

    name: str
    span: Span
    bottom_mm: float
    top_mm: float


class Mate(msgspec.Struct, frozen=True):
    """A mating member, where its two faces lie on the joint, and what stands behind it there.

    ``things`` stand there: members of the board, named by their role and id, devices by kind and id.
    """

    member: Member
    face: Span
    blocked: Spans
    things: tuple[Thing, ...] = ()

    @property
    def behind(self) -> tuple[str, ...]:
        """Names of what stands behind this very member."""
        return tuple(t.name for t in self.things if t.span[0] < self.face[1] and t.span[1] > self.face[0])

    def clear(self, bore: Bore) -> Spans:
        room = bore.room_mm / 2
        held = shrunk((self.face,), bore.end_margin_mm)
        return without(held, ((a - room, b + room) for a, b in self.blocked))


def to_joint(joint: Joint, half: Half, p: Point) -> Point:
    """Local point of a board → (t, s)."""
    return plan_to_joint(joint, half, half.board.to_plan(p))


def plan_to_joint(joint: Joint, half: Half, p: Point) -> Point:
    """Plan point → (t, s)."""
    x, y = p
    length = joint.length_mm
    ux, uy = (joint.end[0] - joint.start[0]) / length, (joint.end[1] - joint.start[1]) / length
    dx, dy = x - joint.start[0], y - joint.start[1]
    left = ux * dy - uy * dx
    into = left if half.board.id == joint.boards[0] else -left
    return (ux * dx + uy * dy, into - half.board.clear_mm)


def point_on(joint: Joint, t_mm: float) -> Point:
    """The plan point at ``t_mm`` along the joint, stored to 1e-6 mm."""
    f = t_mm / joint.length_mm
    return (
        round(joint.start[0] + f * (joint.end[0] - joint.start[0]), 6),
        round(joint.start[1] + f * (joint.end[1] - joint.start[1]), 6),
    )


def mates(joint: Joint, half: Half, reach_mm: float) -> tuple[Mate, ...]:
    """The mating members of one board, in order along the joint."""
    found = []
    for member in half.frame.members:
        outer = [to_joint(joint, half, p) for p in (member.outer_start, member.outer_end)]
        inner = [to_joint(joint, half, p) for p in (member.inner_start, member.inner_end)]
        if any(abs(s) > ON_LINE_MM for _, s in outer) or inner[0][1] <= 0:
            continue
        low = max(min(t for t, _ in outer), min(t for t, _ in inner))
        high = min(max(t for t, _ in outer), max(t for t, _ in inner))
        if min(high, joint.length_mm) <= max(low, 0.0):
            continue
        behind = (member.thickness_mm, member.thickness_mm + reach_mm)
        standing = _standing(joint, half, member, behind)
        found.append(Mate(member, (low, high), union(thing.span for thing in standing), standing))
    return tuple(sorted(found, key=lambda m: (m.face, m.member.id)))


def clear_for(ours: tuple[Mate, ...], theirs: tuple[Mate, ...], bore: Bore) -> Spans:
    """Where a hole may go so that it is legal in both boards."""
    return common(
        union(s for m in ours for s in m.clear(bore)), union(s for m in theirs for s in m.clear(bore))
    )


def mating_stretch(ours: tuple[Mate, ...], theirs: tuple[Mate, ...]) -> Span | None:
    """From the first to the last point where members of both boards face each other; None: nowhere."""
    met = common(union(m.face for m in ours), union(m.face for m in theirs))
    return (met[0][0], met[-1][1]) if met else None


def mate_at(found: tuple[Mate, ...], t_mm: float) -> Mate:
    """The mating member that a hole at ``t_mm`` goes through."""
    return min(found, key=lambda m: (max(m.face[0] - t_mm, t_mm - m.face[1], 0.0), m.member.id))


def _standing(joint: Joint, half: Half, member: Member, behind: Span) -> tuple[Thing, ...]:
    """What stands behind a member, and where along the joint."""
    shapes = [
        (f"{m.role.value} {m.id}", [to_joint(joint, half, p) for p in m.outline], m.bottom_mm, m.top_mm)
        for m in half.members
        if m is not member
    ]
    shapes += [
        (
            f"{d.kind.replace('_', ' ')} {d.id}",
            [plan_to_joint(joint, half, p) for p in d.footprint()],
            -d.depth_mm,
            0.0,
        )
        for d in half.hanging
    ]
    things = []
    for name, corners, bottom, top in shapes:
        ts = [t for t, _ in between(corners, behind[0] + 0.01, behind[1])]
        if ts:
            things.append(Thing(name, (min(ts), max(ts)), bottom, top))
    return tuple(things)


def between(corners: list[Point], low: float, high: float) -> list[Point]:
    """Corners of a convex shape cut to low ≤ s ≤ high."""
    for sign, limit in ((1.0, low), (-1.0, -high)):
        kept: list[Point] = []
        for (t0, s0), (t1, s1) in zip(corners, corners[1:] + corners[:1], strict=True):
            d0, d1 = sign * s0 - limit, sign * s1 - limit
            if d0 >= 0:
                kept.append((t0, s0))
            if d0 * d1 < 0:
                f = d0 / (d0 - d1)
                kept.append((t0 + f * (t1 - t0), s0 + f * (s1 - s0)))
        corners = kept
        if not corners:
            return []
    return corners


def band_of(joint: Joint, ours: tuple[Mate, ...], theirs: tuple[Mate, ...]) -> Span:
    """Top and bottom of what both sides have at one height, from the first board's deck; top below bottom:
    they have none."""
    sides = ((ours, 0.0), (theirs, joint.drop_mm))
    top = min(m.member.top_mm - drop for side, drop in sides for m in side)
    bottom = max(m.member.bottom_mm - drop for side, drop in sides for m in side)
    return top, bottom


def depth_of(found: tuple[Mate, ...]) -> float:
    return min((m.member.depth_mm for m in found), default=math.inf)
