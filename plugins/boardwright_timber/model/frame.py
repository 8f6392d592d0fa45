"""Frame and its members, placed in a board's local axes."""

from __future__ import annotations

import math
from enum import StrEnum
from itertools import pairwise
from typing import NamedTuple

import msgspec
from msgspec import UNSET, UnsetType

from boardwright.plan.model import Point, Ring

type Point3 = tuple[float, float, float]

FINE_DIGITS = 6  # sizes are kept to a millionth of a millimetre


class MemberRole(StrEnum):
    SIDE = "side"
    END = "end"  # stands on a joint line, mates with another board
    WELL_SIDE = "well side"
    JOIST = "joist"
    GIRDER = "girder"  # runs along a board below its joists
    FLANGE = "flange"  # lies on a girder, glued to it
    RISER = "riser"  # stands on a joist's face and carries the deck above it
    NOGGIN = "noggin"  # from joist to joist: carries a narrow deck, or at an opening the ends of cut joists
    FISHPLATE = "fishplate"  # on the face of a strip of two lengths, over their seam


class Sandwich(msgspec.Struct, frozen=True, kw_only=True):
    """How a member of two skins with blocks between them is made up; the core is what the skins leave, mm.

    ``block_mm`` is the length of a block along the member, ``spacing_mm`` the most from middle to middle.
    """

    skin_mm: float
    block_material: str
    block_mm: float
    spacing_mm: float


class Member(msgspec.Struct, frozen=True, kw_only=True):
    """A straight strip on edge, between z = top_mm - depth_mm and z = top_mm (0: the deck's underside).

    One that lies ``flat`` is cut from wood as thick as it is deep (``depth_mm``), ``thickness_mm`` wide.
    Its plan shape is a quadrilateral given by its two faces: the *outer* face from ``outer_start`` to
    ``outer_end`` and the *inner* face from ``inner_start`` to ``inner_end``, parallel, ``thickness_mm``
    apart, the inner one on the left of the direction of travel. Local coordinates. Thickness and depth are
    kept to a millionth of a millimetre, so that a thickness found as a difference is the one that was meant.
    A ``sandwich`` is two skins of ``material`` with blocks between them, ``thickness_mm`` over all.
    ``tops_mm``: one under a deck that climbs is cut to the deck's slope, a plane: the heights of its top at
    the corners of ``outline``, the highest is ``top_mm``; unset: its top is level.

    >>> ends = dict(outer_start=(0, 0), outer_end=(9, 0), inner_start=(0, 12), inner_end=(9, 12))
    >>> made = dict(id="J1", role=MemberRole.JOIST, depth_mm=90, material="birch ply", **ends)
    >>> Member(thickness_mm=11.999999999999972, **made).thickness_mm
    12.0
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
    top_mm: float = 0.0
    flat: bool = False
    sandwich: Sandwich | None = None
    tops_mm: tuple[float, float, float, float] | UnsetType = UNSET

    def __post_init__(self) -> None:
        for field in ("thickness_mm", "depth_mm"):
            msgspec.structs.force_setattr(self, field, round(getattr(self, field), FINE_DIGITS))

    @property
    def sheet_mm(self) -> float:
        """Thickness of the wood it is cut from: of a sandwich that of a skin."""
        return self.sandwich.skin_mm if self.sandwich else self.thickness_mm

    @property
    def bending_mm(self) -> float:
        """Thickness that runs on from end to end and bends: of a sandwich both skins."""
        return 2 * self.sandwich.skin_mm if self.sandwich else self.thickness_mm

    @property
    def bottom_mm(self) -> float:
        return self.top_mm - self.depth_mm

    @property
    def top_grade(self) -> float:
        """How steeply its top is cut: up for each along, in the steepest direction."""
        a, b, _, d = self.corner_tops
        return math.hypot((b - a) / math.dist(self.outer_start, self.outer_end), (d - a) / self.thickness_mm)

    def meets_height(self, other: Member, least_mm: float = 1e-6) -> bool:
        """Whether some height holds both."""
        return min(self.top_mm, other.top_mm) - max(self.bottom_mm, other.bottom_mm) > least_mm

    @property
    def carries_deck(self) -> bool:
        """Whether the deck is fixed to it; a fishplate's top only happens to be as high."""
        if self.role is MemberRole.RISER:
            return True
        return self.top_mm > -1e-6 and self.role is not MemberRole.FISHPLATE

    @property
    def corner_tops(self) -> tuple[float, float, float, float]:
        """Heights of its top at the corners of ``outline``."""
        return (self.top_mm,) * 4 if self.tops_mm is UNSET else self.tops_mm

    @property
    def top_bevel_deg(self) -> float:
        """Tilt of the saw that cuts its top; positive when the outer face is the higher one."""
        a, _, _, d = self.corner_tops
        return math.degrees(math.atan2(a - d, self.thickness_mm))

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


