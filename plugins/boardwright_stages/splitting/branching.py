"""Which joints may have two others beside one another on their right: where boards may have three neighbours.

Claim: every three joints that can be sides of one board are found; the board's three joints lie within its
diagonal. What this does not know: whether the board between them fits (``row``).
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely

from .chords import Index
from .directions import Array
from .piece import FIT_MM
from .settings import SplittingSettings

BLOCK = 2000  # joints looked round in one go


def beside_one_another(
    start: Array,
    end: Array,
    begins: Array,
    takes: Array,
    joint: Index,
    round_mm: float,
    settings: SplittingSettings,
) -> dict[int, Index]:
    """For a joint the joints on its right near enough, where some two of them lie beside one another.

    ``begins``, ``takes``: the stretch of ring (mm) on the right of each joint.
    """
    diagonal = math.hypot(*settings.box_mm) + FIT_MM
    count = len(start) // 2
    # a joint longer than a board is no side of one
    sides = np.flatnonzero(np.hypot(*(end - start)[:count].T) <= diagonal)
    middles = shapely.points((start[sides] + end[sides]) / 2)
    tree = shapely.STRtree(middles)
    found: dict[int, Index] = {}
    for k in range(0, len(sides), BLOCK):
        one, other = tree.query(middles[k : k + BLOCK], "dwithin", distance=diagonal)
        one, other = sides[one + k], sides[other]
        apart = [np.hypot(*(a[one] - b[other]).T) <= diagonal for a in (start, end) for b in (start, end)]
        near = np.all(apart, axis=0) & (joint[one] != joint[other])
        one, other = one[near], other[near]
        for turned in (0, count):
            i = np.concatenate((one, one)) + turned
            j = np.concatenate((other, other + count))
            from_i = (begins[j] - begins[i] + 1e-6) % round_mm - 1e-6
            inside = from_i + takes[j] <= takes[i] + 1e-6
            found |= _some_beside(i[inside], j[inside], from_i[inside], takes[j][inside])
    return found


def _some_beside(i: Index, j: Index, begins: Array, takes: Array) -> dict[int, Any]:
    order = np.lexsort((j, i))
    i, j, begins, takes = i[order], j[order], begins[order], takes[order]
    owners, first = np.unique(i, return_index=True)
    if not len(owners):
        return {}
    earliest = np.minimum.reduceat(begins + takes, first)
    latest = np.maximum.reduceat(begins, first)
    past = np.append(first[1:], len(i))
    some = np.flatnonzero(earliest <= latest + 1e-6)
    return {int(owners[k]): j[first[k] : past[k]] for k in some}
