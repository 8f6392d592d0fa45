"""The shape of ``pack.json``: decode one with ``msgspec.json.decode(data, type=Pack)``.

Claim: a pack's data file says everything the sheets, drawings and lists say, once, in the units named by its
fields.

Glossary
    plan axes     x right, y up, as drawn; millimetres
    local axes    a board's own axes: plan points turned by ``-angle_deg`` about ``origin``
    part axes     from the datum corner, the lower left of the face the part is drawn from
    sheet axes    from the datum corner of a stock sheet, length along x

A reader passes over fields it does not know, so that a later pack of the same schema can be read.

What this does not know: how a file is written (see ``outputs``) and what its words mean for a builder
(``docs/pack-json.md`` explains every field; a test compares the two).
"""

from __future__ import annotations

from typing import Any, Literal

import msgspec
from msgspec import UNSET, UnsetType

from boardwright.findings import Finding
from boardwright.plan.model import (
    Circle,
    Device,
    DrawnJoint,
    LiftOut,
    Obstacle,
    Outline,
    Point,
    Ring,
    Track,
    Turnout,
)
from boardwright.stages import KeptRule, SourceDigest
from boardwright_timber.model import (
    Bed,
    Bent,
    BoardMovement,
    BoardSpace,
    Cost,
    CuttingPlan,
    Diagonal,
    EdgeStrip,
    EndRoom,
    FasteningLine,
    Fixing,
    HardwareLine,
    Joined,
    Joint,
    Leg,
    LegRail,
    Member,
    Panel,
    Part,
    RailStrip,
    SplitCost,
    StandingGroup,
    StrengthLine,
    SupportPoint,
    WallAnchor,
    WireHole,
    WireSchedule,
)
from boardwright_timber.model.checks import CheckReport

type Schema = Literal["boardwright-pack/1"]


class Units(msgspec.Struct, frozen=True, kw_only=True):
    """Units of every number whose field name does not say its own."""

    length: Literal["mm"] = "mm"
    mass: Literal["kg"] = "kg"
    angle: Literal["degree"] = "degree"
    money: str


class Shown(msgspec.Struct, frozen=True, kw_only=True):
    """How the pack's other files show lengths; this one stays in millimetres."""

    units: Literal["mm", "in", "mm and in"] = "mm"
    inch_fraction: int = 32
    decimal_sign: Literal[".", ","] = "."


class Plan(msgspec.Struct, frozen=True, kw_only=True):
    """The track plan as it was read, in plan axes."""

    drawing_file: str
    scale_ratio: float
    outlines: tuple[Outline, ...]
    tracks: tuple[Track, ...]
    turnouts: tuple[Turnout, ...]
    devices: tuple[Device, ...]
    drawn_joints: tuple[DrawnJoint, ...]
    obstacles: tuple[Obstacle, ...]
    lift_outs: tuple[LiftOut, ...]


class PackFrame(msgspec.Struct, frozen=True, kw_only=True):
    """A board's frame in local axes: the lines of its faces and every member, joists among them."""

    style: str
    outer: Ring
    inner: Ring
    wells: tuple[Ring, ...]
    inner_wells: tuple[Ring, ...]
    members: tuple[Member, ...]
    diagonals: tuple[Diagonal, ...]
    bed: Bed | None
    deck: tuple[Panel, ...]
    complete: bool
    joist_spacing_mm: float
    joist_spacing_limit_mm: float
    joist_reasons: tuple[str, ...] = ()
    bent: tuple[Bent, ...] = ()
    joined: tuple[Joined, ...] = ()


class PackStrength(msgspec.Struct, frozen=True, kw_only=True):
    """A board on its supports; ``mass_kg`` is wood with the allowance for what stands on it."""

    support: str
    points: tuple[SupportPoint, ...]
    mass_kg: float
    service_class: int
    lines: tuple[StrengthLine, ...]


class PackBoard(msgspec.Struct, frozen=True, kw_only=True):
    """One board and all that belongs to it alone. ``joints`` are ids of the pack's joints."""

    id: str
    outline: str
    level_mm: float
    ring: Ring
    wells: tuple[Ring, ...]
    circles: tuple[Circle, ...]
    origin: Point
    angle_deg: float
    length_mm: float
    width_mm: float
    lift_out: bool
    clear_mm: float
    margins: str
    joints: tuple[str, ...]
    mass_kg: float
    frame: PackFrame
    wire_holes: tuple[WireHole, ...]
    unreached_devices: tuple[str, ...]
    parts: tuple[Part, ...]
    hardware: tuple[HardwareLine, ...]
    strength: PackStrength | None = None
    tools: tuple[Part, ...] = ()
    ends: tuple[Joint, ...] = ()
    anchors: tuple[WallAnchor, ...] = ()
    fastening: tuple[FasteningLine, ...] = ()
    legs: tuple[Leg, ...] = ()
    leg_rails: tuple[LegRail, ...] = ()
    rails: tuple[RailStrip, ...] = ()
    edging: tuple[EdgeStrip, ...] | UnsetType = UNSET
    stays_whole: bool | UnsetType = UNSET


class Pack(msgspec.Struct, frozen=True, kw_only=True):
    """A whole pack. ``fixings`` holds each bolt and dowel once, though both its boards are drilled for it."""

    schema: Schema = "boardwright-pack/1"
    name: str
    units: Units
    sources: tuple[SourceDigest, ...]
    versions: tuple[tuple[str, str], ...]
    settings: dict[str, Any]
    plan: Plan
    boards: tuple[PackBoard, ...]
    joints: tuple[Joint, ...]
    splitting: tuple[SplitCost, ...]
    fixings: tuple[Fixing, ...]
    cutting: CuttingPlan
    cost: Cost
    checks: CheckReport
    findings: tuple[Finding, ...]
    wires: WireSchedule = WireSchedule()
    rules: tuple[KeptRule, ...] = ()
    space: tuple[BoardSpace, ...] = ()
    movement: tuple[BoardMovement, ...] = ()
    standing: tuple[StandingGroup, ...] = ()
    shown: Shown = Shown()
    end_room: EndRoom = EndRoom()
