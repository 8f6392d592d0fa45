"""Room for a leg that runs up beside the member it carries: no other member may stand in it.

Claim: a row of legs is moved along the board, by no more than it must and by MOST_MM at most, until every leg
of it is clear; a row that cannot be stays where the rule has it. A single leg that was added under the place
that gives most stands beside that place instead, where there is room within BESIDE_MM along its member.

What this does not know: devices, and the bolts of joints, at the face where a leg stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from boardwright.plan.model import Point
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import Member

from .net import Place, centreline

STEP_MM, MOST_MM = 5.0, 80.0
BESIDE_MM = 60.0  # so short a cantilever gives little beside the limits: our judgement, no source
CLEAR_MM = 1.0  # between a leg and other wood


class HasPlace(Protocol):
    @property
    def x_mm(self) -> float: ...

    @property
    def y_mm(self) -> float: ...


def places_near(at_mm: float) -> Iterator[float]:
    """Places to try, the nearest first."""
    yield at_mm
    for n in range(1, int(MOST_MM / STEP_MM) + 1):
        yield from (at_mm - n * STEP_MM, at_mm + n * STEP_MM)


def station_at(members: Sequence[Member], number: int, at: HasPlace) -> Place:
    """The place on a member nearest to a point of the board."""
    return Place(number, centreline(members[number]).nearest((at.x_mm, at.y_mm))[0])


def beside(place: Place, members: Sequence[Member], leg_mm: float, lap_mm: float) -> Point:
    """The place on the member nearest to one at which a leg has room; where there is none, that one."""
    line = centreline(members[place.member])
    for station in places_near(place.station):
        near = Place(place.member, station)
        if abs(station - place.station) > BESIDE_MM or not 0 <= station <= line.length:
            continue
        if has_room(near, members, leg_mm, lap_mm):
            return snap_point(line.at(station))
    return snap_point(line.at(place.station))


def has_room(place: Place, members: Sequence[Member], leg_mm: float, lap_mm: float) -> bool:
    """Whether a square leg at a member's inner face, up to ``lap_mm`` beside it, meets no other member."""
    import shapely

    own = members[place.member]
    line = centreline(own)
    (x, y), (ux, uy) = line.at(place.station), own.direction
    (ox, oy), (ix, iy) = own.outer_start, own.inner_start
    side = 1.0 if ux * (iy - oy) - uy * (ix - ox) > 0 else -1.0  # the inner face lies to the left, or right
    nx, ny = -side * uy, side * ux
    near, far, half = own.thickness_mm / 2, own.thickness_mm / 2 + leg_mm, leg_mm / 2 + CLEAR_MM
    leg = shapely.Polygon(
        [
            (x + nx * off + ux * along, y + ny * off + uy * along)
            for off, along in ((near, -half), (near, half), (far, half), (far, -half))
        ]
    ).buffer(-CLEAR_MM / 10)
    top_mm = own.bottom_mm + min(lap_mm, own.depth_mm)
    return not any(
        other.bottom_mm < top_mm and leg.intersects(shapely.Polygon(other.outline))
        for i, other in enumerate(members)
        if i != place.member
    )
