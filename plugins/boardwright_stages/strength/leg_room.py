"""Room for a leg that runs up beside the member it carries: nothing else may stand in it.

Claim: a row of legs is moved along the board, by no more than it must and by MOST_MM at most, until every leg
of it is clear of other wood and of what legs keep off (``keep_off``: devices, bolts, dowels, wire holes); a
row that cannot be stays clear of wood alone, or else where the rule has it. A leg that has no room there
stands beside its place instead, where there is room within BESIDE_MM along its member, or along another that
ends there. Each leg of a pair that two boards share moves along their joint, by SHARED_MOST_MM at most.

That a leg beside its place gives little: a hand P on the end of a cantilever a long, of a strip that runs on
L to its next hold, sinks P a² (L + a) / 3 EI: 200 N, 80 mm, 400 mm, 9000 N/mm² and 12 x 90 mm of wood make
200 · 6400 · 480 / (3 · 9000 · 729,000) = 0.03 mm, 0.3 mm in a strip 9 x 45 mm (a limit is 2 mm).

What this does not know: legs that end under the frame, which meet only what hangs below it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Protocol

from boardwright.plan.model import Ring
from boardwright_timber.model import Member, MemberRole

from .keep_off import Thing, named
from .net import Place, centreline

if TYPE_CHECKING:
    from shapely import Polygon

STEP_MM, MOST_MM = 5.0, 80.0
SHARED_MOST_MM = 120.0  # of a leg at a joint, past the bolt and the dowel at each of its ends: judgement
BESIDE_MM = 80.0  # so short a cantilever gives little beside the limits
HELD = (MemberRole.SIDE, MemberRole.END, MemberRole.GIRDER, MemberRole.WELL_SIDE)
CLEAR_MM = 1.0  # between a leg and other wood


class HasPlace(Protocol):
    @property
    def x_mm(self) -> float: ...

    @property
    def y_mm(self) -> float: ...


def places_near(at_mm: float, most_mm: float = MOST_MM) -> Iterator[float]:
    """Places to try, the nearest first."""
    yield at_mm
    for n in range(1, int(most_mm / STEP_MM) + 1):
        yield from (at_mm - n * STEP_MM, at_mm + n * STEP_MM)


def station_at(members: Sequence[Member], number: int, at: HasPlace) -> Place:
    """The place on a member nearest to a point of the board."""
    return Place(number, centreline(members[number]).nearest((at.x_mm, at.y_mm))[0])


def beside(
    place: Place, members: Sequence[Member], leg_mm: float, lap_mm: float, things: Sequence[Thing] = ()
) -> Place:
    """The nearest place at which a leg has room: on its member, else on one that meets it there; where there
    is none, one that is clear of wood alone, or else that one."""
    holding = (place, *_meeting(place, members))
    for kept in (things, ()):
        for own in holding:
            length = centreline(members[own.member]).length
            for station in places_near(own.station, BESIDE_MM):
                near = Place(own.member, station)
                if 0 <= station <= length and has_room(near, members, leg_mm, lap_mm, kept):
                    return near
    return place


def _meeting(place: Place, members: Sequence[Member]) -> Iterator[Place]:
    """Where the other members begin that end at a place, and may stand on a leg."""
    own = members[place.member]
    at = centreline(own).at(place.station)
    for i, other in enumerate(members):
        if i == place.member or other.role not in HELD or not own.meets_height(other):
            continue
        station, off = centreline(other).nearest(at)
        ends = min(station, centreline(other).length - station)
        if off <= (near := (own.thickness_mm + other.thickness_mm) / 2 + CLEAR_MM) and ends <= near:
            yield Place(i, station)


def has_room(
    place: Place, members: Sequence[Member], leg_mm: float, lap_mm: float, things: Sequence[Thing] = ()
) -> bool:
    """Whether a square leg at a member's inner face, up to ``lap_mm`` beside it, meets no other member and
    none of ``things``."""
    return next(_in_the_way(place, members, leg_mm, lap_mm, things), None) is None


def met(
    place: Place, members: Sequence[Member], leg_mm: float, lap_mm: float, things: Sequence[Thing]
) -> tuple[str, ...]:
    """Names of all that a leg meets, each once; wood by its role and name."""
    found = _in_the_way(place, members, leg_mm, lap_mm, things)
    return tuple(dict.fromkeys(x.name if isinstance(x, Thing) else named(x) for x in found))


def _in_the_way(
    place: Place, members: Sequence[Member], leg_mm: float, lap_mm: float, things: Sequence[Thing]
) -> Iterator[Member | Thing]:
    """What a square leg at a member's inner face, up to ``lap_mm`` beside it, meets: members, then things."""
    leg = _shape(leg_square(place, members, leg_mm, CLEAR_MM)).buffer(-CLEAR_MM / 10)
    top_mm = _top(members[place.member], lap_mm)
    for i, other in enumerate(members):
        if i != place.member and other.bottom_mm < top_mm and leg.intersects(_shape(other.outline)):
            yield other
    for thing in things:
        if thing.bottom_mm < top_mm and leg.intersects(_shape(thing.ring)):
            yield thing


@lru_cache(maxsize=4096)
def _shape(ring: Ring) -> Polygon:
    import shapely

    return shapely.Polygon(ring)


def _top(own: Member, lap_mm: float) -> float:
    """How high a leg reaches, from the deck's underside."""
    return own.bottom_mm + min(lap_mm, own.depth_mm)


def leg_square(place: Place, members: Sequence[Member], leg_mm: float, more_mm: float = 0.0) -> Ring:
    """A square leg's plan shape at a member's inner face, ``more_mm`` wider on both sides along it."""
    own = members[place.member]
    (x, y), (ux, uy) = centreline(own).at(place.station), own.direction
    (ox, oy), (ix, iy) = own.outer_start, own.inner_start
    side = 1.0 if ux * (iy - oy) - uy * (ix - ox) > 0 else -1.0  # the inner face lies to the left, or right
    nx, ny = -side * uy, side * ux
    near, far, half = own.thickness_mm / 2, own.thickness_mm / 2 + leg_mm, leg_mm / 2 + more_mm
    corners = ((near, -half), (near, half), (far, half), (far, -half))
    return tuple((x + nx * off + ux * along, y + ny * off + uy * along) for off, along in corners)
