"""Legs and rails under one board, ready to be sawn: each with its length and place."""

from __future__ import annotations

import msgspec

from boardwright.plan.model import Point


class Leg(msgspec.Struct, frozen=True, kw_only=True):
    """A square leg beside a member or a post under one, local coordinates of the member's middle there;
    ``top_mm`` from the deck's underside. ``lap_mm``: how far it runs up beside the member, bolted through it.

    ``length_mm`` is what is sawn, in whole millimetres: the foot, ``foot_mm`` high in its middle position,
    takes up the rest. ``on``: the board on whose frame it stands, a post; empty: on the floor. ``meets``:
    what is where it runs up (wood, devices, bolts, dowels, wire holes, legs), no place near by being clear.
    ``off_mm``: how far its own middle lies from the member's, at whose inner face it stands.
    """

    id: str
    member: str
    x_mm: float
    y_mm: float
    top_mm: float
    length_mm: float
    side_mm: float
    foot_mm: float
    on: str = ""
    lap_mm: float = 0.0
    meets: tuple[str, ...] = ()
    off_mm: Point = (0.0, 0.0)

    @property
    def middle(self) -> Point:
        """Its own middle, local coordinates.

        >>> place = dict(id="B01-L1", member="B01-S1", x_mm=200.0, y_mm=6.0, top_mm=-20.0)
        >>> Leg(**place, length_mm=955.0, side_mm=44.0, foot_mm=25.0, lap_mm=70.0, off_mm=(0.0, 28.0)).middle
        (200.0, 34.0)
        """
        return self.x_mm + self.off_mm[0], self.y_mm + self.off_mm[1]


class LegRail(msgspec.Struct, frozen=True, kw_only=True):
    """A rail from leg to leg, whole millimetres long."""

    id: str
    start: Point
    end: Point
    length_mm: float


class BoardStand(msgspec.Struct, frozen=True, kw_only=True):
    """What is sawn to stand under one board; empty for trestles, brackets, battens."""

    board: str
    legs: tuple[Leg, ...] = ()
    rails: tuple[LegRail, ...] = ()
