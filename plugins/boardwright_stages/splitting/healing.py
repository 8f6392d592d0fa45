"""Closing slits: a chord that opened a well but in the end has the same board on both sides is no joint."""

from __future__ import annotations

import numpy as np
import shapely

from .piece import Piece, from_outline


def sound(piece: Piece) -> bool:
    """Is the piece one area once its slits are closed?

    Where a slit passes a point twice, a chord that ends there may part the ring at the wrong passing.
    """
    if not piece.doubled:
        return True
    whole = healed(piece)[0]
    area = shapely.Polygon(whole.rings[0], whole.rings[1:])
    return bool(area.is_valid) and abs(whole.area - piece.area) < 1.0


def healed(piece: Piece) -> tuple[Piece, bool]:
    """The piece without its slits, and whether it had any."""
    segments: dict[tuple[bytes, bytes], int] = {}
    for ring in piece.rings:
        for a, b in zip(ring, np.roll(ring, -1, axis=0), strict=True):
            ends = (a.tobytes(), b.tobytes())
            segments[ends] = segments.get(ends, 0) + 1
    both = {s for s in segments if s[::-1] in segments}
    if not both:
        return piece, False
    once = b"".join(a + b for a, b in segments if (a, b) not in both)
    lines = shapely.linestrings(np.frombuffer(once).reshape(-1, 2, 2))
    faces = shapely.get_parts(shapely.polygonize(lines))
    whole = max(faces, key=lambda f: float(shapely.area(shapely.convex_hull(f))))
    outer = shapely.get_coordinates(shapely.get_exterior_ring(whole))[:-1]
    wells = [shapely.get_coordinates(r)[:-1] for r in whole.interiors]
    as_ring = [tuple((float(x), float(y)) for x, y in r) for r in (outer, *wells)]
    return from_outline(as_ring[0], tuple(as_ring[1:])), True