class Bed(msgspec.Struct, frozen=True, kw_only=True):
    """Where joists stand when it is not between the frame's inner faces with their tops at the deck.

    ``across``: they lie on girders, their ends free. Local coordinates.
    """

    room: Ring
    wells: tuple[Ring, ...] = ()
    top_mm: float = 0.0
    depth_mm: float
    thickness_mm: float
    material: str
    across: bool = False


class Kerf(msgspec.Struct, frozen=True, kw_only=True):
    """A saw cut across a strip for bending, its middle from the strip's left end; ``inside``: in its inner
    face, else in the outer one."""

    x_mm: float
    inside: bool


class Bent(msgspec.Struct, frozen=True, kw_only=True):
    """A strip on edge bent along a curved edge, local coordinates: its outer face, flush with the deck's
    edge, and its inner face to the left of that. ``layers`` glued one behind the other, or one with
    ``kerfs``.
    """

    id: str
    outer: tuple[Point, ...]
    inner: tuple[Point, ...]
    thickness_mm: float
    depth_mm: float
    material: str
    layers: int = 1
    kerfs: tuple[Kerf, ...] = ()

    @property
    def outline(self) -> Ring:
        """Plan shape, anticlockwise."""
        return (*self.outer, *reversed(self.inner))


class Panel(msgspec.Struct, frozen=True, kw_only=True):
    """A piece of deck, local coordinates.

    ``ways``: on a board on which a track climbs, the tracks on it as (x, y, height of the deck's underside
    there); level across each, it is as high as the nearest of them. Unset: it lies at the board's level.
    """

    ring: Ring
    wells: tuple[Ring, ...] = ()
    ways: tuple[tuple[Point3, ...], ...] | UnsetType = UNSET

    @property
    def longer_mm(self) -> float:
        """How much longer than in plan it is along the slope of the track that climbs most on it."""
        ways = () if self.ways is UNSET else self.ways
        return max(
            (sum(math.dist(p, q) - math.dist(p[:2], q[:2]) for p, q in pairwise(w)) for w in ways),
            default=0.0,
        )


class Splice(msgspec.Struct, frozen=True, kw_only=True):
    """A seam across a panel of the deck (its number in ``Frame.deck``) at ``x_mm``, local coordinates, and
    the plates of deck wood glued and screwed below it."""

    panel: int
    x_mm: float
    plates: tuple[Panel, ...]


class LongSeam(msgspec.Struct, frozen=True, kw_only=True):
    """A seam along the board at height ``y_mm``, where a piece of deck wider than any sheet is parted: the
    piece of panel ``panel`` (a number in ``Frame.deck``; 0 of a whole deck) that fills ``piece`` (x, y, x, y
    of its smallest upright rectangle), and the plates of deck wood glued and screwed below the seam."""

    panel: int = 0
    y_mm: float
    piece: tuple[float, float, float, float]
    plates: tuple[Panel, ...]


class DeckPlate(NamedTuple):
    """A plate below a seam of the deck: its name, its outline, whether the seam runs along the board, and of
    which panel (a number in ``Frame.deck``; 0 of a whole deck)."""

    id: str
    panel: Panel
    along: bool
    of: int = 0


