"""Parts that are made, and which of the plan's parts they serve as."""

from __future__ import annotations

import msgspec

from boardwright.plan.model import Point, Ring

from .part import Part


class MadeJoint(msgspec.Struct, frozen=True, kw_only=True):
    """A joint of a board of which something is made: it stays where it is. Plan coordinates."""

    id: str
    start: Point
    end: Point
    level_mm: float = 0.0
    boards: tuple[str, ...] = ()


class MadePlace(msgspec.Struct, frozen=True, kw_only=True):
    """Where a part stood when it was marked: its middle and the direction of its x axis, plan coordinates."""

    x_mm: float
    y_mm: float
    angle_deg: float


class MadeBoard(msgspec.Struct, frozen=True, kw_only=True):
    """A board of the pack from which something was marked: it keeps its name. Plan coordinates.

    ``x_mm``, ``y_mm``: a point well inside it. ``ring``: its edge when something of it was made last; empty
    for a board of which nothing is made. ``places``: by number, where parts on the list stand in it;
    ``complete``: all its parts are on the list, so that it may be put together.
    """

    id: str
    x_mm: float
    y_mm: float
    level_mm: float = 0.0
    ring: Ring = ()
    places: dict[str, MadePlace] = {}
    complete: bool = False


class MadeRecord(msgspec.Struct, frozen=True, kw_only=True):
    """The builder's list: each part as it was when it was made, the joints that hold its board, the boards
    that were there, and the other joints of the pack from which something was marked last. (Lists of older
    releases have neither.)"""

    parts: tuple[Part, ...] = ()
    joints: tuple[MadeJoint, ...] = ()
    boards: tuple[MadeBoard, ...] = ()
    others: tuple[MadeJoint, ...] = ()


class HeldJoints(msgspec.Struct, frozen=True):
    """Joints that must stay, and boards that keep their names, in name order. ``file``: the list of them;
    ``others``: joints that stay as long as they may."""

    joints: tuple[MadeJoint, ...] = ()
    file: str = ""
    boards: tuple[MadeBoard, ...] = ()
    others: tuple[MadeJoint, ...] = ()


class Serving(msgspec.Struct, frozen=True, kw_only=True):
    """A made part that serves as a part of the plan, after ``drill`` holes; ``unused`` it has besides."""

    made: str
    part: str
    drill: int = 0
    unused: int = 0


class MadeParts(msgspec.Struct, frozen=True, kw_only=True):
    """What need not be cut. ``wasted``: made parts that serve as none of the plan's."""

    serving: tuple[Serving, ...] = ()
    wasted: tuple[str, ...] = ()

    @property
    def done(self) -> frozenset[str]:
        """Numbers of the plan's parts that are there already."""
        return frozenset(s.part for s in self.serving)
