"""Board and joint: what splitting makes."""

from __future__ import annotations

import math
from enum import StrEnum

import msgspec

from boardwright.plan.model import Circle, Device, Point, Ring, Track, Turnout


class Crossing(msgspec.Struct, frozen=True, kw_only=True):
    """A track crossing a joint. ``off_square_deg`` is 0 when the track crosses at a right angle."""

    track: str
    x_mm: float
    y_mm: float
    off_square_deg: float


class Joint(msgspec.Struct, frozen=True, kw_only=True):
    """The straight line where two boards meet, in plan coordinates.

    ``boards`` are in name order; seen from ``start`` to ``end``, the first board lies on the left.
    ``nearest_turnout_mm``/``nearest_device_mm`` are the margins the splitting found (None: there is none).
    ``why`` says in words why the joint is where it is, what it costs and what the next best place would have
    cost. ``lift_out``: one of its boards lifts out, so nothing may be bolted through it. ``drop_mm``: the
    second board's deck lies so far below the first one's. An end that mates with the next module names its
    own board twice. ``drawn``: by the builder; ``held``: it stays where it was for the sake of what is made.
    """

    id: str
    boards: tuple[str, str]
    start: Point
    end: Point
    drawn: bool = False
    crossings: tuple[Crossing, ...] = ()
    nearest_turnout_mm: float | None = None
    nearest_device_mm: float | None = None
    why: str = ""
    lift_out: bool = False
    drop_mm: float = 0.0
    held: bool = False

    def drop_to(self, board: str) -> float:
        """How far a board's deck lies below that of the first board."""
        return self.drop_mm if board != self.boards[0] else 0.0

    @property
    def length_mm(self) -> float:
        return math.dist(self.start, self.end)


class Board(msgspec.Struct, frozen=True, kw_only=True):
    """One board. ``ring`` and ``wells`` are in plan coordinates, exactly as the deck is cut, except that
    what follows one of ``circles`` is cut round.

    Local point (u, v) = plan point turned by ``-angle_deg`` about ``origin``; the board lies in
    0 ≤ u ≤ length_mm, 0 ≤ v ≤ width_mm. ``joints`` holds this board's own joints, in name order.
    ``clear_mm``: working clearance of a lift-out; its ring stands back so far from the line of each joint.
    ``margins`` says in words how much room it leaves under the limits that are on. ``ends``: stretches of its
    edge that mate with the next module, as joints of which it is both boards. ``stays_whole``: it is made
    and larger than boards may be now.
    """

    id: str
    outline: str
    level_mm: float
    ring: Ring
    wells: tuple[Ring, ...] = ()
    circles: tuple[Circle, ...] = ()
    origin: Point
    angle_deg: float
    length_mm: float
    width_mm: float
    lift_out: bool = False
    clear_mm: float = 0.0
    joints: tuple[Joint, ...] = ()
    margins: str = ""
    ends: tuple[Joint, ...] = ()
    stays_whole: bool = False

    @property
    def neighbours(self) -> tuple[str, ...]:
        """Boards joined to this one, in name order."""
        return tuple(sorted({b for j in self.joints for b in j.boards if b != self.id}))

    @property
    def shape(self) -> tuple[Ring, ...]:
        """Its ring and wells in its own frame, to 0.001 mm: the same for a board that only lies elsewhere."""
        rings = (self.ring, *self.wells)
        return tuple(
            tuple((round(u, 3) + 0.0, round(v, 3) + 0.0) for u, v in map(self.to_local, ring))
            for ring in rings
        )

    def face(self, joint: Joint) -> tuple[Point, Point]:
        """A joint's line as this board's own edge: where a lift-out stands back, moved into the board."""
        if not self.clear_mm:
            return joint.start, joint.end
        into = self.clear_mm / joint.length_mm * (1.0 if joint.boards[0] == self.id else -1.0)
        dx, dy = joint.end[0] - joint.start[0], joint.end[1] - joint.start[1]
        (x, y), (u, v) = joint.start, joint.end
        return (x - dy * into, y + dx * into), (u - dy * into, v + dx * into)

    def to_local(self, p: Point) -> Point:
        a = math.radians(self.angle_deg)
        c, s = math.cos(a), math.sin(a)
        dx, dy = p[0] - self.origin[0], p[1] - self.origin[1]
        return (dx * c + dy * s, -dx * s + dy * c)

    def to_plan(self, p: Point) -> Point:
        a = math.radians(self.angle_deg)
        c, s = math.cos(a), math.sin(a)
        return (self.origin[0] + p[0] * c - p[1] * s, self.origin[1] + p[0] * s + p[1] * c)


class Proof(StrEnum):
    """Over what a splitting is proven to be the cheapest, among the joint positions tried."""

    WHOLE = "needs no joint"
    WAYS = "all ways"
    ROWS = "all rows, loops and side boards"
    NET = "all joints from edge to edge"
    ALONG = "all ways along its directions"
    NONE = "not proven"


class SplitCost(msgspec.Struct, frozen=True, kw_only=True):
    """What the splitting of one outline (or of one part between drawn joints) costs, counted in boards.

    No splitting costs less than ``at_least``; the difference is the most that a better one could save.
    """

    outline: str
    boards: int
    cost: float
    at_least: float
    proof: Proof


class Splitting(msgspec.Struct, frozen=True, kw_only=True):
    """All boards and joints of a layout, in name order, and what each part's splitting costs."""

    boards: tuple[Board, ...]
    joints: tuple[Joint, ...]
    costs: tuple[SplitCost, ...] = ()


class BoardPlan(msgspec.Struct, frozen=True, kw_only=True):
    """The part of the track plan that concerns one board, in plan coordinates.

    ``devices``: centre on the board, or keep-out reaching over it. ``own_devices``: ids of those whose
    centre is on it. ``tracks`` are clipped to the board. ``scale_ratio``: 87 for 1:87; 0: not known.
    """

    board: str
    devices: tuple[Device, ...] = ()
    own_devices: tuple[str, ...] = ()
    turnouts: tuple[Turnout, ...] = ()
    tracks: tuple[Track, ...] = ()
    scale_ratio: float = 0.0