class Joined(msgspec.Struct, frozen=True, kw_only=True):
    """A square butt in a strip longer than any the stock gives, ``at_mm`` along ``member`` from its datum,
    and the fishplate over it; none at a flange, which its web holds."""

    member: str
    at_mm: float
    plate: str = ""


class SkinSeam(msgspec.Struct, frozen=True, kw_only=True):
    """A square butt in the outer or the inner skin of a side of skins and blocks, ``at_mm`` along ``member``
    from its datum, over the middle of a block ``block_mm`` long; the other skin runs through there."""

    member: str
    at_mm: float
    outer: bool
    block_mm: float


class Frame(msgspec.Struct, frozen=True, kw_only=True):
    """A board's frame in local coordinates.

    ``outer`` is the line of the outer faces (a straight-sided polygon inside the deck), ``inner`` the line
    of the inner faces; ``wells`` and ``inner_wells`` likewise round each well. ``members`` are sides and
    ends at first; the joist stage answers with joists of the same type. ``diagonals`` are what to measure to
    know that the frame is square.

    ``style`` is what the board was framed as. ``bed`` is where joists stand (None: between the inner faces).
    ``deck`` is a deck that does not cover the whole board (empty: it does). A style that places its joists
    itself puts them among ``members`` and sets ``complete``. ``bent`` are strips round curved edges, in front
    of the members.
    """

    board: str
    outer: Ring
    inner: Ring
    wells: tuple[Ring, ...] = ()
    inner_wells: tuple[Ring, ...] = ()
    members: tuple[Member, ...] = ()
    diagonals: tuple[Diagonal, ...] = ()
    style: str = "box"
    bed: Bed | None = None
    deck: tuple[Panel, ...] = ()
    complete: bool = False
    bent: tuple[Bent, ...] = ()

    @property
    def climbs(self) -> bool:
        """Whether its deck follows tracks that climb."""
        return any(panel.ways is not UNSET for panel in self.deck)

    @property
    def depth_mm(self) -> float:
        """How far the frame reaches below the deck."""
        return max((-m.bottom_mm for m in self.members), default=0.0)


class Joists(msgspec.Struct, frozen=True, kw_only=True):
    """Joists of one board and what stands on them or between them (risers, noggins).

    ``spacing_mm`` is the largest distance between centres of support they leave. ``seams``: x of the lines
    across the board where pieces of its deck meet, each over the middle of a joist. ``splices``: seams of a
    deck that is only where tracks are. ``long_seams``: seams along the board, of pieces wider than any sheet.
    ``joined``: members of the frame that are made of several lengths; their fishplates are among
    ``members``. ``skins``: butts in the skins of hollow sides. ``narrow``: risers too narrow for two screws.
    ``why``: sentences that tell why the joists stand there.
    """

    board: str
    members: tuple[Member, ...] = ()
    spacing_mm: float
    limit_mm: float
    seams: tuple[float, ...] = ()
    splices: tuple[Splice, ...] = ()
    long_seams: tuple[LongSeam, ...] = ()
    joined: tuple[Joined, ...] = ()
    skins: tuple[SkinSeam, ...] = ()
    narrow: tuple[str, ...] = ()
    why: tuple[str, ...] = ()

    @property
    def seams_along(self) -> dict[str, list[float]]:
        """Where each member of several lengths is butted, along it from its datum."""
        found: dict[str, list[float]] = {}
        for seam in self.joined:
            found.setdefault(seam.member, []).append(seam.at_mm)
        return found

    @property
    def plates(self) -> tuple[DeckPlate, ...]:
        """Plates below seams of the deck, those across the board first."""
        found = [(plate, False, splice.panel) for splice in self.splices for plate in splice.plates]
        found += [(plate, True, seam.panel) for seam in self.long_seams for plate in seam.plates]
        return tuple(DeckPlate(f"{self.board}-P{n}", *each) for n, each in enumerate(found, 1))

    @property
    def joists(self) -> tuple[Member, ...]:
        """The joists alone."""
        return tuple(m for m in self.members if m.role is MemberRole.JOIST)
