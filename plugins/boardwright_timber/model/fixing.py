"""What holds two boards together and puts them in line."""

from __future__ import annotations

from enum import StrEnum

import msgspec


class FixingKind(StrEnum):
    BOLT = "bolt"
    DOWEL = "dowel"
    CATCH = "catch"  # on the flush outer faces of two sides, screwed on: no hole goes through


class Fixing(msgspec.Struct, frozen=True, kw_only=True):
    """A bolt or dowel through both ends of a joint, or a catch across its end.

    ``along_mm`` is measured on the joint line from its start, ``z_mm`` (negative) down from the tops of
    the frames; (x_mm, y_mm) is the same point in plan coordinates. ``grip_mm`` is the wood it goes through.
    ``fastener`` and ``nut`` say what kind of bolt it is; a catch has no hole (``hole_diameter_mm`` 0).
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


class BoardFixings(msgspec.Struct, frozen=True, kw_only=True):
    """Fixings of all joints of one board (both boards of a joint hold the same ones)."""

    board: str
    fixings: tuple[Fixing, ...] = ()
