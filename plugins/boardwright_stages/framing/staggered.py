"""Laminated strips that butt on a curve: each layer is butted somewhere else, so that no seam lies on a seam.

Claim: the layers of strips that follow each other lie end to end along the whole edge, as before; where two
strips meet, every third layer butts there, the next STAGGER_MM further on and the one after as much before
it, or by a quarter of the shorter strip where that is less. Butts are square, on a drawn step of the curve.
Staggering butts: common practice, no source; 150 mm: judgement.

What this does not know: kerfed strips (they have one layer), and how layers are clamped.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.geometry import path_length
from boardwright_timber.model import Bent

STAGGER_MM = 150.0
SHARE = 0.25  # of the shorter strip
TOUCH_MM = 1e-5
OFF_CORNER_MM = 1.0

type Layer = tuple[str, int]  # a strip's name and which of its layers, the outermost 0


class _Cut(NamedTuple):
    """A place on a path: after which of its points, and where."""

    after: int
    at: Point


def layer_lines(bents: Sequence[Bent]) -> dict[Layer, tuple[Point, ...]]:
    """The line of the strips' outer faces along which each layer reaches."""
    found: dict[Layer, tuple[Point, ...]] = {}
    for chain in chains(bents):
        if chain[0].layers == 1:  # nothing lies on another's seam: each as it is, and kerfs where they are
            found |= {(bent.id, 0): bent.outer for bent in chain}
            continue
        closed = len(chain) > 1 and _meet(chain[-1], chain[0])
        path = [chain[0].outer[0], *(p for bent in chain for p in bent.outer[1:])]
        begins = [0.0, *accumulate(path_length(b.outer) for b in chain)]
        for n in range(chain[0].layers):
            cuts = [_Cut(0, path[0])]
            for k in range(1, len(chain)):
                cuts.append(_cut(path, begins[k] + _shift(n, chain[k - 1], chain[k])))
            cuts.append(_Cut(len(path) - 2, path[-1]))
            if closed:
                first = _shift(n, chain[-1], chain[0])
                cuts[0] = cuts[-1] = _cut(path, first % begins[-1])
            for bent, (start, end) in zip(chain, pairwise(cuts), strict=True):
                found[bent.id, n] = _between(path, start, end)
    return found


def chains(bents: Sequence[Bent]) -> list[list[Bent]]:
    """Strips that butt one behind the other; a closed one begins with the strip named first."""
    left, found = list(bents), list[list[Bent]]()
    while left:
        first = next((b for b in left if not any(_meet(o, b) for o in left if o is not b)), left[0])
        left.remove(first)
        chain = [first]
        while (after := next((b for b in left if _meet(chain[-1], b)), None)) is not None:
            left.remove(after)
            chain.append(after)
        found.append(chain)
    return found


def _meet(one: Bent, other: Bent) -> bool:
    """Whether one strip ends where the other begins, square and in line."""
    ends = (one.outer[-1], other.outer[0]), (one.inner[-1], other.inner[0])
    return one.layers == other.layers and all(math.dist(a, b) < TOUCH_MM for a, b in ends)


def _shift(layer: int, before: Bent, after: Bent) -> float:
    """How far past the end of a strip its layer reaches."""
    shorter = min(path_length(before.outer), path_length(after.outer))
    return (0.0, 1.0, -1.0)[layer % 3] * min(STAGGER_MM, SHARE * shorter)


def _cut(path: Sequence[Point], station: float) -> _Cut:
    """The place so far along, off the corners of the drawn steps."""
    stations = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(path))]
    k = min(bisect_right(stations, station) - 1, len(path) - 2)
    (ax, ay), (bx, by) = path[k : k + 2]
    long, far = math.dist((ax, ay), (bx, by)), station - stations[k]
    far = min(max(far, OFF_CORNER_MM), long - OFF_CORNER_MM) if long > 2 * OFF_CORNER_MM else long / 2
    return _Cut(k, (ax + far / long * (bx - ax), ay + far / long * (by - ay)))


def _between(path: Sequence[Point], start: _Cut, end: _Cut) -> tuple[Point, ...]:
    """The path from one place to another, past its end and on from its beginning where that lies between."""
    if (start.after, math.dist(path[start.after], start.at)) < (
        end.after,
        math.dist(path[end.after], end.at),
    ):
        inside = path[start.after + 1 : end.after + 1]
    else:
        inside = [*path[start.after + 1 : -1], *path[: end.after + 1]]
    points = [start.at]
    for p in (*inside, end.at):
        if math.dist(p, points[-1]) > TOUCH_MM:
            points.append(p)
    return tuple(points)
