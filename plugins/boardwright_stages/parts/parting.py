"""A panel of deck in its pieces: cut across the board first, then each piece along it where it is to be.

Claim: the pieces cover the panel once. Where a cut meets a round edge the pieces have a corner on the arc
itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec.structs import replace

from boardwright.plan.model import Circle, Point, Ring
from boardwright.plan.rings import follows
from boardwright_timber.geometry import lower_left_first, oriented, snap_point, without_repeats
from boardwright_timber.model import Board, LongSeam, Panel

if TYPE_CHECKING:
    from shapely import LinearRing

SLIVER_MM2 = 1.0
SAME_MM = 0.01


def parted(
    whole: Panel, seams: Sequence[float], board: Board, long_seams: Sequence[LongSeam] = ()
) -> list[Panel]:
    """The pieces of a panel between its seams, from left to right; one with seams along it from below."""
    circles = [
        replace(c, x_mm=x, y_mm=y) for c in board.circles for x, y in [board.to_local((c.x_mm, c.y_mm))]
    ]
    return [
        piece
        for strip in _cut(whole, seams, circles)
        for piece in _along(strip, [s.y_mm for s in long_seams if is_of(strip, s)], circles)
    ]


def bounds(panel: Panel) -> tuple[float, float, float, float]:
    """Its smallest upright rectangle: x, y, x, y."""
    xs, ys = [x for x, _ in panel.ring], [y for _, y in panel.ring]
    return min(xs), min(ys), max(xs), max(ys)


def is_of(strip: Panel, seam: LongSeam) -> bool:
    """Whether a seam along the board is one of this piece's."""
    return all(abs(a - b) < SAME_MM for a, b in zip(bounds(strip), seam.piece, strict=True))


def _along(strip: Panel, heights: Sequence[float], circles: Sequence[Circle]) -> list[Panel]:
    """The same with x and y changed for one another."""
    if not heights:
        return [strip]
    turned = [replace(c, x_mm=c.y_mm, y_mm=c.x_mm) for c in circles]
    return [_swapped(p) for p in _cut(_swapped(strip), sorted(heights), turned)]


def _swapped(panel: Panel) -> Panel:
    def ring(points: Ring, *, anticlockwise: bool) -> Ring:
        return lower_left_first(oriented(tuple((y, x) for x, y in points), anticlockwise=anticlockwise))

    return Panel(
        ring=ring(panel.ring, anticlockwise=True),
        wells=tuple(ring(w, anticlockwise=False) for w in panel.wells),
    )


def _cut(whole: Panel, seams: Sequence[float], circles: Sequence[Circle]) -> list[Panel]:
    import shapely

    if not seams:
        return [whole]

    ring, *wells = (_met_on_arcs(r, seams, circles) for r in (whole.ring, *whole.wells))
    shape = shapely.Polygon(ring, wells)
    x0, y0, x1, y1 = shape.bounds
    found = []
    for low, high in pairwise((x0 - 1, *seams, x1 + 1)):
        strip = shape.intersection(shapely.box(low, y0 - 1, high, y1 + 1))
        pieces = [p for p in shapely.get_parts(strip) if p.geom_type == "Polygon" and p.area > SLIVER_MM2]
        found += sorted(pieces, key=lambda p: p.bounds)
    return [
        Panel(
            ring=_points(p.exterior, anticlockwise=True),
            wells=tuple(_points(w, anticlockwise=False) for w in p.interiors),
        )
        for p in found
    ]


def _met_on_arcs(ring: Ring, seams: Sequence[float], circles: Sequence[Circle]) -> Ring:
    """The ring with a corner on the arc itself where a seam meets one. An arc is stored as chords: a piece
    that ended on a chord would be cut straight from there to the arc's next point."""
    found: list[Point] = []
    for a, b in pairwise((*ring, ring[0])):
        found.append(a)
        crossed = [x for x in seams if min(a[0], b[0]) < x < max(a[0], b[0])]
        on = next((c for c in circles if follows(a, b, c)), None) if crossed else None
        if on:
            side = math.copysign(1.0, (a[1] + b[1]) / 2 - on.y_mm)
            rises = [
                on.y_mm + side * math.sqrt(max(on.radius_mm**2 - (x - on.x_mm) ** 2, 0.0)) for x in crossed
            ]
            found += sorted(map(snap_point, zip(crossed, rises, strict=True)), reverse=a[0] > b[0])
    return tuple(found)


def _points(ring: LinearRing, *, anticlockwise: bool) -> Ring:
    points = without_repeats(snap_point((float(x), float(y))) for x, y in ring.coords[:-1])
    return lower_left_first(oriented(points, anticlockwise=anticlockwise))
