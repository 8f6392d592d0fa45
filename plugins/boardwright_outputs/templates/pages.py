"""Templates of one board → PDF, full size; the same bytes for the same board.

A template is a map (when it needs more than one page) and its pages. A page shows its window of the drawing
in a frame, crosses where it meets its neighbours, bars both ways to be measured (100 mm; 4" where all is in
inches), and what it is.

What this does not know: letters outside western alphabets (the standard PDF fonts have none): they are
printed as ``?``. Long names are cut.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Any

from boardwright.display import IN_MM, MM_PER_INCH, DisplaySettings
from boardwright.plan.model import Point
from boardwright_timber.model import Part

from ..drawings.drawing import Align, Box, Drawing, Item, Polyline, Text, item_box
from ..drawings.ink import CAPITAL, FONT, fitted_text, operators
from ..drawings.pdf import begun
from ..drawings.room import crosses
from .paper import Page, pages
from .settings import TemplateSettings
from .tiling import Tiling, tiled
from .view import template, words

BAR_MM = 100.0
BAR_IN_INCHES_MM = 4 * MM_PER_INCH
_CROSS_MM = 4.0
_SMALL_MM = 2.2
_PAIR = "Cut two sides along the dotted frame, lay the crosses of one page on those of the next, tape them."
_PROVE = "Print at 100 %, never fitted to the page; measure both bars before you use it: paper stretches."
_BLANK = "Nothing lies here: this page keeps its neighbours in place."
_SAW = "Check a length against the workbook before you cut. Goggles, mask, guard in place, work clamped."


def template_pages(
    title: str, parts: Sequence[Part], settings: TemplateSettings, show: DisplaySettings = IN_MM
) -> bytes:
    """The templates of ``parts``, one after the other. ``title`` names layout and board."""
    from reportlab.lib.units import mm

    kept = io.BytesIO()
    canvas = begun(kept, title)
    for part in parts:
        drawing = template(part, show)
        page, tiling = _best(part, drawing, settings, show)
        sheets = len(tiling.tiles)
        if sheets > 1:
            _begin(canvas, page, mm)
            _map(_Paper(canvas, page, show), title, part, drawing, tiling)
            canvas.showPage()
        for number, tile in enumerate(tiling.tiles, 1):
            _begin(canvas, page, mm)
            paper = _Paper(canvas, page, show)
            place = f"Page {tile.name}, {number} of {sheets}." if sheets > 1 else "One page."
            place += "" if any(_lies_in(i, tile.window) for i in drawing.items) else f" {_BLANK}"
            paper.show(drawing, tile.window, tiling.crosses)
            paper.say(f"{title}. {part.id}, {part.role}. {place}", words(part, show), _PROVE)
            canvas.showPage()
    canvas.save()
    return kept.getvalue()


def _best(
    part: Part, drawing: Drawing, settings: TemplateSettings, show: DisplaySettings
) -> tuple[Page, Tiling]:
    """The way round of the paper that needs fewest pages; upright when both need as many."""
    frame = drawing.frame
    rings = (part.ring,)
    choices = []
    for page in pages(settings, (frame.width, frame.height), show):
        choices.append((page, tiled(rings, frame, page.window, settings.overlap_mm)))
    return min(choices, key=lambda c: (len(c[1].tiles), c[0].width_mm * c[0].height_mm))


def _lies_in(item: Item, window: Box) -> bool:
    """Does any of its ink lie in the window? A run of lines is asked line by line, the rest by its box."""
    if not item_box(item).meets(window):
        return False
    return not isinstance(item, Polyline) or any(crosses(line, window) for line in item.segments)


def _begin(canvas: Any, page: Page, unit: float) -> None:
    canvas.setPageSize((page.width_mm * unit, page.height_mm * unit))
    canvas.scale(unit, unit)
    canvas.setLineJoin(1)


def _map(paper: _Paper, title: str, part: Part, drawing: Drawing, tiling: Tiling) -> None:
    """The whole part made small, with the windows of its pages and their names."""
    c = paper.canvas
    windows = [t.window for t in tiling.tiles]
    whole = Box(
        min(drawing.frame.left, *(w.left for w in windows)),
        min(drawing.frame.bottom, *(w.bottom for w in windows)),
        max(drawing.frame.right, *(w.right for w in windows)),
        max(drawing.frame.top, *(w.top for w in windows)),
    )
    left, bottom = paper.page.corner
    wide, high = paper.page.window
    head = 16.0
    share = min(wide / whole.width, (high - head) / whole.height)
    letter = 3.0 / share
    c.saveState()
    c.translate(left, bottom)
    c.scale(share, share)
    c.translate(-whole.left, -whole.bottom)
    c.addLiteral(operators([i for i in drawing.items if not isinstance(i, Text)], 1.0, share))
    c.setDash()
    c.setStrokeGray(0.3)
    c.setLineWidth(0.25 / share)
    for tile in tiling.tiles:
        w = tile.window
        c.rect(w.left, w.bottom, w.width, w.height)
        x, y = w.centre
        c.setFillGray(1.0)  # no edge or track runs through the name
        c.rect(x - 1.2 * letter, y - 0.4 * letter, 2.4 * letter, 1.8 * letter, stroke=0, fill=1)
        c.setFillGray(0.0)
        paper.write(tile.name, x, y, letter, Align.CENTRE)
    c.restoreState()
    top = bottom + high - 3.0
    for n, line in enumerate(
        (f"{title}. {part.id}, {part.role}: {len(windows)} pages", words(part, paper.show_as), _PAIR, _SAW)
    ):
        paper.write(line, left, top - 3.6 * n, _SMALL_MM if n else 1.3 * _SMALL_MM, Align.LEFT, wide)
    paper.say("Map: not to scale", "", "")


class _Paper:
    """One page of a canvas whose unit is the millimetre."""

    def __init__(self, canvas: Any, page: Page, show: DisplaySettings) -> None:
        self.canvas, self.page, self.show_as = canvas, page, show
        #: How long the bars are, in how many parts, and every how many parts a tick is long.
        self.bar = (BAR_IN_INCHES_MM, 16, 4) if show.units == "in" else (BAR_MM, 10, 5)

    def show(self, drawing: Drawing, window: Box, crosses: Sequence[Point]) -> None:
        c = self.canvas
        left, bottom = self.page.corner
        c.saveState()
        clip = c.beginPath()
        clip.rect(left, bottom, window.width, window.height)
        c.clipPath(clip, stroke=0, fill=0)
        c.translate(left - window.left, bottom - window.bottom)
        c.addLiteral(operators([i for i in drawing.items if item_box(i).grown(1.0).meets(window)], 1.0))
        c.setDash()
        c.setStrokeGray(0.0)
        c.setLineWidth(0.15)
        near = window.grown(_CROSS_MM)
        for x, y in (p for p in crosses if near.left < p[0] < near.right and near.bottom < p[1] < near.top):
            c.line(x - _CROSS_MM, y, x + _CROSS_MM, y)
            c.line(x, y - _CROSS_MM, x, y + _CROSS_MM)
            c.circle(x, y, _CROSS_MM / 2)
        c.restoreState()
        c.setStrokeGray(0.6)
        c.setLineWidth(0.1)
        c.setDash([1.0, 1.0])
        c.rect(left, bottom, window.width, window.height)
        c.setDash()

    def say(self, what: str, how: str, proof: str) -> None:
        """The words under the window and, on a full-size page (``proof`` given), the bars."""
        left, bottom = self.page.corner
        row = bottom - 3.2
        right = left + self.bar[0] + 14.0 if proof and self.page.window[0] > 2 * self.bar[0] else left
        if proof:
            self._bars(left, bottom)
            row = row if right > left else row - 4.0
        room = self.page.width_mm - right - 2.0
        for text, height in ((what, _SMALL_MM), (how, 0.8 * _SMALL_MM), (proof, 0.8 * _SMALL_MM)):
            if text:
                self.write(text, right, row, height, Align.LEFT, room)
                row -= 3.0

    def _bars(self, left: float, bottom: float) -> None:
        c = self.canvas
        c.setStrokeGray(0.0)
        c.setLineWidth(0.2)
        y, x = bottom - 3.0, left - 3.0
        long, parts, major = self.bar
        c.line(left, y, left + long, y)
        c.line(x, bottom, x, bottom + long)
        for k in range(parts + 1):
            tick, at = 1.6 if k % major == 0 else 0.9, k * long / parts
            c.line(left + at, y - tick / 2, left + at, y + tick / 2)
            c.line(x - tick / 2, bottom + at, x + tick / 2, bottom + at)
        self.write(self.show_as.length(long), left + long + 1.0, y - 0.8, 0.7 * _SMALL_MM, Align.LEFT)
        c.saveState()
        c.translate(x + 0.8, bottom + long + 1.0)
        c.rotate(90)
        self.write(self.show_as.length(long), 0.0, 0.0, 0.7 * _SMALL_MM, Align.LEFT)
        c.restoreState()

    def write(
        self, text: str, x: float, y: float, height_mm: float, align: Align, room_mm: float = math.inf
    ) -> None:
        """Write a line, smaller where it would be longer than ``room_mm``."""
        c = self.canvas
        shown, height = fitted_text(text, height_mm, room_mm)
        c.setFont(FONT, height / CAPITAL)
        put = {Align.LEFT: c.drawString, Align.CENTRE: c.drawCentredString, Align.RIGHT: c.drawRightString}
        put[align](x, y, shown)
