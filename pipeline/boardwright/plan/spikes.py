"""Closed edges that go out to a point and back on themselves, enclosing nothing: a slip, or meant as a cut.

What this does not know: spikes of edges that are put together of pieces; those are told as loose pieces.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..findings import Notes
from .drawn import Curve, Drawn
from .model import Point, Ring

LEAST_MM = 1.0
"""Out and back by less than this is not worth a word."""


def tell(drawn: Drawn, found: Sequence[tuple[Ring, Curve]], notes: Notes) -> None:
    """Tell of each, where it is worth a word: rings have no such spikes any more."""
    import shapely

    for ring, shape in found:
        spare = (_way_round(shape.points) - _way_round(ring)) / 2 if ring else 0.0
        if spare > LEAST_MM:
            edge = shapely.LinearRing(ring)
            x, y = max(shape.points, key=lambda p: edge.distance(shapely.Point(p)))
            notes.mended(
                "BW-READ-097",
                f"{spare:.0f} mm of the edge go out and back on themselves, to ({x:.0f}, {y:.0f}); they are "
                "left out",
                drawn.place(shape),
                "Delete them, when convenient. Where boards are to part, draw a line on the layer of joints.",
            )


def _way_round(points: Sequence[Point]) -> float:
    """How long it is all the way round."""
    return sum(map(math.dist, points, (*points[1:], points[0])))
