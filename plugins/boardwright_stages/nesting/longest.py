"""The longest strip that the stock gives of a wood, so that a longer one is planned as several.

Claim: a part so long and so wide comes out of some sheet, or out of a bar of its width. Where bars have a
part's width it comes from bars, as when it is cut (``matching``).

What this does not know: how many there are, and offcuts that are no rectangle (they are left out).
"""

from __future__ import annotations

from .matching import SAME_WIDTH_MM
from .settings import CuttingSettings, StockSettings


def longest_strip_mm(
    stock: StockSettings,
    cutting: CuttingSettings,
    wood: tuple[str, float],
    wide_mm: float,
    *,
    any_way: bool = False,
) -> float | None:
    """``wood``: material and thickness; ``any_way``: the grain need not run along. None: no such wood."""
    there = [s for s in stock.sheets if s.material == wood[0] and abs(s.real_mm - wood[1]) < 1e-6]
    bars = [s for s in there if s.bar and abs(s.width_mm - wide_mm) <= SAME_WIDTH_MM]
    sheets = [s for s in there if not s.bar and not s.shape]
    turns = any_way or not cutting.grain
    return max(
        (
            (max(s.length_mm, s.width_mm) if turns and not s.bar else s.length_mm) - 2 * cutting.trim_mm
            for s in bars or sheets
        ),
        default=None,
    )
