"""Wire to buy, by size and colour."""

from __future__ import annotations

from collections.abc import Iterable

from boardwright_timber.model import WireRun, WireTotal


def totals_of(runs: Iterable[WireRun]) -> tuple[WireTotal, ...]:
    """Metres of one core of every size and colour, thinnest first, and the longest single piece."""
    metres: dict[tuple[float, str, str], float] = {}
    longest: dict[tuple[float, str, str], float] = {}
    for run in runs:
        for colour in run.colours:
            key = (run.area_mm2, run.size, colour)
            for leg in run.legs:
                metres[key] = metres.get(key, 0.0) + leg.length_mm / 1000
                longest[key] = max(longest.get(key, 0.0), leg.length_mm)
    return tuple(
        WireTotal(size=size, colour=colour, metres=round(metres[key], 3), longest_mm=longest[key])
        for key in sorted(metres)
        for _, size, colour in (key,)
    )
