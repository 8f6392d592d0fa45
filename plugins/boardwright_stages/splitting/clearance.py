"""A lift-out's working clearance: its edges at joints stand back, so that it can be lifted out.

Everything made from the board (deck, ends, sides) is so much shorter; the neighbours stay as they are, and
the joint's line stays the neighbour's edge. What this does not know: the swing of a hinged flap's corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely

from boardwright_timber.model import Joint

from .directions import Array
from .piece import Piece, rounded

BEYOND = 3.0  # the strip taken away reaches this many clearances beyond the joint's ends: edges may slant


def stood_back(piece: Piece, joints: Iterable[Joint], clear_mm: float) -> Piece:
    """The piece without a strip ``clear_mm`` wide along each joint."""
    area = shapely.Polygon(piece.rings[0], piece.rings[1:])
    for joint in joints:
        p, q = np.array(joint.start), np.array(joint.end)
        along = (q - p) / math.dist(p, q) * clear_mm
        side = np.array((-along[1], along[0]))
        a, b = p - along * BEYOND, q + along * BEYOND
        area = shapely.difference(area, shapely.Polygon((a - side, b - side, b + side, a + side)))
    whole = max(shapely.get_parts(area), key=lambda part: float(part.area))
    rings = (whole.exterior, *whole.interiors)
    points = [np.array([(rounded(x), rounded(y)) for x, y in r.coords[:-1]]) for r in rings]
    sides = (_turned(r, anticlockwise=k == 0) for k, r in enumerate(points))
    return Piece(tuple(sides))


def _turned(ring: Array, anticlockwise: bool) -> Array:
    is_so = shapely.is_ccw(shapely.linearrings(ring))
    return ring if bool(is_so) == anticlockwise else np.ascontiguousarray(ring[::-1])
