"""Hatching: parallel lines at 45° that fill a ring, plain lines like all else: every program shows them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from boardwright.plan.model import Point, Ring

#: Shorter pieces are left out.
_LEAST_MM = 1.0


def hatched(ring: Ring, apart_mm: float) -> Iterator[tuple[Point, Point]]:
    """Lines within the ring, ``apart_mm`` from each other, by even and odd crossings."""
    step = apart_mm * math.sqrt(2)
    offsets = [y - x for x, y in ring]
    edges = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    for n in range(math.ceil(min(offsets) / step), math.floor(max(offsets) / step) + 1):
        offset = n * step
        crossed = []
        for (x0, y0), (x1, y1) in edges:
            a, b = y0 - x0 - offset, y1 - x1 - offset
            if (a > 0) != (b > 0):
                crossed.append(x0 + (x1 - x0) * a / (a - b))
        crossed.sort()
        for x, to in zip(crossed[::2], crossed[1::2], strict=False):
            if (to - x) * math.sqrt(2) >= _LEAST_MM:
                yield (x, x + offset), (to, to + offset)
