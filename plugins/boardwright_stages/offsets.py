"""Offsets of shapes inwards that can be worked on.

What this does not know: offsets outwards, which the library leaves sound.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


def inset(shape: BaseGeometry, by_mm: float) -> BaseGeometry:
    """What of a shape is at least so far from its edge, always sound: where several edges come together an
    offset inwards can cross itself (GEOS 3.14), and everything done with it then fails."""
    import shapely

    inner = shape.buffer(-by_mm)
    return inner if inner.is_valid else shapely.make_valid(inner)
