"""Frame and its members, placed in a board's local axes."""

from __future__ import annotations

import math
from enum import StrEnum

import msgspec

from boardwright.plan.model import Point, Ring


class MemberRole(StrEnum):
    SIDE = "side"
    END = "end"  # stands on a joint line, mates with another board
    WELL_SIDE = "well side"
    JOIST = "joist"


class Member(msgspec.Struct, frozen=True, kw_only=True):
    """A straight strip on edge, between z = -depth_mm and z = 0.

    Its plan shape is a quadrilateral given by its two faces: the *outer* face from ``outer_start`` to
    ``outer_end`` and the *inner* face from ``inner_start`` to ``inner_end``, parallel, ``thickness_mm``
    apart, the inner one on the left of the direction of travel. Local coordinates.
    """

    id: str
    role: MemberRole
    outer_start: Point
    outer_end: Point
    inner_start: Point
    inner_end: Point
    thickness_mm: float
    depth_mm: float
    material: str

    @property
    def direction(self) -> Point:
        length = math.dist(self.outer_start, self.outer_end)
        return (
            (self.outer_end[0] - self.outer_start[0]) / length,
            (self.outer_end[1] - self.outer_start[1]) / length,
        )

    def along(self, p: Point) -> float:
        """Distance of a local point along the member, from its datum (the long point of its left end)."""
        return self._raw(p) - self._left

    def _raw(self, p: Point) -> float:
        d = self.direction
        return (p[0] - self.outer_start[0]) * d[0] + (p[1] - self.outer_start[1]) * d[1]

    @property
    def _left(self) -> float:
        return min(0.0, self._raw(self.inner_start))

    @property
    def length_mm(self) -> float:
        """Length from long point to long point: the strip that must be cut to get it."""
        return max(self._raw(self.outer_end), self._raw(self.inner_end)) - self._left

    @property
    def datum(self) -> Point:
        """Local point on the line of the outer face from which ``along`` measures."""
        d = self.direction
        return (self.outer_start[0] + d[0] * self._left, self.outer_start[1] + d[1] * self._left)

    @property
    def outline(self) -> Ring:
        """Plan shape, anticlockwise."""
        return (self.outer_start, self.outer_end, self.inner_end, self.inner_start)

    @property
    def left_bevel_deg(self) -> float:
        """Angle of the left end off square; positive when the outer face is the longer one."""
        return math.degrees(math.atan2(self._raw(self.inner_start), self.thickness_mm))

    @property
    def right_bevel_deg(self) -> float:
        """Angle of the right end off square; positive when the outer face is the longer one."""
        return math.degrees(
            math.atan2(self._raw(self.outer_end) - self._raw(self.inner_end), self.thickness_mm)
        )


class Diagonal(msgspec.Struct, frozen=True, kw_only=True):
    """A distance to measure between two outer corners of a frame, local coordinates."""

    start: Point
    end: Point
    length_mm: float


class Frame(msgspec.Struct, frozen=True, kw_only=True):
    """A board's frame in local coordinates.

    ``outer`` is the line of the outer faces (a straight-sided polygon inside the deck), ``inner`` the line
    of the inner faces; ``wells`` and ``inner_wells`` likewise round each well. ``members`` are sides and
    ends at first; the joist stage answers with joists of the same type. ``diagonals`` are what to measure to
    know that the frame is square.
    """

    board: str
    outer: Ring
    inner: Ring
    wells: tuple[Ring, ...] = ()
    inner_wells: tuple[Ring, ...] = ()
    members: tuple[Member, ...] = ()
    diagonals: tuple[Diagonal, ...] = ()


class Joists(msgspec.Struct, frozen=True, kw_only=True):
    """Joists of one board. ``spacing_mm`` is the largest distance between centres of support they leave."""

    board: str
    members: tuple[Member, ...] = ()
    spacing_mm: float
    limit_mm: float
