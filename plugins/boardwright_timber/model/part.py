"""Part: what is sawn and drilled, flat, with where it goes."""

from __future__ import annotations

import math
from enum import StrEnum

import msgspec
from msgspec import UNSET, UnsetType

from boardwright.plan.model import Circle, Point, Ring


class HoleKind(StrEnum):
    WIRE = "wire"
    BOLT = "bolt"
    DOWEL = "dowel"
    PILOT = "pilot"
    DEVICE = "device"  # over a device, through the deck


class Face(StrEnum):
    OUTER = "outer"  # the face the part is drawn from; a deck's upper face
    INNER = "inner"


class Grain(StrEnum):
    LENGTH = "length"  # along the part's x axis
    WIDTH = "width"
    FREE = "free"


class Hole(msgspec.Struct, frozen=True, kw_only=True):
    """A drilled hole, from the part's datum corner (lower left of its drawn face).

    ``depth_mm`` None means right through. ``joint`` names the joint whose other end has the mating hole.
    ``note`` says how to drill it (``half from each face``). ``face`` is the one drilled from, where (x, y)
    is; a drill tilted by ``tilt_deg`` comes out of the other face thickness × tan(tilt) further along x.
    ``screw``: diameter and length (mm) of the wood screw that goes in; None: none does. A hole with a
    ``slot_mm`` is a slot so long over all, ``diameter_mm`` wide, at ``slot_deg`` to the part's x axis.
    ``opened_mm``: opened to this diameter afterwards, for the barrel of a tee nut; 0: it is not.
    """

    kind: HoleKind
    x_mm: float
    y_mm: float
    diameter_mm: float
    depth_mm: float | None = None
    face: Face = Face.OUTER
    joint: str | None = None
    note: str = ""
    tilt_deg: float = 0.0
    screw: tuple[float, float] | None = None
    slot_mm: float = 0.0
    slot_deg: float = 0.0
    opened_mm: float = 0.0

    @property
    def ends(self) -> tuple[Point, Point]:
        """The middles of a slot's round ends; of a hole twice its middle."""
        half = max(self.slot_mm - self.diameter_mm, 0.0) / 2
        c, s = math.cos(math.radians(self.slot_deg)), math.sin(math.radians(self.slot_deg))
        return (
            (round(self.x_mm - half * c, 6), round(self.y_mm - half * s, 6)),
            (round(self.x_mm + half * c, 6), round(self.y_mm + half * s, 6)),
        )

    @property
    def is_slot(self) -> bool:
        return self.slot_mm > self.diameter_mm + 1e-6

    @property
    def area_mm2(self) -> float:
        r = self.diameter_mm / 2
        return math.pi * r * r + max(self.slot_mm - self.diameter_mm, 0.0) * self.diameter_mm


class MarkKind(StrEnum):
    DEVICE = "device"
    TRACK = "track"
    TURNOUT = "turnout"
    MEMBER = "member"


class Mark(msgspec.Struct, frozen=True, kw_only=True):
    """A pencil line on the drawn face."""

    kind: MarkKind
    points: tuple[Point, ...]
    closed: bool = False
    text: str = ""


class Placement(msgspec.Struct, frozen=True, kw_only=True):
    """Where a part goes in its board's local axes.

    A part that ``stands`` (a member) has its x axis along ``angle_deg`` in plan and its y axis up; its
    thickness lies to the left of x. A part that lies (a deck) has both axes in plan, turned by
    ``angle_deg``, its drawn face up at ``z_mm`` + thickness. (x, y, z) is where the datum corner goes; of a
    deck that climbs z is that of its lowest place, and what lies over it follows ``Panel.ways``.
    One that stands bent has its middle, half its thickness deep, along ``path`` (empty: it is straight).
    """

    x_mm: float
    y_mm: float
    z_mm: float
    angle_deg: float
    stands: bool
    path: tuple[Point, ...] = ()


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """A flat part. ``ring`` is its profile, anticlockwise, touching x = 0 and y = 0; ``length_mm`` ×
    ``width_mm`` is the smallest upright rectangle round it (its blank). Bevels are off square, positive
    when the drawn face is the longer one; profile and blank are long point to long point. ``of`` names the
    member that an inner skin or a block of a sandwich belongs to; its outer skin has the member's own name
    and begins ``from_mm`` along the member from the member's datum (0 but at a mitre). A strip of several
    lengths is so many parts of one role: the first has the member's name, the others are ``of`` it.
    ``top_bevel_deg``: the saw's tilt along a top that is cut to a slope; unset: it is square.
    """

    id: str
    board: str
    role: str
    label: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    grain: Grain
    ring: Ring
    openings: tuple[Ring, ...] = ()
    circles: tuple[Circle, ...] = ()
    holes: tuple[Hole, ...] = ()
    marks: tuple[Mark, ...] = ()
    left_bevel_deg: float = 0.0
    right_bevel_deg: float = 0.0
    area_mm2: float
    mass_kg: float
    placement: Placement
    of: str = ""
    from_mm: float = 0.0
    top_bevel_deg: float | UnsetType = UNSET

    @property
    def top_tilt_deg(self) -> float:
        return 0.0 if self.top_bevel_deg is UNSET else self.top_bevel_deg


class BoardParts(msgspec.Struct, frozen=True, kw_only=True):
    """Parts of one board; ``mass_kg`` is their sum. ``tools`` are cut with them but not built in (jigs)."""

    board: str
    parts: tuple[Part, ...] = ()
    mass_kg: float = 0.0
    tools: tuple[Part, ...] = ()

    @property
    def by_member(self) -> dict[str, Part]:
        """Each part by its name; a member of skins and blocks is its outer skin, as heavy as all of it, its
        holes measured from the member's datum; one of several lengths is the strip they make together."""
        found = {p.id: _from_datum(p) for p in self.parts if not p.of}
        for p in self.parts:
            if p.of:
                whole = found[p.of]
                if p.role == whole.role:
                    whole = _carried_on(whole, p)
                found[p.of] = msgspec.structs.replace(whole, mass_kg=round(whole.mass_kg + p.mass_kg, 6))
        return found

    @property
    def cut(self) -> tuple[Part, ...]:
        """Everything that is cut: the parts, then the tools."""
        return (*self.parts, *self.tools)


def _carried_on(strip: Part, piece: Part) -> Part:
    """A strip with its next length, butted square."""
    length = round(piece.from_mm + piece.length_mm, 6)
    return msgspec.structs.replace(
        strip,
        length_mm=length,
        ring=((0.0, 0.0), (length, 0.0), (length, strip.width_mm), (0.0, strip.width_mm)),
        holes=(*strip.holes, *_from_datum(piece).holes),
        right_bevel_deg=piece.right_bevel_deg,
        area_mm2=round(strip.area_mm2 + piece.area_mm2, 3),
    )


def _from_datum(part: Part) -> Part:
    if not part.from_mm:
        return part
    move = msgspec.structs.replace
    return move(part, holes=tuple(move(h, x_mm=round(h.x_mm + part.from_mm, 6)) for h in part.holes))
