"""Fewest sheets possible: a figure no cutting can go below, however it is sawn.

Grow every blank and the sheet by one kerf on its right and upper side: blanks a kerf apart then do not
overlap in the grown sheet, so the total grown area over the grown sheet's area is a lower bound. It is
sharpened by counting blanks over half the sheet in full: f(x) = 0 below a, x in between, 1 above 1 - a keeps
every set that fits fitting (dual feasible functions of Fekete and Schepers; from memory, the proof is short:
two sizes over 1 - a never fit together, and one of them leaves room only for sizes below a).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from .piece import Area, Blank

MOST_THRESHOLDS = 24


def fewest_sheets(blanks: Sequence[Blank], areas: Sequence[Area], kerf: int) -> int:
    """Lower bound on the number of sheets, over all sawing orders, in integer arithmetic."""
    if not blanks:
        return 0
    length = max(a.length for a in areas) + kerf
    width = max(a.width for a in areas) + kerf
    grown = [(tuple((x + kerf, y + kerf) for x, y in b.ways), len(b.parts)) for b in blanks]
    along = _thresholds((x for ways, _ in grown for x, _ in ways), length)
    across = _thresholds((y for ways, _ in grown for _, y in ways), width)
    best = 1
    for a in along:
        for b in across:
            total = sum(
                copies * min(_counted(x, a, length) * _counted(y, b, width) for x, y in ways)
                for ways, copies in grown
            )
            best = max(best, -(-total // (length * width)))
    return best


def _counted(size: int, threshold: int, whole: int) -> int:
    if size > whole - threshold:
        return whole
    return 0 if size < threshold else size


def _thresholds(sizes: Iterable[int], whole: int) -> list[int]:
    """0 (plain size) and the sizes and complements that change the count, up to half; thinned when many."""
    wanted = {s for size in sizes for s in (size, whole - size + 1) if 0 < s <= whole // 2}
    found = sorted(wanted | {whole // 2})
    if len(found) > MOST_THRESHOLDS:
        step = (len(found) - 1) / (MOST_THRESHOLDS - 1)
        found = sorted({found[round(n * step)] for n in range(MOST_THRESHOLDS)})
    return [0, *found]
