"""Fewest sheets possible: a figure no cutting can go below, however it is sawn.

Grow every blank and the sheet by one kerf on its right and upper side: blanks a kerf apart then do not
overlap in the grown sheet, so the total grown area over the grown sheet's area is a lower bound. It is
sharpened by counting blanks over half the sheet in full: f(x) = 0 below a, x in between, 1 above 1 - a keeps
every set that fits fitting (dual feasible functions of Fekete and Schepers; from memory, the proof is short:
two sizes over 1 - a never fit together, and one of them leaves room only for sizes below a). So does a count
in k-ths: f(x) = floor((k + 1) x) / k, and x where (k + 1) x is whole (theirs too, from memory; the proof: all
(k + 1) x of a set that fits sum to k + 1 at most; once one is rounded down and all are whole, to k at most).
Strips of which only k fit across a sheet then count for a k-th of it each.

A second bound: blanks of which no two go on one sheet need a sheet each.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from .piece import Area, Blank

MOST_THRESHOLDS = 24
MOST_FOLDS = 12
MOST_KINDS = 500  # up to which blanks are compared two by two


def fewest_sheets(blanks: Sequence[Blank], areas: Sequence[Area], kerf: int) -> int:
    """Lower bound on the number of sheets, over all sawing orders, in integer arithmetic."""
    import numpy as np

    if not blanks:
        return 0
    length = max(a.length for a in areas) + kerf
    width = max(a.width for a in areas) + kerf
    sizes = [(x + kerf, y + kerf) for b in blanks for x, y in b.ways]
    along = _thresholds((x for x, _ in sizes), length)
    across = _thresholds((y for _, y in sizes), width)
    rows, ranks = _folds((x for x, _ in sizes), length), _folds((y for _, y in sizes), width)
    # machine integers hold the sums of any workshop's list; Python's own take over beyond
    most = length * width * max(rows, default=1) * max(ranks, default=1) * sum(len(b.parts) for b in blanks)
    exact: Any = np.int64 if most < 2**62 else object
    copies = np.array([len(b.parts) for b in blanks], dtype=exact)
    ways = [  # both ways of every blank; one that may not turn has the same twice
        np.array(
            [(b.ways[n % len(b.ways)][0] + kerf, b.ways[n % len(b.ways)][1] + kerf) for b in blanks], exact
        )
        for n in (0, 1)
    ]
    lengths = [_every_count(way[:, 0], length, along, rows) for way in ways]
    widths = [_every_count(way[:, 1], width, across, ranks) for way in ways]
    wholes = np.array([width] * len(across) + [width * k for k in ranks], dtype=exact)
    fewest = 1
    for n, one in enumerate([length] * len(along) + [length * k for k in rows]):
        taken = np.minimum(lengths[0][n] * widths[0], lengths[1][n] * widths[1]) @ copies
        fewest = max(fewest, int((-(-taken // (one * wholes))).max()))
    return max(fewest, _apart(ways, copies, length, width))


def _apart(ways: Sequence[Any], copies: Any, length: int, width: int) -> int:
    """How many blanks are found of which no two go on one sheet, neither side by side nor one above the
    other: those that agree least with the others are taken first."""
    import numpy as np

    if len(copies) > MOST_KINDS:
        return 0
    together = np.zeros((len(copies), len(copies)), dtype=bool)
    for a in ways:
        for b in ways:
            along, across = a[:, None, 0] + b[None, :, 0], a[:, None, 1] + b[None, :, 1]
            together |= (along <= length) | (across <= width)
    weight = np.where(together, 0, copies[None, :]).sum(axis=1)
    found: list[int] = []
    for n in sorted(range(len(copies)), key=lambda n: (-weight[n], n)):
        if not any(together[n, m] for m in found):
            found.append(n)
    return sum(1 if together[n, n] else int(copies[n]) for n in found)


def _every_count(sizes: Any, whole: int, thresholds: Sequence[int], folds: Sequence[int]) -> Any:
    """Each way of counting the sizes in a row of its own."""
    import numpy as np

    return np.array(
        [_counted(sizes, a, whole) for a in thresholds] + [_in_kths(sizes, k, whole) for k in folds]
    )


def _counted(sizes: Any, threshold: int, whole: int) -> Any:
    import numpy as np

    return np.where(sizes > whole - threshold, whole, np.where(sizes < threshold, 0, sizes))


def _in_kths(sizes: Any, k: int, whole: int) -> Any:
    """Counted in k-ths of a ``whole`` that is k times as large: whole numbers throughout."""
    import numpy as np

    more = (k + 1) * sizes
    return np.where(more % whole == 0, k * sizes, more // whole * whole)


def _thresholds(sizes: Iterable[int], whole: int) -> list[int]:
    """0 (plain size) and the sizes and complements that change the count, up to half; thinned when many."""
    wanted = {s for size in sizes for s in (size, whole - size + 1) if 0 < s <= whole // 2}
    found = sorted(wanted | {whole // 2})
    if len(found) > MOST_THRESHOLDS:
        step = (len(found) - 1) / (MOST_THRESHOLDS - 1)
        found = sorted({found[round(n * step)] for n in range(MOST_THRESHOLDS)})
    return [0, *found]


def _folds(sizes: Iterable[int], whole: int) -> list[int]:
    """How often a size goes into the whole, from twice on; the fewest first where they are many."""
    return sorted({whole // size for size in sizes if 2 * size <= whole})[:MOST_FOLDS]
