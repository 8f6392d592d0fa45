"""TrackPlan: what a finished drawing and a device list say, in millimetres, whatever they were read from.

Glossary
    outline   the edge of the layout surface on one level; its *wells* are openings in it
    ring      closed run of (x, y) points, first point not repeated; outlines anticlockwise, wells clockwise
    turnout   a point/switch: its footprint must not be cut by a joint
    device    anything that hangs below the deck: needs room, keeps joists and joints away
    drawn joint   a line where the builder wants a joint between boards
    level     height of an outline; a thing without one (None) counts on every level
    obstacle  an area the drawing keeps free of joints and framing (a pillar, a socket)

What this does not know: wood, boards, or how anything is built.
"""

from __future__ import annotations

import math
from itertools import pairwise

import msgspec

from ..findings import Place

type Point = tuple[float, float]
type Ring = tuple[Point, ...]


class Circle(msgspec.Struct, frozen=True, kw_only=True):
    """A circle that part of an edge or track follows: points there lie on it, ``chord_mm`` apart at most."""

    x_mm: float
    y_mm: float
    radius_mm: float
    chord_mm: float


class Outline(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    ring: Ring
    wells: tuple[Ring, ...] = ()
    circles: tuple[Circle, ...] = ()
    level_mm: float = 0.0
    place: Place = Place()


class Track(msgspec.Struct, frozen=True, kw_only=True):
    """A continuous centreline, flattened to the reader's chord error; pieces that run on are one track.

    ``heights_mm``: one a point, above the drawing's zero; empty when the drawing gives none. ``circles``:
    those that parts of it follow; ``way.Way`` gives place and tangent at any distance along it.
    """

    id: str
    points: tuple[Point, ...]
    heights_mm: tuple[float, ...] = ()
    circles: tuple[Circle, ...] = ()
    level_mm: float | None = None
    place: Place = Place()

    @property
    def length_mm(self) -> float:
        """Of the flattened line: shorter than the drawn one by less than the chord error."""
        return sum(math.dist(a, b) for a, b in pairwise(self.points))


class Turnout(msgspec.Struct, frozen=True, kw_only=True):
    """A turnout's footprint: a ring round its track and sleepers as drawn. ``crossing``: it is a diamond."""

    id: str
    x_mm: float
    y_mm: float
    ring: Ring
    crossing: bool = False
    level_mm: float | None = None
    place: Place = Place()


class Device(msgspec.Struct, frozen=True, kw_only=True):
    """Something below the deck. Length lies along ``angle_deg`` (anticlockwise from the x axis).

    ``clearance_mm`` is the free room wanted all round; ``depth_mm`` reaches down from the deck's underside.
    ``conductors`` wires run to it and carry up to ``current_ma``; ``note`` is the builder's own words.
    ``hole_mm`` is the diameter of the hole wanted through the deck over its middle (0: none); a ``slot_mm``
    longer than that makes it a slot so long, across the device's length: the way a throw pin moves.
    """

    id: str
    kind: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    depth_mm: float
    clearance_mm: float
    angle_deg: float = 0.0
    conductors: int = 0
    current_ma: float = 0.0
    note: str = ""
    hole_mm: float = 0.0
    slot_mm: float = 0.0
    level_mm: float | None = None
    place: Place = Place()

    def footprint(self, extra_mm: float = 0.0) -> Ring:
        """Corners of the footprint grown by ``extra_mm`` all round, anticlockwise."""
        c, s = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        hx, hy = self.length_mm / 2 + extra_mm, self.width_mm / 2 + extra_mm
        corners = ((-hx, -hy), (hx, -hy), (hx, hy), (-hx, hy))
        return tuple((self.x_mm + u * c - v * s, self.y_mm + u * s + v * c) for u, v in corners)

    def keepout(self) -> Ring:
        """Footprint with its clearance: no joist, end or joint may enter it."""
        return self.footprint(self.clearance_mm)


class DrawnJoint(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    start: Point
    end: Point
    level_mm: float | None = None
    place: Place = Place()


class Obstacle(msgspec.Struct, frozen=True, kw_only=True):
    id: str
    ring: Ring
    level_mm: float | None = None
    place: Place = Place()


class LiftOut(msgspec.Struct, frozen=True, kw_only=True):
    """A mark saying: the board at this point is a lift-out (or flap), taken away to let people through."""

    id: str
    x_mm: float
    y_mm: float
    level_mm: float | None = None
    place: Place = Place()


class TrackPlan(msgspec.Struct, frozen=True, kw_only=True):
    name: str
    drawing_file: str
    scale_ratio: float
    outlines: tuple[Outline, ...]
    tracks: tuple[Track, ...] = ()
    turnouts: tuple[Turnout, ...] = ()
    devices: tuple[Device, ...] = ()
    drawn_joints: tuple[DrawnJoint, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    lift_outs: tuple[LiftOut, ...] = ()

    def at_level(self, level_mm: float) -> TrackPlan:
        """The outlines of one level, and what lies there or has no level."""

        def here[T: (Track, Turnout, Device, DrawnJoint, Obstacle, LiftOut)](
            things: tuple[T, ...],
        ) -> tuple[T, ...]:
            return tuple(t for t in things if t.level_mm is None or t.level_mm == level_mm)

        return msgspec.structs.replace(
            self,
            outlines=tuple(o for o in self.outlines if o.level_mm == level_mm),
            tracks=here(self.tracks),
            turnouts=here(self.turnouts),
            devices=here(self.devices),
            drawn_joints=here(self.drawn_joints),
            obstacles=here(self.obstacles),
            lift_outs=here(self.lift_outs),
        )
