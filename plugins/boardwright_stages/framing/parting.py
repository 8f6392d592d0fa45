"""Pieces of deck that climb, kept off each other: none lies in another at nearly its height.

Claim: where the strips of two runs on different pieces overlap and neither passes over the other, as round
two ends that point at each other, both end at the line midway between the nearest places of the runs (where
those cross, which is told, the second ends at the first); what a
turnout or a device adds to one ends at the other's strip, and nothing is left beyond that. A saw cut's width
stays between, also where slits in one piece are closed.

What this does not know: turnouts through which another track passes (``clashes``).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.rising import on_way

from .runs import Run

if TYPE_CHECKING:
    from shapely import Geometry

CUT_MM = 3.0  # between two strips that part: a saw cut
SLIT_MM = 20.0  # narrower gaps between tracks are not worth sawing
TOUCH_MM2 = 1e-3
FAR_MM = 1e4


class Alone(NamedTuple):
    """``group``: which runs lie on one piece of deck; ``pass_mm``: one that much higher passes over."""

    runs: Sequence[Run]
    group: Sequence[int]
    pass_mm: float

    def parted(self, strips: Sequence[Geometry]) -> list[Geometry]:
        """The strips of all runs, each without what is nearer to another piece's run."""
        found = list(strips)
        for i in range(len(found)):
            for j in range(i + 1, len(found)):
                for both in self._meets(i, found[i], j, found[j]):
                    one, two = (self._nearest(n, both) for n in (i, j))
                    wide = both.buffer(CUT_MM)
                    if math.dist(one, two) <= CUT_MM:  # they cross: no deck can carry both
                        found[j] = found[j].difference(wide)
                        continue
                    found[i] = found[i].difference(wide.intersection(_beyond(one, two)))
                    found[j] = found[j].difference(wide.intersection(_beyond(two, one)))
        return found

    def beyond_others(self, n: int, more: Geometry, pieces: Sequence[Sequence[Geometry]]) -> Geometry:
        """What is added to one run's piece, as far as it hangs together with that run's strip outside of all
        ``pieces`` (run by run, its strip first) that belong to others."""
        import shapely

        taken = [piece for m, each in enumerate(pieces) for piece in each if self._meets(n, more, m, piece)]
        if not taken:
            return more
        left = more.difference(shapely.union_all(taken).buffer(CUT_MM))
        strip = pieces[n][0]
        return shapely.union_all([part for part in shapely.get_parts(left) if part.intersects(strip)])

    def kept_free(self, shapes: Mapping[int, Geometry], g: int) -> Geometry:
        """What a piece of deck does not grow into where its slits are closed: a saw cut round the others."""
        import shapely

        own, found = shapes[g], []
        for other, shape in shapes.items():
            if other == g or own.distance(shape) > SLIT_MM:
                continue
            one, two = ([n for n, each in enumerate(self.group) if each == k] for k in (g, other))
            near = shape.intersection(own.buffer(SLIT_MM))
            found += [part for part in shapely.get_parts(near) if not self._passes(one, two, part)]
        return shapely.union_all(found).buffer(CUT_MM).difference(own) if found else shapely.Polygon()

    def _meets(self, i: int, one: Geometry, j: int, two: Geometry) -> list[Geometry]:
        """Where two runs' decks would lie in each other."""
        import shapely

        if self.group[i] == self.group[j] or not one.intersects(two):
            return []
        both = shapely.get_parts(one.intersection(two))
        return [part for part in both if part.area > TOUCH_MM2 and not self._passes([i], [j], part)]

    def _passes(self, ones: Sequence[int], twos: Sequence[int], shape: Geometry) -> bool:
        """Whether, of two pieces' runs, that nearest to a shape passes over or under the other's there."""
        at = shape.centroid.coords[0]
        one, two = (
            min(on_way(self.runs[n].way, (at[0], at[1])) for n in numbers)[1] for numbers in (ones, twos)
        )
        return abs(one - two) >= self.pass_mm

    def _nearest(self, n: int, shape: Geometry) -> Point:
        import shapely

        line = shapely.LineString([p[:2] for p in self.runs[n].way])
        at = line.interpolate(line.project(shapely.Point(shape.centroid)))
        return (at.x, at.y)


def _beyond(one: Point, two: Point) -> Geometry:
    """All that is nearer to the second of two places, and half a saw cut before."""
    import shapely

    apart = math.dist(one, two)
    dx, dy = (two[0] - one[0]) / apart, (two[1] - one[1]) / apart
    low = apart / 2 - CUT_MM / 2
    corners = ((low, -FAR_MM), (low + FAR_MM, -FAR_MM), (low + FAR_MM, FAR_MM), (low, FAR_MM))
    return shapely.Polygon([(one[0] + a * dx - b * dy, one[1] + a * dy + b * dx) for a, b in corners])
