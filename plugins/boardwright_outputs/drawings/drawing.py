"""Drawing: what is to be seen on paper or cut on a machine, whatever file it ends in. Millimetres, full size,
y up.

Glossary
    item    one thing drawn: a polyline, a circle, an arc or a line of text
    role    what an item means to the person or the machine reading it; every role is one DXF layer and one
            CSS class, so that a machine can be told "cut these, drill those, ignore the rest"
    frame   the rectangle that holds every item: (left, bottom, right, top)

What this does not know: files, colours, line weights, or where the nouns came from.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from enum import StrEnum
from functools import reduce
from textwrap import wrap

import msgspec

from boardwright.plan.model import Point

#: Estimated advance of one character as a share of the text height, on the wide side of common CAD fonts
#: (a plain stroke font is about 0.7 to 0.9; common practice, no source).
CHARACTER_WIDTH = 0.9
#: How far letters such as g and y reach below the line they stand on, as a share of the text height.
DESCENDER = 0.3
#: Height of the tallest letters above the line the text stands on.
ASCENDER = 1.05


class Role(StrEnum):
    """Names are plain English; the DXF layer is the same name in capitals (``THROUGH_CUT``)."""

    THROUGH_CUT = "through cut"  # sawn or routed right through: closed contours only
    HOLE = "hole"  # drilled right through: circles only
    POCKET = "pocket"  # drilled or milled part way, from the drawn face
    BACK_HOLE = "back hole"  # drilled from the face away from the viewer
    MARK = "mark"  # a pencil line on the drawn face
    HATCH = "hatch"  # where there is nothing: openings seen from above
    TEXT = "text"
    DIMENSION = "dimension"  # dimension lines, their figures, and leaders
    SHEET_EDGE = "sheet edge"
    SAW_CUT = "saw cut"  # a straight cut of the cutting plan, with its number
    HELIX = "helix"  # a hole milled on a helix, from the drawn face: the finished hole
    TOOL_PATH = "tool path"  # the middle of a router's cutter
    RELIEF = "relief"  # where the cutter bites into an inside corner
    LEAD_IN = "lead in"  # where the cutter goes down, and its way to the path
    TAB = "tab"  # stretch of a tool path over which a bridge is left
    OUTLINE = "outline"  # edges for reference: layout edge, deck edge, trim line
    JOINT = "joint"  # the line where two boards meet
    MEMBER = "member"  # frame members
    FIXING = "fixing"  # bolts, dowels and wire holes seen from the side of their bore
    TRACK = "track"
    TURNOUT = "turnout"
    DEVICE = "device"


class Align(StrEnum):
    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


class Box(msgspec.Struct, frozen=True):
    """An upright rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    def grown(self, by_mm: float) -> Box:
        return Box(self.left - by_mm, self.bottom - by_mm, self.right + by_mm, self.top + by_mm)

    def moved(self, x_mm: float, y_mm: float) -> Box:
        return Box(self.left + x_mm, self.bottom + y_mm, self.right + x_mm, self.top + y_mm)

    def with_(self, other: Box) -> Box:
        """The rectangle round both."""
        return Box(
            min(self.left, other.left),
            min(self.bottom, other.bottom),
            max(self.right, other.right),
            max(self.top, other.top),
        )

    def meets(self, other: Box) -> bool:
        """Do the insides overlap? Touching edges do not count."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )

    def holds(self, other: Box) -> bool:
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.bottom <= other.bottom
            and other.top <= self.top
        )

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    @property
    def centre(self) -> Point:
        return ((self.left + self.right) / 2, (self.bottom + self.top) / 2)


class Polyline(msgspec.Struct, frozen=True, kw_only=True, tag="polyline"):
    """Straight runs through ``points``; ``closed`` joins the last to the first (which is not repeated).

    Where points follow one of ``rounds`` (x, y, radius, chord), what is meant is the arc (see ``bends``).
    """

    role: Role
    points: tuple[Point, ...]
    closed: bool = False
    rounds: tuple[tuple[float, float, float, float], ...] = ()

    @property
    def segments(self) -> tuple[tuple[Point, Point], ...]:
        ends = (*self.points[1:], self.points[0]) if self.closed else self.points[1:]
        return tuple(zip(self.points, ends, strict=False))


class Circle(msgspec.Struct, frozen=True, kw_only=True, tag="circle"):
    role: Role
    x_mm: float
    y_mm: float
    radius_mm: float


class Arc(msgspec.Struct, frozen=True, kw_only=True, tag="arc"):
    """Anticlockwise from ``start_deg`` to ``end_deg``."""

    role: Role
    x_mm: float
    y_mm: float
    radius_mm: float
    start_deg: float
    end_deg: float


#: The share of a text's width that lies before its point.
_BEFORE = {Align.LEFT: 0.0, Align.CENTRE: 0.5, Align.RIGHT: 1.0}


class Text(msgspec.Struct, frozen=True, kw_only=True, tag="text"):
    """One line of text standing on (``x_mm``, ``y_mm``); ``height_mm`` is the height of a capital letter."""

    role: Role
    x_mm: float
    y_mm: float
    height_mm: float
    text: str
    align: Align = Align.LEFT
    angle_deg: float = 0.0

    @property
    def box(self) -> Box:
        """The upright rectangle the text is estimated to cover (see CHARACTER_WIDTH)."""
        return self.box_if(text_width(self.text, self.height_mm))

    def box_if(self, width: float) -> Box:
        """The upright rectangle the text covers if it is so long."""
        left = -width * _BEFORE[self.align]
        if self.angle_deg == 0.0:
            return Box(
                self.x_mm + left,
                self.y_mm - DESCENDER * self.height_mm,
                self.x_mm + left + width,
                self.y_mm + ASCENDER * self.height_mm,
            )
        c, s = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        corners = [
            (self.x_mm + u * c - v * s, self.y_mm + u * s + v * c)
            for u in (left, left + width)
            for v in (-DESCENDER * self.height_mm, ASCENDER * self.height_mm)
        ]
        return box_of(corners)


type Item = Polyline | Circle | Arc | Text


class Drawing(msgspec.Struct, frozen=True, kw_only=True):
    title: str
    frame: Box
    items: tuple[Item, ...] = ()

    def shifted(self, x_mm: float, y_mm: float) -> Drawing:
        """The same elsewhere."""
        if x_mm == 0.0 and y_mm == 0.0:
            return self
        return Drawing(
            title=self.title,
            frame=self.frame.moved(x_mm, y_mm),
            items=tuple(shifted(item, x_mm, y_mm) for item in self.items),
        )


def shifted(item: Item, x_mm: float, y_mm: float) -> Item:
    """An item elsewhere, rounded to 1e-6 mm."""
    if isinstance(item, Polyline):
        return msgspec.structs.replace(
            item,
            points=tuple((round(x + x_mm, 6), round(y + y_mm, 6)) for x, y in item.points),
            rounds=tuple((round(x + x_mm, 6), round(y + y_mm, 6), r, c) for x, y, r, c in item.rounds),
        )
    return msgspec.structs.replace(item, x_mm=round(item.x_mm + x_mm, 6), y_mm=round(item.y_mm + y_mm, 6))


def together(title: str, drawings: Iterable[Drawing]) -> Drawing:
    """Drawings that lie clear of each other as one."""
    laid = tuple(drawings)
    frame = reduce(Box.with_, (d.frame for d in laid))
    return Drawing(title=title, frame=frame, items=tuple(item for d in laid for item in d.items))


def text_width(text: str, height_mm: float) -> float:
    return CHARACTER_WIDTH * height_mm * len(text)


def no_wider(line: str, room_mm: float, height_mm: float) -> list[str]:
    """A line in pieces hardly wider than what is drawn: a wider one would make all of it smaller on paper."""
    wide = text_width(line, height_mm)
    return [line] if wide <= room_mm else wrap(line, max(int(len(line) * room_mm / wide) - 2, 20))


def box_of(points: list[Point] | tuple[Point, ...]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def item_box(item: Item) -> Box:
    """The rectangle an item covers (an arc: that of its whole circle)."""
    match item:
        case Polyline():
            return box_of(item.points)
        case Text():
            return item.box
        case Circle() | Arc():
            r = item.radius_mm
            return Box(item.x_mm - r, item.y_mm - r, item.x_mm + r, item.y_mm + r)


def arc_points(arc: Arc, steps: int = 16) -> tuple[Point, ...]:
    """Points along an arc, for pictures and for keeping text off it."""
    sweep = (arc.end_deg - arc.start_deg) % 360.0 or 360.0
    angles = [math.radians(arc.start_deg + sweep * i / steps) for i in range(steps + 1)]
    return tuple(
        (arc.x_mm + arc.radius_mm * math.cos(a), arc.y_mm + arc.radius_mm * math.sin(a)) for a in angles
    )
