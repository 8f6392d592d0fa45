"""Bodies to look at: prisms, and slabs where a top is cut to a slope or a sheet is bent along a climb.

Glossary
    prism     a part's plan shape between two heights
    slab      a piece of a body between two planes, tilted or not

What this does not know: vertical curves; a deck is drawn in planes SLAB_MM long at most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from msgspec import UNSET

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Member, Panel, Part
from boardwright_timber.rising import on_way, underside_mm, way_at

if TYPE_CHECKING:
    from shapely import Polygon

ON_TOP = ("deck", "splice plate")
SLAB_MM = 120.0
SCRAP_MM2 = 0.2
ON_CUT_MM = 1e-6
type Vector = tuple[float, float, float]


class Slab(NamedTuple):
    """A piece of a body between two planes z = a·x + b·y + c."""

    ring: Ring
    wells: tuple[Ring, ...]
    floor: Vector
    roof: Vector


class Prism(NamedTuple):
    """``ring`` and ``wells`` in the board's own axes, between two heights; ``deck``: else of the frame.

    One that is no prism, because its top is cut to a slope or because it is a sheet bent along a climb, is
    made of ``slabs``, which meet on lines x or y = ``cuts`` (no line is drawn there).
    """

    deck: bool
    ring: Ring
    wells: tuple[Ring, ...]
    low: float
    high: float
    slabs: tuple[Slab, ...] = ()
    cuts: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())

    def moved(self, dx: float, dy: float, dz: float) -> Prism:
        """The same elsewhere."""

        def shifted(ring: Ring) -> Ring:
            return tuple((x + dx, y + dy) for x, y in ring)

        def tipped(plane: Vector) -> Vector:
            a, b, c = plane
            return (a, b, c + dz - a * dx - b * dy)

        return Prism(
            self.deck,
            shifted(self.ring),
            tuple(map(shifted, self.wells)),
            self.low + dz,
            self.high + dz,
            tuple(
                Slab(shifted(s.ring), tuple(map(shifted, s.wells)), tipped(s.floor), tipped(s.roof))
                for s in self.slabs
            ),
            (tuple(x + dx for x in self.cuts[0]), tuple(y + dy for y in self.cuts[1])),
        )

    def pieces(self) -> tuple[Slab, ...]:
        flat = Slab(self.ring, self.wells, (0.0, 0.0, self.low), (0.0, 0.0, self.high))
        return self.slabs or (flat,)

    def heights(self, p: Point) -> tuple[float, float]:
        """Bottom and top at a place on it."""
        if not self.slabs:
            return self.low, self.high
        import shapely

        at = shapely.Point(p)
        away = [round(shapely.Polygon(s.ring, s.wells).distance(at), 3) for s in self.slabs]
        slab = self.slabs[away.index(min(away))]
        low, high = (a * p[0] + b * p[1] + c for a, b, c in (slab.floor, slab.roof))
        return low, high

    def inside(self, a: Point, b: Point) -> bool:
        """Whether a line from one place to another is where two slabs meet."""
        return any(
            abs(a[axis] - at) < ON_CUT_MM and abs(b[axis] - at) < ON_CUT_MM
            for axis in (0, 1)
            for at in self.cuts[axis]
        )


def standing(member: Member) -> Prism:
    """A member; the top of one that is cut to a slope is a plane."""
    flat = Prism(False, member.outline, (), member.bottom_mm, member.top_mm)
    if member.tops_mm is UNSET:
        return flat
    a, b, _, d = member.tops_mm
    (ux, uy), (ox, oy) = member.direction, member.outer_start
    along, behind = (b - a) / math.dist(member.outer_start, member.outer_end), (d - a) / member.thickness_mm
    tilt = (along * ux - behind * uy, along * uy + behind * ux)
    roof = (*tilt, a - tilt[0] * ox - tilt[1] * oy)
    return flat._replace(slabs=(Slab(member.outline, (), (0.0, 0.0, member.bottom_mm), roof),))


def bent_along(flat: Prism, part: Part, deck: Sequence[Panel], lift_mm: float) -> Prism:
    """A piece of a deck that climbs, in slabs each of which lies in the plane that is nearest to it."""
    import shapely

    if all(panel.ways is UNSET for panel in deck):
        return flat
    shape = shapely.Polygon(flat.ring, flat.wells)
    panel = max(deck, key=lambda p: _shared(shape, p, part.placement.z_mm))
    under = part.thickness_mm if part.role == ON_TOP[1] else 0.0
    x0, y0, x1, y1 = shape.bounds
    xs, ys = (_between_steps(low, high) for low, high in ((x0, x1), (y0, y1)))
    slabs = []
    for left, right in pairwise((x0 - 1, *xs, x1 + 1)):
        for low, high in pairwise((y0 - 1, *ys, y1 + 1)):
            for piece in shapely.get_parts(shape.intersection(shapely.box(left, low, right, high))):
                if piece.geom_type != "Polygon" or piece.area < SCRAP_MM2:
                    continue
                middle = piece.representative_point()
                a, b, c = _plane_at(panel, (middle.x, middle.y))
                ring = tuple(shapely.normalize(piece).exterior.coords[:-1])
                wells = tuple(tuple(w.coords[:-1]) for w in piece.interiors)
                floor = (a, b, c + lift_mm - under)
                slabs.append(Slab(ring, wells, floor, (a, b, floor[2] + part.thickness_mm)))
    tops = [a * x + b * y + c for s in slabs for a, b, c in (s.roof,) for x, y in s.ring]
    return flat._replace(slabs=tuple(slabs), cuts=(tuple(xs), tuple(ys)), high=max(tops))


def _shared(shape: Polygon, panel: Panel, low: float) -> tuple[float, float]:
    """How much of a part lies on a panel; of two, one over the other, the panel that is as high counts."""
    import shapely

    wood = shapely.Polygon(panel.ring, panel.wells)
    lowest = min(underside_mm(panel, p) for p in panel.ring)
    return (round(shape.intersection(wood).area), -abs(lowest - low))


def _between_steps(low: float, high: float) -> list[float]:
    count = math.ceil((high - low) / SLAB_MM)
    return [low + (high - low) * n / count for n in range(1, count)]


def _plane_at(panel: Panel, p: Point) -> Vector:
    """The plane through a deck's underside at a place."""
    way = way_at(panel, p)
    (x, y), h = p, SLAB_MM / 4

    def z(dx: float, dy: float) -> float:
        return on_way(way, (x + dx, y + dy))[1]

    a, b = (z(h, 0.0) - z(-h, 0.0)) / (2 * h), (z(0.0, h) - z(0.0, -h)) / (2 * h)
    return (a, b, z(0.0, 0.0) - a * x - b * y)
