"""Flat faces (of solids, of things drawn in space) that share sides are one surface, not one each."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from .drawn import Curve

KINDS = ("SOLID", "TRACE", "3DFACE")
"""Flat faces of three or four corners, of which several may make one surface."""


def joined(filled: Sequence[Curve]) -> list[Curve]:
    """The boundaries of filled areas; faces that touch are one. An upright face, seen from above, is none."""
    import shapely

    faces = [c for c in filled if c.type in KINDS]
    rest = [c for c in filled if c.type not in KINDS]
    if len(faces) < 2:
        return [*rest, *faces]
    shapes = [shapely.make_valid(shapely.Polygon(c.points)) for c in faces]
    whole = shapely.union_all([shape for shape in shapes if shape.area > 0])
    for part in shapely.get_parts(whole):
        if isinstance(part, shapely.Polygon):
            for ring in (part.exterior, *part.interiors):
                corners = tuple((float(x), float(y)) for x, y in ring.coords[:-1])
                rest.append(msgspec.structs.replace(faces[0], points=corners))
    return rest
