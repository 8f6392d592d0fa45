"""What of ``pack.json`` is needed to prove a pack, read with types of our own (not those that wrote it).

Claim: a file that decodes has every field the checks ask for. Fields not named here are passed over.
Millimetres, degrees; axes as docs/pack-json.md has them.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import msgspec

type Point = tuple[float, float]
type Ring = tuple[Point, ...]


class Circle(msgspec.Struct, frozen=True, kw_only=True):
    x_mm: float
    y_mm: float
    radius_mm: float
    chord_mm: float


class Hole(msgspec.Struct, frozen=True, kw_only=True):
    kind: str
    x_mm: float
    y_mm: float
    diameter_mm: float
    depth_mm: float | None
    face: str
    joint: str | None
    tilt_deg: float = 0.0
    slot_mm: float = 0.0
    slot_deg: float = 0.0
    opened_mm: float = 0.0


class Placement(msgspec.Struct, frozen=True, kw_only=True):
    x_mm: float
    y_mm: float
    z_mm: float
    angle_deg: float
    stands: bool
    path: tuple[Point, ...] = ()


class Part(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    board: str
    role: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    grain: str
    ring: Ring
    openings: tuple[Ring, ...]
    circles: tuple[Circle, ...]
    holes: tuple[Hole, ...]
    left_bevel_deg: float
    right_bevel_deg: float
    area_mm2: float
    mass_kg: float
    placement: Placement
    of: str = ""
    from_mm: float = 0.0
    top_bevel_deg: float = 0.0


class Sandwich(msgspec.Struct, frozen=True, kw_only=True):
    skin_mm: float
    block_mm: float
    spacing_mm: float


class Member(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    outer_start: Point
    outer_end: Point
    inner_start: Point
    inner_end: Point
    thickness_mm: float
    depth_mm: float
    top_mm: float
    flat: bool = False
    sandwich: Sandwich | None = None


class Panel(msgspec.Struct, frozen=True, kw_only=True):
    ring: Ring
    wells: tuple[Ring, ...] = ()
    ways: tuple[tuple[tuple[float, float, float], ...], ...] = ()


class Kerf(msgspec.Struct, frozen=True, kw_only=True):
    x_mm: float


class Bent(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    outer: tuple[Point, ...]
    inner: tuple[Point, ...]
    depth_mm: float
    kerfs: tuple[Kerf, ...]


class Frame(msgspec.Struct, frozen=True, kw_only=True):
    members: tuple[Member, ...]
    deck: tuple[Panel, ...]
    bent: tuple[Bent, ...] = ()


class WireHole(msgspec.Struct, frozen=True, kw_only=True):
    member: str
    along_mm: float
    z_mm: float
    diameter_mm: float
    joint: str | None


class HardwareLine(msgspec.Struct, frozen=True, kw_only=True):
    item: str
    quantity: float
    unit: str


class Leg(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    member: str
    x_mm: float
    y_mm: float
    top_mm: float
    side_mm: float
    on: str = ""
    lap_mm: float = 0.0


class EdgePiece(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    inner: tuple[Point, ...]
    outer: tuple[Point, ...]


class EdgeStrip(msgspec.Struct, frozen=True, kw_only=True):
    kind: str
    thickness_mm: float
    top_mm: float
    depth_mm: float
    pieces: tuple[EdgePiece, ...]


class Board(msgspec.Struct, frozen=True, kw_only=True):
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
    clear_mm: float
    mass_kg: float
    frame: Frame
    wire_holes: tuple[WireHole, ...]
    parts: tuple[Part, ...]
    hardware: tuple[HardwareLine, ...]
    tools: tuple[Part, ...] = ()
    ends: tuple[Joint, ...] = ()
    legs: tuple[Leg, ...] = ()
    edging: tuple[EdgeStrip, ...] = ()

    @property
    def on_edges(self) -> set[str]:
        """Names of the parts along its edges, which are no members."""
        return {p.id for s in self.edging for p in s.pieces}


class Joint(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    boards: tuple[str, str]
    start: Point
    end: Point


class Fixing(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    joint: str
    kind: str
    x_mm: float
    y_mm: float
    z_mm: float
    hole_diameter_mm: float


class Placed(msgspec.Struct, frozen=True, kw_only=True):
    part: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    turned: bool
    half_turn: bool = False
    rolled: bool = False
    shares: tuple[float, float, float, float] | None = None


class Cut(msgspec.Struct, frozen=True, kw_only=True):
    step: int
    piece: str
    along: str
    at_mm: float
    from_mm: float
    to_mm: float
    setting_mm: float
    from_edge: str
    slant: str = ""
    lean_mm: float = 0.0


class RouteStep(msgspec.Struct, frozen=True, kw_only=True):
    step: int
    part: str
    kind: str
    at: tuple[float, float]
    diameter_mm: float
    path: tuple[tuple[float, float], ...]
    relief: tuple[tuple[float, float], ...]


class Routing(msgspec.Struct, frozen=True, kw_only=True):
    tool_mm: float
    gap_mm: float
    steps: tuple[RouteStep, ...]


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    stock: str
    material: str
    thickness_mm: float
    length_mm: float
    width_mm: float
    kerf_mm: float
    trim_mm: float
    parts: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    times: int
    used_fraction: float
    routing: Routing | None = None
    squared: Point | None = None
    bar: bool = False

    @property
    def called(self) -> str:
        return "Bar" if self.bar else "Sheet"


class Unplaced(msgspec.Struct, frozen=True, kw_only=True):
    part: str


class Cutting(msgspec.Struct, frozen=True, kw_only=True):
    sheets: tuple[Sheet, ...]
    unplaced: tuple[Unplaced, ...]
    copies: int
    made: tuple[str, ...] = ()
    spare: tuple[str, ...] = ()


class CostLine(msgspec.Struct, frozen=True, kw_only=True):
    group: str
    item: str
    quantity: Decimal
    unit: str
    price: Decimal | None
    total: Decimal


class Cost(msgspec.Struct, frozen=True, kw_only=True):
    currency: str
    lines: tuple[CostLine, ...]
    total: Decimal
    per_square_metre: Decimal
    area_m2: Decimal


class Outline(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    ring: Ring
    wells: tuple[Ring, ...]
    circles: tuple[Circle, ...]
    level_mm: float


class Track(msgspec.Struct, frozen=True, kw_only=True):
    points: tuple[Point, ...]
    heights_mm: tuple[float, ...]
    level_mm: float | None


class Device(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    depth_mm: float
    clearance_mm: float
    angle_deg: float
    level_mm: float | None = None


class Plan(msgspec.Struct, frozen=True, kw_only=True):
    outlines: tuple[Outline, ...]
    tracks: tuple[Track, ...]
    devices: tuple[Device, ...] = ()


class Where(msgspec.Struct, frozen=True, kw_only=True):
    item: str | None = None


class Told(msgspec.Struct, frozen=True, kw_only=True):
    severity: str
    says: str
    code: str = ""
    where: tuple[Where, ...] = ()


class Pack(msgspec.Struct, frozen=True, kw_only=True):
    schema: str
    name: str
    settings: dict[str, dict[str, Any]]
    plan: Plan
    boards: tuple[Board, ...]
    joints: tuple[Joint, ...]
    fixings: tuple[Fixing, ...]
    cutting: Cutting
    cost: Cost
    findings: tuple[Told, ...]
