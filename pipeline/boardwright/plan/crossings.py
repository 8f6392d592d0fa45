"""Where tracks cross without joining: two tracks and one diamond between them, however they were drawn.

Glossary
    crossing   a place in the middle of two centrelines where they cross; each stays one track
    diamond    the trackwork of a crossing; like a turnout it must not be cut by a joint
    sharp      lines that cross at less than ``LEAST_DEG`` are taken to touch, not to cross

What this does not know: slips (a block must stand there), and bridges where the drawing gives no heights.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import accumulate, pairwise

import msgspec

from . import rings
from .model import Point

LEAST_DEG = 3.0
"""The sharpest diamonds are some 5°. Common practice, no source."""
MOST_CROSSINGS = 2_000


class Crossing(msgspec.Struct, frozen=True):
    """``lines``: positions of the two; ``far``: how far along each it is; ``legs``: out of it both ways."""

    at: Point
    lines: tuple[int, int]
    far: tuple[float, float]
    legs: tuple[tuple[Point, ...], ...]


def find(lines: Sequence[Sequence[Point]], gap_mm: float, leg_mm: float) -> list[Crossing] | None:
    """All crossings in order of place; None when there are more than any layout has.

    Ends nearer than ``gap_mm`` to a line meet it and do not cross it.
    """
    import shapely

    if not lines:
        return []
    whose_point = [k for k, line in enumerate(lines) for _ in line]
    shapes = shapely.linestrings([p for line in lines for p in line], indices=whose_point)
    tree = shapely.STRtree(shapes)
    pairs: list[tuple[int, int]] = []
    for start in range(0, len(lines), 500):
        one, other = tree.query(shapes[start : start + 500], predicate="intersects")
        both = zip((one + start).tolist(), other.tolist(), strict=True)
        pairs += [(i, j) for i, j in both if i < j]
        if len(pairs) > 4 * MOST_CROSSINGS:
            return None
    tangled = [k for k in range(len(lines)) if not shapely.is_simple(shapes[k])]
    runs = [_Run(line) for line in lines]
    found: dict[tuple[Point, tuple[int, int]], Crossing] = {}
    for i, j in sorted([*pairs, *((k, k) for k in tangled)]):
        for at, far in runs[i].meets(runs[j]):
            if all(gap_mm < f < runs[k].length - gap_mm for f, k in zip(far, (i, j), strict=True)):
                legs = (*runs[i].legs(far[0], leg_mm), *runs[j].legs(far[1], leg_mm))
                found.setdefault((at, (i, j)), Crossing(at, (i, j), far, legs))
        if len(found) > MOST_CROSSINGS:
            return None
    return [crossing for _, crossing in sorted(found.items())]


class _Run:
    """A line with the distances along it."""

    def __init__(self, points: Sequence[Point]) -> None:
        self.points = points
        self.far = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(points))]
        self.length = self.far[-1]

    def meets(self, other: _Run) -> list[tuple[Point, tuple[float, float]]]:
        """Where pieces of the two cross at an angle, and how far along each."""
        import shapely

        mine = shapely.linestrings(list(pairwise(self.points)))
        theirs = mine if other is self else shapely.linestrings(list(pairwise(other.points)))
        closed = self.points[0] == self.points[-1]
        found = []
        one, two = shapely.STRtree(theirs).query(mine, predicate="intersects")
        for n, m in zip(one.tolist(), two.tolist(), strict=True):
            if other is self and (m - n < 2 or (closed and n == 0 and m == len(mine) - 1)):
                continue
            spot = _cross(self.points[n], self.points[n + 1], other.points[m], other.points[m + 1])
            if spot:
                mine_far = self.far[n] + math.dist(self.points[n], spot)
                their_far = other.far[m] + math.dist(other.points[m], spot)
                found.append((rings.snap(*spot), (mine_far, their_far)))
        return found

    def legs(self, far: float, leg_mm: float) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
        """The line from a place on it, back and on."""
        import shapely
        from shapely import ops

        shape = shapely.LineString(self.points)
        back = ops.substring(shape, far, max(0.0, far - leg_mm))
        on = ops.substring(shape, far, min(self.length, far + leg_mm))
        return tuple(back.coords), tuple(on.coords)


def _cross(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Where two straight pieces cross; None when they run too much alike."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    across = ux * vy - uy * vx
    if abs(across) < math.sin(math.radians(LEAST_DEG)) * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    t = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / across
    return (a[0] + ux * t, a[1] + uy * t)
