"""A joint on a side of a board, and which of its holes joists behind it would spoil. An end that mates with
the next module is such a joint, too, where it lies along the board: a module wider than it is long.

Claim: holes are put where the joint and wiring stages put them, as far as frames and this board's devices
decide; a hole is spoilt when it has a place while no joist is there, and none with the joists asked about.

What this does not know: joists and devices behind the joint in the neighbour; spanners and hands.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from boardwright_timber.model import Board, Frame, Joint, Joists

from ..joints.bores import bolt_bore, dowel_bore
from ..joints.facing import hand_of
from ..joints.mating import Half, between, mates, mating_stretch, to_joint
from ..joints.module_ends import EndProfile, Places
from ..joints.pattern import Choice, Pattern, choose, fixed
from ..joints.settings import Bore, JointSettings
from ..joints.spans import Span, Spans, common, union, without
from ..wiring.settings import WiringSettings

ALONG_DEG = 45.0  # a joint nearer to the board's own length than this lies on a side of it
WIRE_ROOM_MM = 10.0  # air round a wire hole, as the wiring asks for
WIRE_DEPTH_MM = 20.0  # behind the member, as the wiring asks for
FAR_MM = 1e5  # beyond any board


type Fixed = tuple[tuple[float, ...], int]
"""Places that are given, from a joint's middle, and how many there are to be where none is."""


def on_sides(board: Board) -> list[Joint]:
    """Joints with other boards and with the next module that lie along the board."""
    least = math.cos(math.radians(ALONG_DEG))
    return [
        j
        for j in (*board.joints, *board.ends)
        if abs(board.to_local(j.end)[0] - board.to_local(j.start)[0]) >= j.length_mm * least
    ]


