"""What holds two boards together and puts them in line."""

from __future__ import annotations

from enum import StrEnum

import msgspec

from boardwright.plan.model import Point, Ring


class FixingKind(StrEnum):
    BOLT = "bolt"
    DOWEL = "dowel"
    CATCH = "catch"  # on the flush outer faces of two sides, screwed on: no hole goes through


class Fixing(msgspec.Struct, frozen=True, kw_only=True):
    """A bolt or dowel through both ends of a joint, or a catch across its end.

    ``along_mm`` is measured on the joint line from its start, ``z_mm`` (negative) down from the deck's
    underside of the joint's first board; (x_mm, y_mm) is the same point in plan coordinates. ``grip_mm`` is
    the wood it goes through.
    ``fastener`` and ``nut`` say what kind of bolt it is, ``length_mm`` which length is bought (0: none is
    long enough, or no bolt); a catch has no hole (``hole_diameter_mm`` 0).
    ``grade`` is a bolt's property class (ISO 898-1).
    """

    id: str
    joint: str
    kind: FixingKind
    size: str
    along_mm: float
    x_mm: float
    y_mm: float
    z_mm: float
    hole_diameter_mm: float
    grip_mm: float
    fastener: str = ""
    nut: str = ""
    length_mm: float = 0.0
    grade: str = ""

    @property
    def called(self) -> str:
        """As it is bought: M8 × 40."""
        return f"{self.size} × {self.length_mm:g}" if self.length_mm else self.size


class RailStrip(msgspec.Struct, frozen=True, kw_only=True):
    """Where one board holds the rails of a track at a joint: a strip as wide as the sleepers, in plan
    coordinates, ``along_mm`` from the joint's start."""

    joint: str
    track: str
    along_mm: float
    ring: Ring


class WallAnchor(msgspec.Struct, frozen=True, kw_only=True):
    """A screw through a wall batten into the wall, and its plug ("": none).

    ``along_mm`` lies along the board's batten number ``batten``, from its start; (x_mm, y_mm) is the same
    point in plan coordinates, ``z_mm`` (negative) down from the deck's underside. Sizes: diameter x length.
    """

    id: str
    batten: int
    along_mm: float
    x_mm: float
    y_mm: float
    z_mm: float
    screw: str
    plug: str


class BoardFixings(msgspec.Struct, frozen=True, kw_only=True):
    """Fixings of all joints of one board (both boards of a joint hold the same ones), where its rails are
    fixed at them, and what holds it to a wall."""

    board: str
    fixings: tuple[Fixing, ...] = ()
    rails: tuple[RailStrip, ...] = ()
    anchors: tuple[WallAnchor, ...] = ()


class EndPattern(msgspec.Struct, frozen=True, kw_only=True):
    """How every end that mates with the next module is drilled: places along it from its middle, seen on an
    end that faces right; heights down from the deck's underside. ``ends``: their names; none: no such end.
    Where a profile of the club's says each place by itself (``bolts_at`` …: place and height), that holds.
    """

    ends: tuple[str, ...] = ()
    fastener: str = ""
    bolts_mm: tuple[float, ...] = ()
    bolts_z_mm: tuple[float, ...] = ()
    dowels_mm: tuple[float, ...] = ()
    dowels_z_mm: float = 0.0
    wires_mm: tuple[float, ...] = ()
    wires_z_mm: float = 0.0
    wires_diameter_mm: float = 0.0
    bolts_at: tuple[Point, ...] = ()
    dowels_at: tuple[Point, ...] = ()
    wires_at: tuple[Point, ...] = ()

    @property
    def bolts(self) -> tuple[Point, ...]:
        """(place from the middle, height) of every bolt."""
        return self.bolts_at or tuple((t, z) for t in self.bolts_mm for z in self.bolts_z_mm)

    @property
    def dowels(self) -> tuple[Point, ...]:
        return self.dowels_at or tuple((t, self.dowels_z_mm) for t in self.dowels_mm)

    @property
    def wires(self) -> tuple[Point, ...]:
        return self.wires_at or tuple((t, self.wires_z_mm) for t in self.wires_mm)

    @property
    def counted(self) -> frozenset[str]:
        """Ends whose bolts are bought: two ends share one set."""
        return frozenset(self.ends[::2])


class EndRoom(msgspec.Struct, frozen=True, kw_only=True):
    """Where all ends that mate with the next module have room, as places along them: stretches (from, to)
    from their middle, seen on an end that faces right, heights down from the deck's underside, as in an
    ``EndPattern``. ``ends``: their names; none: no such end. ``bolts_mm``: for the bolts of every row, of
    that ``handy_mm`` where a hand gets to them; ``bolts_wanted`` in each row. ``deck_mm``: the deck is so
    thick.
    """

    ends: tuple[str, ...] = ()
    deck_mm: float = 0.0
    bolts_z_mm: tuple[float, ...] = ()
    bolts_wanted: int = 0
    bolts_mm: tuple[Point, ...] = ()
    handy_mm: tuple[Point, ...] = ()
    dowels_z_mm: float = 0.0
    dowels_mm: tuple[Point, ...] = ()
    wires_z_mm: float = 0.0
    wires_diameter_mm: float = 0.0
    wires_mm: tuple[Point, ...] = ()
