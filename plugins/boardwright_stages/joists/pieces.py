"""The joists one strip across the board gives: its pieces between the faces they stand against.

Glossary
    strip     everything between x - t/2 and x + t/2, t the joist's thickness
    piece     a stretch of the strip inside the region: one joist; wells and inward corners give several
    straddle  a corner of the region under the end of a piece: that end is cut square, at the nearer face
"""

from __future__ import annotations

import math

import msgspec

from boardwright_timber.geometry import snap_point
from boardwright_timber.model import Member, MemberRole

from .region import Region, RegionEdge

CORNER_MM = 1e-6  # a corner this near a face of the strip is no straddle


class Piece(msgspec.Struct, frozen=True):
    """Heights of a joist's ends on its left and right face; ``straddles`` counts ends cut square."""

    x: float
    left: tuple[float, float]
    right: tuple[float, float]
    straddles: int

    @property
    def shortest_mm(self) -> float:
        return min(self.left[1] - self.left[0], self.right[1] - self.right[0])

    @property
    def longest_mm(self) -> float:
        return max(self.left[1] - self.left[0], self.right[1] - self.right[0])

    def bevels_deg(self, thickness_mm: float) -> tuple[float, float]:
        """How far off square the lower and the upper end are cut."""
        if self.left == self.right:
            return (0.0, 0.0)
        low, high = (abs(self.left[i] - self.right[i]) / thickness_mm for i in (0, 1))
        return (math.degrees(math.atan(low)), math.degrees(math.atan(high)))

    def member(self, name: str, like: Member) -> Member:
        """The joist, travelling up the board: its outer face is the right one."""
        half = like.thickness_mm / 2
        return Member(
            id=name,
            role=MemberRole.JOIST,
            outer_start=snap_point((self.x + half, self.right[0])),
            outer_end=snap_point((self.x + half, self.right[1])),
            inner_start=snap_point((self.x - half, self.left[0])),
            inner_end=snap_point((self.x - half, self.left[1])),
            thickness_mm=like.thickness_mm,
            depth_mm=like.depth_mm,
            material=like.material,
            top_mm=like.top_mm,
        )


def pieces_at(region: Region, x: float, thickness_mm: float) -> list[Piece]:
    """The pieces of the strip at x, from below upwards. Empty where a section changes within the strip."""
    low_x, high_x = x - thickness_mm / 2, x + thickness_mm / 2
    left = region.section(low_x, from_left=False)
    right = region.section(high_x, from_left=True)
    if len(left) != len(right):
        return []
    found = []
    for (left_low, left_high), (right_low, right_high) in zip(left, right, strict=True):
        lows, low_cut = _end(region, left_low, right_low, low_x, high_x, upper=False)
        highs, high_cut = _end(region, left_high, right_high, low_x, high_x, upper=True)
        piece = Piece(x, (lows[0], highs[0]), (lows[1], highs[1]), low_cut + high_cut)
        if piece.shortest_mm <= 0:
            return []
        found.append(piece)
    return found


def _end(
    region: Region, left: RegionEdge, right: RegionEdge, low_x: float, high_x: float, *, upper: bool
) -> tuple[tuple[float, float], int]:
    """Heights of one end on both faces, and 1 when it straddles a corner."""
    at = (left.y_at(low_x), right.y_at(high_x))
    if left is right:
        return at, 0
    nearest = min if upper else max
    between = [
        p[1] for e in (left, right) for p in (e.a, e.b) if low_x + CORNER_MM < p[0] < high_x - CORNER_MM
    ]
    if not between:
        return at, 0
    square = nearest(*at, *between)
    return (square, square), 1
