"""A trim a little narrower that saves sheets: where one strip more fits across, or one length more along.

Claim: only a cutting that is proven to take the fewest sheets at its trim is looked at, and a trim is told
only when a cutting with it was found that takes a tenth of the sheets less at least, and no cut more that
the saw cannot make. It is the widest of half millimetres at which the bound allows so few.

LEAST_SHARE of the trim stays: how untrue factory edges may be is common practice, no source.

What this does not know: your sheets' edges; curved parts that would share other blanks then.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from .bounds import fewest_sheets
from .limits import Limits, beyond
from .matching import usable
from .piece import Area, Blank
from .search import search
from .settings import CuttingSettings, StockSheet

LEAST_SHARE = 0.5
STEP_MM = 0.5
SAVED_SHARE = 0.1


class Trim(NamedTuple):
    """What would do: this trim, for so many sheets."""

    trim_mm: float
    sheets: int


def narrower(
    blanks: Sequence[Blank],
    areas: Sequence[Area],
    prices: Sequence[float],
    stocked: Sequence[StockSheet],
    settings: CuttingSettings,
    limits: Limits,
    used: int,
    impossible: int,
) -> Trim | None:
    """For a cutting that takes ``used`` sheets, ``impossible`` of its cuts too long for the saw."""
    wanted = math.floor(used * (1 - SAVED_SHARE))

    def inside(steps: int) -> list[Area]:
        less = settings.changed(trim_mm=steps * STEP_MM)
        sizes = [usable(stocked[a.kind], less) for a in areas]
        return [
            Area(kind=a.kind, length=size[0], width=size[1], quantity=a.quantity)
            for a, size in zip(areas, sizes, strict=True)
        ]

    def allows(steps: int) -> bool:
        return fewest_sheets(blanks, inside(steps), limits.kerf) <= wanted

    low = math.ceil(settings.trim_mm * LEAST_SHARE / STEP_MM)
    high = math.ceil(settings.trim_mm / STEP_MM)  # the first that is no narrower
    if low >= high or not wanted or not allows(low):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if allows(middle) else (low, middle)
    found = search(blanks, inside(low), prices, wanted, limits, settings.stages)
    if len(found.sheets) > wanted or sum(beyond(s.root, limits) for s in found.sheets) > impossible:
        return None
    return Trim(low * STEP_MM, len(found.sheets))
