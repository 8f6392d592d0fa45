"""The room inside a frame, and how far the deck spans over it.

Glossary (local axes: x along the board, joists stand across it)
    region   inside the inner polygon, outside every well's inner polygon; its edges are members' faces
    section  where a line across the board meets the region: (lower edge, upper edge) pairs
    chord    a stretch of a line along the board inside the region; the deck spans it
    layer    a slice of the region between two heights in which every boundary is one straight edge

What this does not know: joists and devices.
"""

from __future__ import annotations

import bisect
import itertools
from functools import cached_property
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import oriented, sides, signed_area
from boardwright_timber.model import Frame

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely import Polygon

    type Numbers = NDArray[np.float64]

THIN_MM = 1e-3  # layers thinner than this are rounding, not room


class RegionEdge(msgspec.Struct, frozen=True, dict=True):
    """One straight edge of the region, the region on the left of a → b."""

    a: Point
    b: Point

    @cached_property
    def low_x(self) -> float:
        return min(self.a[0], self.b[0])

    @cached_property
    def high_x(self) -> float:
        return max(self.a[0], self.b[0])

    def y_at(self, x: float) -> float:
        (x0, y0), (x1, y1) = self.a, self.b
        return y0 + (y1 - y0) * (x - x0) / (x1 - x0)

    def x_at(self, y: float) -> float:
        (x0, y0), (x1, y1) = self.a, self.b
        return x0 + (x1 - x0) * (y - y0) / (y1 - y0)


class Layer(msgspec.Struct, frozen=True):
    """Between heights ``low`` and ``high`` the region reaches from left to right (x at low, x at high)."""

    low: float
    high: float
    left: tuple[float, float]
    right: tuple[float, float]

    def longest(self, a: float, b: float) -> float:
        """Longest chord of the layer between x = a and x = b (not above 0: none)."""
        (l0, l1), (r0, r1) = self.left, self.right
        wider, nearer = r1 - r0, l1 - l0
        best = max(min(r0, b) - max(l0, a), min(r0 + wider, b) - max(l0 + nearer, a))
        for start, change, at in ((l0, nearer, a), (r0, wider, b)):  # where a side is cut by a or b
            if change and 0.0 < (s := (at - start) / change) < 1.0:
                best = max(best, min(r0 + s * wider, b) - max(l0 + s * nearer, a))
        return best

    def longest_of_each(self, a: Numbers, b: Numbers) -> Numbers:
        """The same for each pair."""
        import numpy as np

        (l0, l1), (r0, r1) = self.left, self.right
        wider, nearer = r1 - r0, l1 - l0
        best = np.maximum(
            np.minimum(r0, b) - np.maximum(l0, a), np.minimum(r0 + wider, b) - np.maximum(l0 + nearer, a)
        )
        for start, change, at in ((l0, nearer, a), (r0, wider, b)):  # where a side is cut by a or b
            if change:
                s = (at - start) / change
                s = np.where((s > 0.0) & (s < 1.0), s, 0.0)  # at either end it was looked at above
                best = np.maximum(best, np.minimum(r0 + s * wider, b) - np.maximum(l0 + s * nearer, a))
        found: Numbers = best
        return found


class Region(msgspec.Struct, frozen=True, dict=True):
    rings: tuple[Ring, ...]

    @cached_property
    def edges(self) -> tuple[RegionEdge, ...]:
        return tuple(RegionEdge(a, b) for ring in self.rings for a, b in sides(ring))

    @cached_property
    def low_x(self) -> float:
        return min(e.low_x for e in self.edges)

    @cached_property
    def high_x(self) -> float:
        return max(e.high_x for e in self.edges)

    def section(self, x: float, *, from_left: bool) -> list[tuple[RegionEdge, RegionEdge]]:
        """What a line across the board meets just to the left (or right) of x, from below upwards."""
        starts, slabs = self._slabs
        at = (bisect.bisect_left if from_left else bisect.bisect_right)(starts, x)
        return slabs[at - 1] if at else []

    @cached_property
    def _slabs(self) -> tuple[list[float], list[list[tuple[RegionEdge, RegionEdge]]]]:
        """Where corners stand, and what lines across the board meet between each and the next: no two edges
        cross there, so it is the same everywhere."""
        across = [e for e in self.edges if e.low_x < e.high_x]
        starts = sorted({x for e in across for x in (e.low_x, e.high_x)})
        slabs = []
        for low, high in itertools.pairwise(starts):
            middle = (low + high) / 2
            crossed = sorted(
                (e for e in across if e.low_x <= low and high <= e.high_x), key=lambda e: e.y_at(middle)
            )
            slabs.append(list(zip(crossed[::2], crossed[1::2], strict=True)))
        return starts, [*slabs, []]

    @cached_property
    def layers(self) -> tuple[Layer, ...]:
        heights = sorted({p[1] for ring in self.rings for p in ring})
        found = []
        for low, high in itertools.pairwise(heights):
            if high - low < THIN_MM:
                continue
            middle = (low + high) / 2
            crossed = [e for e in self.edges if min(e.a[1], e.b[1]) < middle < max(e.a[1], e.b[1])]
            crossed.sort(key=lambda e: e.x_at(middle))
            for left, right in zip(crossed[::2], crossed[1::2], strict=True):
                ends = (left.x_at(low), left.x_at(high)), (right.x_at(low), right.x_at(high))
                found.append(Layer(low, high, *ends))
        return tuple(found)

    def longest_chord(self, a: float, b: float) -> float:
        """Longest chord between x = a and x = b; 0 when there is none."""
        return max([0.0, *(layer.longest(a, b) for layer in self.layers)])

    def longest_chords(self, a: Numbers, b: Numbers) -> Numbers:
        """The same for each pair."""
        import numpy as np

        best = np.zeros_like(a)
        for layer in self.layers:
            best = np.maximum(best, layer.longest_of_each(a, b))
        return best

    @cached_property
    def shape(self) -> Polygon:
        import shapely

        room = shapely.union_all([shapely.Polygon(r) for r in self.rings if signed_area(r) > 0])
        return room.difference(
            shapely.union_all([shapely.Polygon(r) for r in self.rings if signed_area(r) < 0])
        )


def region_of(frame: Frame) -> Region | None:
    """The region of a frame; None when its members leave no room inside."""
    import shapely

    room, holes = frame.inner, frame.inner_wells
    if frame.bed is not None:
        room, holes = frame.bed.room, frame.bed.wells
    if len(room) < 3:
        return None
    whole = shapely.Polygon(room, holes)
    if whole.is_valid:
        return Region((room, *holes))
    wells = shapely.union_all([shapely.Polygon(w) for w in holes])
    return as_region(shapely.Polygon(room).difference(wells))


def as_region(shape: Polygon) -> Region | None:
    """A region from any flat shape, its rings turned so that the room is on the left."""
    import shapely

    rings: list[Ring] = []
    for part in shapely.get_parts(shape):
        if part.geom_type != "Polygon" or part.is_empty:
            continue
        for n, ring in enumerate((part.exterior, *part.interiors)):
            points: Ring = tuple((float(x), float(y)) for x, y in ring.coords[:-1])
            rings.append(oriented(points, anticlockwise=n == 0))
    return Region(tuple(rings)) if rings else None
