"""Sizes of paper and what of a page a drawing may fill. Millimetres, page upright, y up.

The sizes are those of ``drawings.paper``.
"""

from __future__ import annotations

from typing import NamedTuple

from boardwright.display import IN_MM, DisplaySettings

from ..drawings.paper import SIZES_MM
from .settings import TemplateSettings

#: Longest piece of a roll. A PDF page may be 200 inches (ISO 32000-1, annex C; from memory).
LONGEST_MM = 5000.0
#: Strips of a page kept for the scale bars and the words under the drawing.
LEFT_STRIP_MM = 9.0
LOWER_STRIP_MM = 14.0


class Page(NamedTuple):
    """``window``: width and height of what a page shows of the drawing; its lower left corner lies at
    ``corner`` on the paper."""

    width_mm: float
    height_mm: float
    margin_mm: float

    @property
    def corner(self) -> tuple[float, float]:
        return self.margin_mm + LEFT_STRIP_MM, self.margin_mm + LOWER_STRIP_MM

    @property
    def window(self) -> tuple[float, float]:
        x, y = self.corner
        return self.width_mm - x - self.margin_mm, self.height_mm - y - self.margin_mm


def pages(
    settings: TemplateSettings, needed_mm: tuple[float, float], show: DisplaySettings = IN_MM
) -> tuple[Page, ...]:
    """Pages to choose from: the paper upright and on its side; a roll cut as long as ``needed_mm`` asks."""
    margin = settings.margin_mm
    if settings.paper == "roll":
        empty = Page(0.0, 0.0, margin)
        length = min(needed_mm[0] - empty.window[0], LONGEST_MM)
        height = min(needed_mm[1] - empty.window[1], LONGEST_MM)
        wide = settings.roll_width_mm
        return Page(max(length, wide), wide, margin), Page(wide, max(height, wide), margin)
    short, long = SIZES_MM[show.office_paper if settings.paper == "office" else settings.paper]
    return Page(short, long, margin), Page(long, short, margin)
