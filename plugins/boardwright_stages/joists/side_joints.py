"""A joint on a side of a board, and which of its holes joists behind it would spoil.

Claim: holes are put where the joint and wiring stages put them, as far as frames and this board's devices
decide; a hole is spoilt when it has a place while no joist is there, and none with the joists asked about.

What this does not know: joists and devices behind the joint in the neighbour; spanners and hands.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from boardwright_timber.model import Board, Frame, Joint, Joists

from ..joints.bores import bolt_bore, dowel_bore
from ..joints.mating import Half, between, mates, mating_stretch, to_joint
from ..joints.pattern import choose, fixed
from ..joints.settings import Bore, JointSettings
from ..joints.spans import Span, Spans, common, union, without
from ..wiring.settings import WiringSettings

ALONG_DEG = 45.0  # a joint nearer to the board's own length than this lies on a side of it
WIRE_ROOM_MM = 10.0  # air round a wire hole, as the wiring asks for
WIRE_DEPTH_MM = 20.0  # behind the member, as the wiring asks for
FAR_MM = 1e5  # beyond any board


def on_sides(board: Board) -> list[Joint]:
    least = math.cos(math.radians(ALONG_DEG))
    return [
        j
        for j in board.joints
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
    ) -> None:
        self.joint, self.half, self.joints, self.wiring = joint, half, joints, wiring
        self.thickness_mm = thickness_mm
        self._at_nought: dict[float, tuple[float, float, float]] = {}
        self.fixed_in = mates(joint, half, joints.reach_mm)
        self.wired_in = mates(joint, half, WIRE_DEPTH_MM)
        self.fixed_to = mates(joint, other, joints.reach_mm) if other else ()
        self.wired_to = mates(joint, other, WIRE_DEPTH_MM) if other else ()
        met = mating_stretch(self.fixed_in, self.fixed_to) or (0.0, joint.length_mm)
        self.middle = (met[0] + met[1]) / 2
        self.bolt, self.dowel = bolt_bore(joints), dowel_bore(joints)
        depth = min((m.member.depth_mm for m in self.fixed_in), default=0.0)
        d = min(wiring.hole_diameter_mm, depth / 4)
        self.wire = Bore(diameter_mm=d, room_mm=d + 2 * WIRE_ROOM_MM, end_margin_mm=1.5 * d, edge_margin_mm=d)
        self.bare = self._made(())

    def behind(self, x: float) -> bool:
        """Whether a joist at x stands behind the joint."""
        return bool(self._spans(x, self.joints.reach_mm))

    def spoilt(self, *joists: float) -> int:
        """How many holes joists at these places spoil together."""
        there = [x for x in joists if self.behind(x)]
        if not there or not self._met(there):
            return 0
        return sum(
            max(0, b - g) for b, g in zip(map(len, self.bare), map(len, self._made(there)), strict=True)
        )

    def _met(self, joists: Sequence[float]) -> bool:
        """Whether any stands in the way of a hole where it is made when there is none."""
        return any(
            low - bore.room_mm / 2 < t < high + bore.room_mm / 2
            for places, bore, deep in zip(self.bare, self._bores, self._deep, strict=True)
            for x in joists
            for low, high in self._spans(x, deep)
            for t in places
        )

    @property
    def _bores(self) -> tuple[Bore, Bore, Bore]:
        return self.bolt, self.dowel, self.wire

    @property
    def _deep(self) -> tuple[float, float, float]:
        return self.joints.reach_mm, self.joints.reach_mm, WIRE_DEPTH_MM

    def _spans(self, x: float, deep_mm: float) -> Spans:
        """Where along the joint a joist at x stands, behind its member: in proportion to x."""
        if deep_mm not in self._at_nought:
            (low, high), (other, _) = (self._strip(at, deep_mm) for at in (0.0, 1.0))
            self._at_nought[deep_mm] = (low, high, other - low)
        low, high, by = self._at_nought[deep_mm]
        span = (low + by * x, high + by * x)
        return (span,) if span[1] > 0 and span[0] < self.joint.length_mm else ()

    def _strip(self, x: float, deep_mm: float) -> Span:
        half, thick = self.thickness_mm / 2, min((m.member.thickness_mm for m in self.fixed_in), default=0.0)
        corners = [
            to_joint(self.joint, self.half, (x + side * half, y))
            for side, y in ((-1, -FAR_MM), (1, -FAR_MM), (1, FAR_MM), (-1, FAR_MM))
        ]
        ts = [t for t, _ in between(corners, thick + 0.01, thick + deep_mm)]
        return min(ts), max(ts)

    def _made(self, joists: Sequence[float]) -> tuple[tuple[float, ...], ...]:
        """Places of bolts, dowels and one wire hole, made as the joints make them."""
        how, middle = self.joints, self.middle
        bolts = self._placed(joists, 0, how.bolts_at_mm, how.bolts_per_joint, ())
        gap = how.spacing_mm
        dowels = self._placed(
            joists, 1, how.dowels_at_mm, how.dowels_per_joint, [(t - gap, t + gap) for t in bolts]
        )
        k, d = self.wiring.fixing_gap_diameters, self.wire.diameter_mm
        taken = [
            (t - k * (d + bore.diameter_mm), t + k * (d + bore.diameter_mm))
            for places, bore in ((bolts, self.bolt), (dowels, self.dowel))
            for t in places
        ]
        allowed = without(self._clear(joists, 2), taken)
        if self.wiring.joint_holes_at_mm:
            wires = fixed(allowed, middle, self.wiring.joint_holes_at_mm)[0].at_mm
        else:
            wires = choose(allowed, middle, min(1, self.wiring.holes_per_joint), 3 * d, "innermost").at_mm
        return bolts, dowels, wires

    def _placed(
        self,
        joists: Sequence[float],
        which: int,
        at_mm: tuple[float, ...],
        count: int,
        taken: Sequence[tuple[float, float]],
    ) -> tuple[float, ...]:
        clear, middle = self._clear(joists, which), self.middle
        if at_mm:
            return fixed(clear, middle, at_mm)[0].at_mm
        return choose(without(clear, taken), middle, count, self.joints.spacing_mm, "spread").at_mm

    def _clear(self, joists: Sequence[float], which: int) -> Spans:
        bore, deep = self._bores[which], self._deep[which]
        side, other = (self.wired_in, self.wired_to) if which == 2 else (self.fixed_in, self.fixed_to)
        room = bore.room_mm / 2
        stand = [(a - room, b + room) for x in joists for a, b in self._spans(x, deep)]
        outer = self.joints.corner_mm + max(bore.end_margin_mm, room)
        theirs = union(s for m in other for s in m.clear(bore)) or ((outer, self.joint.length_mm - outer),)
        return without(common(union(s for m in side for s in m.clear(bore)), theirs), stand)


def side_joints(
    half: Half,
    beside: Mapping[str, Board],
    frames: Mapping[str, Frame],
    joints: JointSettings,
    wiring: WiringSettings,
    thickness_mm: float,
) -> tuple[SideJoint, ...]:
    """``half``: this board without joists; ``beside`` and ``frames``: its neighbours, as far as known."""
    found = []
    for joint in on_sides(half.board):
        name = next(b for b in joint.boards if b != half.board.id)
        other = (
            Half(beside[name], frames[name], no_joists(name)) if name in beside and name in frames else None
        )
        found.append(SideJoint(joint, half, other, joints, wiring, thickness_mm))
    return tuple(found)


def no_joists(board: str) -> Joists:
    """No joists at all."""
    return Joists(board=board, spacing_mm=0.0, limit_mm=0.0)