class SideJoint:
    """A joint on a side of a board that has no joists yet, and how many of its holes joists would spoil."""

    def __init__(
        self,
        joint: Joint,
        half: Half,
        other: Half | None,
        joints: JointSettings,
        wiring: WiringSettings,
        thickness_mm: float,
        profile: EndProfile | None = None,
    ) -> None:
        """``profile``: what an end that mates with the next module is made to."""
        self.profile = profile
        self.joint, self.half, self.joints, self.wiring = joint, half, joints, wiring
        self.thickness_mm, self.length_mm = thickness_mm, joint.length_mm
        self._at_nought: dict[float, tuple[float, float, float]] = {}
        self.fixed_in = mates(joint, half, joints.reach_mm)
        self.wired_in = mates(joint, half, WIRE_DEPTH_MM)
        self.fixed_to = mates(joint, other, joints.reach_mm) if other else ()
        self.wired_to = mates(joint, other, WIRE_DEPTH_MM) if other else ()
        met = mating_stretch(self.fixed_in, self.fixed_to) or (0.0, self.length_mm)
        self.middle = (met[0] + met[1]) / 2
        self.bolt, self.dowel = bolt_bore(joints), dowel_bore(joints)
        depth = min((m.member.depth_mm for m in self.fixed_in), default=0.0)
        d = min(wiring.hole_diameter_mm, depth / 4)
        self.wire = Bore(diameter_mm=d, room_mm=d + 2 * WIRE_ROOM_MM, end_margin_mm=1.5 * d, edge_margin_mm=d)
        self.bores = self.bolt, self.dowel, self.wire
        self.deep = joints.reach_mm, joints.reach_mm, WIRE_DEPTH_MM
        self.free = tuple(self._free(which) for which in range(3))
        self.bare = self._made(())
        self.settled = tuple(
            bool(at_mm) or (p.mirrored and len(p.at_mm) == count)
            for p, (at_mm, count) in zip(self.bare, self._wanted, strict=True)
        )

    def behind(self, x: float) -> bool:
        """Whether a joist at x stands behind the joint."""
        return bool(self._spans(x, self.joints.reach_mm))

    def spoilt(self, *joists: float) -> int:
        """How many holes joists at these places spoil together."""
        there = [x for x in joists if self.behind(x)]
        if not there or not any(self._met(there, which) for which in range(3)):
            return 0
        made = self._made(there)
        return sum(max(0, len(b.at_mm) - len(g.at_mm)) for b, g in zip(self.bare, made, strict=True))

    def _met(self, joists: Sequence[float], which: int) -> bool:
        """Whether any stands in the way of a hole where it is made when there is none."""
        room, places = self.bores[which].room_mm / 2, self.bare[which].at_mm
        return any(
            low - room < t < high + room
            for x in joists
            for low, high in self._spans(x, self.deep[which])
            for t in places
        )

    def _spans(self, x: float, deep_mm: float) -> Spans:
        """Where along the joint a joist at x stands, behind its member: in proportion to x."""
        if deep_mm not in self._at_nought:
            (low, high), (other, _) = (self._strip(at, deep_mm) for at in (0.0, 1.0))
            self._at_nought[deep_mm] = (low, high, other - low)
        low, high, by = self._at_nought[deep_mm]
        span = (low + by * x, high + by * x)
        return (span,) if span[1] > 0 and span[0] < self.length_mm else ()

    def _strip(self, x: float, deep_mm: float) -> Span:
        half, thick = self.thickness_mm / 2, min((m.member.thickness_mm for m in self.fixed_in), default=0.0)
        corners = [
            to_joint(self.joint, self.half, (x + side * half, y))
            for side, y in ((-1, -FAR_MM), (1, -FAR_MM), (1, FAR_MM), (-1, FAR_MM))
        ]
        ts = [t for t, _ in between(corners, thick + 0.01, thick + deep_mm)]
        return min(ts), max(ts)

    @property
    def _wanted(self) -> tuple[Fixed, ...]:
        """Places that a rule fixes and how many there are to be, of bolts, dowels and the wire hole."""
        how, wiring, profile = self.joints, self.wiring, self.profile
        if profile and profile.bolts:
            return (
                self._given(profile.bolts, 0),
                self._given(profile.dowels, how.dowels_per_joint),
                self._given(profile.wires, min(1, wiring.holes_per_joint)),
            )
        return (
            (how.bolts_at_mm, how.bolts_per_joint),
            (how.dowels_at_mm, how.dowels_per_joint),
            (wiring.joint_holes_at_mm, min(1, wiring.holes_per_joint)),
        )

    def _given(self, places: Places | None, count: int) -> Fixed:
        """Places of a profile as they lie along this end; so many where it leaves them open."""
        if places is None:
            return (), count
        return tuple(sorted({hand_of(self.joint) * t for t, _ in places})), 0

    def _made(self, joists: Sequence[float]) -> tuple[Pattern, ...]:
        """Places of bolts, dowels and one wire hole, made as the joints make them.

        Those that are ``settled`` stay where they are without joists while none stands there: what else is
        taken from their room changes no choice, in pairs from the outermost or the innermost.
        """
        made: list[Pattern] = []
        for which, placed in enumerate((self._bolts, self._dowels, self._wire)):
            same = bool(joists) and self.settled[which] and made == list(self.bare[:which])
            stays = same and not self._met(joists, which)
            made.append(self.bare[which] if stays else placed(self._clear(joists, which), made))
        return tuple(made)

    def _bolts(self, clear: Spans, made: Sequence[Pattern]) -> Pattern:
        return self._placed(clear, 0, self.joints.spacing_mm, "spread")

    def _dowels(self, clear: Spans, made: Sequence[Pattern]) -> Pattern:
        gap = self.joints.spacing_mm
        if not self._wanted[1][0]:
            clear = without(clear, [(t - gap, t + gap) for t in made[0].at_mm])
        return self._placed(clear, 1, gap, "spread")

    def _wire(self, clear: Spans, made: Sequence[Pattern]) -> Pattern:
        k, d = self.wiring.fixing_gap_diameters, self.wire.diameter_mm
        taken = [
            (t - k * (d + bore.diameter_mm), t + k * (d + bore.diameter_mm))
            for pattern, bore in zip(made, self.bores, strict=False)
            for t in pattern.at_mm
        ]
        return self._placed(without(clear, taken), 2, 3 * d, "innermost")

    def _placed(self, allowed: Spans, which: int, spacing_mm: float, first: Choice) -> Pattern:
        at_mm, count = self._wanted[which]
        if at_mm:
            return fixed(allowed, self.middle, at_mm)[0]
        return choose(allowed, self.middle, count, spacing_mm, first)

    def _clear(self, joists: Sequence[float], which: int) -> Spans:
        room = self.bores[which].room_mm / 2
        stand = [(a - room, b + room) for x in joists for a, b in self._spans(x, self.deep[which])]
        return without(self.free[which], stand)

    def _free(self, which: int) -> Spans:
        """Where holes can be made while no joist is there."""
        bore = self.bores[which]
        side, other = (self.wired_in, self.wired_to) if which == 2 else (self.fixed_in, self.fixed_to)
        outer = self.joints.corner_mm + max(bore.end_margin_mm, bore.room_mm / 2)
        theirs = union(s for m in other for s in m.clear(bore)) or ((outer, self.length_mm - outer),)
        return common(union(s for m in side for s in m.clear(bore)), theirs)


def side_joints(
    half: Half,
    beside: Mapping[str, Board],
    frames: Mapping[str, Frame],
    joints: JointSettings,
    wiring: WiringSettings,
    thickness_mm: float,
    profile: EndProfile | None = None,
) -> tuple[SideJoint, ...]:
    """``half``: this board without joists; ``beside`` and ``frames``: its neighbours, as far as known;
    ``profile``: what the ends that mate with the next module are made to."""
    found = []
    for joint in on_sides(half.board):
        name = next((b for b in joint.boards if b != half.board.id), "")
        other = (
            Half(beside[name], frames[name], no_joists(name)) if name in beside and name in frames else None
        )
        own = None if name else profile
        found.append(SideJoint(joint, half, other, joints, wiring, thickness_mm, own))
    return tuple(found)


def no_joists(board: str) -> Joists:
    """No joists at all."""
    return Joists(board=board, spacing_mm=0.0, limit_mm=0.0)
