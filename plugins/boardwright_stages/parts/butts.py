"""Butt joints of a frame: a square or skewed end of one strip standing against the face of another.

Glossary
    through   the member that runs on; the screws go in from its far face
    butting   the member whose end is screwed to
    skew      how far the butting member is off square to the through one, degrees

Ends that meet end to end (mitres) are not butts: they are glued and held by gussets.
"""

from __future__ import annotations

import math

import msgspec

from boardwright.plan.model import Point
from boardwright_timber.geometry import PARALLEL
from boardwright_timber.model import Member, MemberRole

TOUCH_MM = 0.05
NO_BUTT = frozenset(
    {MemberRole.RISER, MemberRole.FLANGE, MemberRole.FISHPLATE}
)  # screwed to a face, or glued on top


class Butt(msgspec.Struct, frozen=True, kw_only=True):
    """``at_end``: the butting member's right end (False: its left). ``through_mm``: where the screws' line
    leaves the head side of the through member, from its datum. ``head_outer``: heads on its outer face."""

    through: Member
    butting: Member
    at_end: bool
    through_mm: float
    head_outer: bool
    skew_deg: float

    @property
    def top_mm(self) -> float:
        """Top of the height both members share."""
        return min(self.through.top_mm, self.butting.top_mm)

    @property
    def depth_mm(self) -> float:
        """How deep that height is."""
        return self.top_mm - max(self.through.bottom_mm, self.butting.bottom_mm)

    @property
    def tilt_deg(self) -> float:
        """How far the drill leans towards +x of the through member on its way in."""
        return self.skew_deg if self.head_outer else -self.skew_deg


def butts(members: tuple[Member, ...]) -> tuple[Butt, ...]:
    """Every butt joint, in the order of the butting members."""
    members = tuple(m for m in members if m.role not in NO_BUTT)
    lying = [(m, m.direction) for m in members]
    found = (
        next(
            (
                butt
                for through, way in lying
                if through is not butting
                and through.meets_height(butting)
                and (butt := _butt(through, way, butting, at_end)) is not None
            ),
            None,
        )
        for butting in members
        for at_end in (False, True)
    )
    return tuple(butt for butt in found if butt is not None)


def _butt(through: Member, way: Point, butting: Member, at_end: bool) -> Butt | None:
    """``way``: the direction of the through member."""
    a, b = (butting.outer_end, butting.inner_end) if at_end else (butting.outer_start, butting.inner_start)
    (dx, dy), t = way, through.thickness_mm
    ox, oy = through.outer_start
    deep_a, deep_b = (dx * (y - oy) - dy * (x - ox) for x, y in (a, b))
    for face_at, start, end in (
        (t, through.inner_start, through.inner_end),
        (0.0, through.outer_start, through.outer_end),
    ):
        if max(abs(deep_a - face_at), abs(deep_b - face_at)) > TOUCH_MM:
            continue
        s0, s1 = through.along(start), through.along(end)
        p, q = sorted((through.along(a), through.along(b)))
        if p < s0 - TOUCH_MM or q > s1 + TOUCH_MM:
            continue
        bx, by = butting.direction
        across = dx * by - dy * bx
        if abs(across) <= PARALLEL:  # it lies along that face, and its end stands against nothing there
            continue
        slant = (bx * dx + by * dy) / across  # travel along through per mm across it
        far = 0.0 if face_at else t
        at = (p + q) / 2 + slant * (far - face_at)
        return Butt(
            through=through,
            butting=butting,
            at_end=at_end,
            through_mm=at,
            head_outer=far == 0.0,
            skew_deg=math.degrees(math.atan(slant)),
        )
    return None
