"""Holes that wires pass through."""

from __future__ import annotations

import msgspec


class WireHole(msgspec.Struct, frozen=True, kw_only=True):
    """A wire hole through one member.

    ``member`` is the member's id, ``along_mm`` measured from the member's datum, ``z_mm`` (negative) down
    from the deck's underside. ``joint`` names the joint when the hole meets one in the next board;
    (x_mm, y_mm) is the point on the member's outer face in plan coordinates.
    """

    member: str
    along_mm: float
    z_mm: float
    x_mm: float
    y_mm: float
    diameter_mm: float
    joint: str | None = None


class BoardWiring(msgspec.Struct, frozen=True, kw_only=True):
    """Wire holes of one board. ``unreached`` lists own devices no wire can get to from the board's joints."""

    board: str
    holes: tuple[WireHole, ...] = ()
    unreached: tuple[str, ...] = ()


class JointDemand(msgspec.Struct, frozen=True, kw_only=True):
    """What wires will cross a joint: cores, and the sum of the squares of their outer diameters."""

    joint: str
    cores: int
    squares_mm2: float


class Stretch(msgspec.Struct, frozen=True, kw_only=True):
    """Wires that will lie from one place along a board (its own x axis) to another: what a joist between the
    two must let through."""

    from_mm: float
    to_mm: float
    cores: int
    squares_mm2: float


class BoardDemand(msgspec.Struct, frozen=True, kw_only=True):
    """Demand of one board: of its joints, and along it."""

    board: str
    joints: tuple[JointDemand, ...] = ()
    stretches: tuple[Stretch, ...] = ()

    def at(self, joint: str) -> JointDemand | None:
        return next((d for d in self.joints if d.joint == joint), None)

    def across(self, x_mm: float) -> JointDemand | None:
        """All that lies over a place along the board; None: nothing does."""
        over = [s for s in self.stretches if s.from_mm < x_mm < s.to_mm]
        if not over:
            return None
        return JointDemand(
            joint="",
            cores=sum(s.cores for s in over),
            squares_mm2=round(sum(s.squares_mm2 for s in over), 6),
        )
