"""What to measure across a frame to know that it is square: distances between its outer corners.

Claim: with its sides of the right lengths, a frame has the right shape when these are right as well. Four
corners get both diagonals (equal ones on a rectangle); more corners get the longest ones that stay inside the
frame and cross no other, which part it into triangles, and a triangle cannot be pulled out of shape.

What this does not know: twist. Sight along the tops, or lay the frame on a flat floor.
"""

from __future__ import annotations

import math

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Diagonal

GRAZE_MM = 0.01


def diagonals(outer: Ring) -> tuple[Diagonal, ...]:
    """The diagonals of a frame's outer line, the longest first. Three corners have none."""
    import shapely

    n = len(outer)
    frame = shapely.Polygon(outer).buffer(GRAZE_MM)
    pairs = [(i, k) for i in range(n) for k in range(i + 2, n) if (i, k) != (0, n - 1)]
    inside = [(i, k) for i, k in pairs if frame.covers(shapely.LineString((outer[i], outer[k])))]
    inside.sort(key=lambda pair: (-round(math.dist(outer[pair[0]], outer[pair[1]]), 3), pair))
    kept: list[tuple[int, int]] = []
    for pair in inside:
        if n == 4 or not any(_cross(pair, other) for other in kept):
            kept.append(pair)
    return tuple(_diagonal(outer[i], outer[k]) for i, k in kept)


def _cross(one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Inside one outline they cross when the corners of one lie on either side of the other."""
    (a, b), (c, d) = one, other
    return (a < c < b) != (a < d < b) and len({a, b, c, d}) == 4


def _diagonal(a: Point, b: Point) -> Diagonal:
    return Diagonal(start=a, end=b, length_mm=round(math.dist(a, b), 6))
