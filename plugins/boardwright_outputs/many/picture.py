"""The picture of a study: the first figure that counts along the bottom, each of the others up the side.

One panel for each of the others, one under the other, with the same scale along the bottom, so that a
construction stands in one upright line of all panels. Filled: best; hollow: beaten; a cross: it has faults.
Nothing is told by colour alone, and every mark has its words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape

from boardwright.figures import Figure
from boardwright.many.model import Construction, Study

from ..workbook.inert import visible
from .study_book import said, verdict

WIDTH, HIGH, LEFT, RIGHT, TOP, BOTTOM = 900, 260, 90, 20, 26, 44
TICKS = 6


def picture(study: Study) -> str:
    """One ``<svg>``; empty when there are not two figures to draw."""
    points = [c for c in study.constructions if _known(c, study.counts)]
    if len(study.counts) < 2 or not points:
        return ""
    first, *others = study.counts
    whole = HIGH * len(others)
    panels = "".join(_panel(points, first, key, HIGH * n) for n, key in enumerate(others))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {whole}" role="img" '
        f'aria-labelledby="study-t"><title id="study-t">{_text(_titled(points[0], study.counts))}</title>'
        f"{panels}</svg>"
    )


def _titled(c: Construction, counts: Sequence[str]) -> str:
    first, *others = (_figure(c, key).says.lower() for key in counts)
    return f"{', '.join(others)} over {first}, a mark for each construction"


def _known(c: Construction, counts: Sequence[str]) -> bool:
    return all((f := c.figure(key)) is not None and f.value is not None for key in counts)


def _figure(c: Construction, key: str) -> Figure:
    found = c.figure(key)
    assert found is not None, "only constructions with every figure are drawn"
    return found


def _value(c: Construction, key: str) -> float:
    value = _figure(c, key).value
    assert value is not None, "only constructions with every figure are drawn"
    return value


class _Scale:
    """From values to places on the page, with round numbers for the ticks."""

    def __init__(self, values: Sequence[float], start: float, end: float) -> None:
        low, high = min(values), max(values)
        room = (high - low) * 0.06 or abs(high) * 0.1 or 1.0
        self.low, self.high, self.start, self.end = low - room, high + room, start, end

    def at(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def ticks(self) -> list[float]:
        raw = (self.high - self.low) / TICKS
        ten: float = 10.0 ** math.floor(math.log10(raw))
        step = next(ten * k for k in (1, 2, 5, 10) if ten * k >= raw)
        first = math.ceil(self.low / step)
        return [round(n * step, 9) for n in range(first, math.floor(self.high / step) + 1)]


def _panel(points: Sequence[Construction], across: str, up: str, top: float) -> str:
    xs = _Scale([_value(c, across) for c in points], LEFT, WIDTH - RIGHT)
    ys = _Scale([_value(c, up) for c in points], top + HIGH - BOTTOM, top + TOP)
    bottom = top + HIGH - BOTTOM
    parts = []
    for tick in xs.ticks():
        x = xs.at(tick)
        parts.append(f'<path class="grid" d="M{x:.1f} {bottom:.1f}V{top + TOP:.1f}"/>')
        parts.append(
            f'<text class="tick" x="{x:.1f}" y="{bottom + 14:.1f}" text-anchor="middle">{tick:g}</text>'
        )
    for tick in ys.ticks():
        y = ys.at(tick)
        parts.append(f'<path class="grid" d="M{LEFT} {y:.1f}H{WIDTH - RIGHT}"/>')
        parts.append(f'<text class="tick" x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{tick:g}</text>')
    axis = _figure(points[0], across)
    side = _figure(points[0], up)
    parts.append(
        f'<text class="axis" x="{WIDTH - RIGHT}" y="{bottom + 32:.1f}" text-anchor="end">'
        f"{_named(axis)}</text>"
    )
    parts.append(f'<text class="axis" x="{LEFT}" y="{top + 16:.1f}">{_named(side)}</text>')
    ordered = sorted(points, key=lambda c: (c.best, c.number))
    parts += [_mark(c, xs.at(_value(c, across)), ys.at(_value(c, up)), (across, up)) for c in ordered]
    return "".join(parts)


def _named(figure: Figure) -> str:
    return _text(f"{figure.says}, {figure.unit}" if figure.unit else figure.says)


def _mark(c: Construction, x: float, y: float, keys: tuple[str, ...]) -> str:
    words = _text(f"No. {c.number}, {verdict(c)}. {said(c, keys)}")
    if not c.sound:
        shape = f'<path class="faulty" d="M{x - 4:.1f} {y - 4:.1f}l8 8m-8 0l8-8"/>'
    else:
        shape = f'<circle class="{"best" if c.best else "beaten"}" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
    label = f'<text class="number" x="{x + 6:.1f}" y="{y - 5:.1f}">{c.number}</text>' if c.best else ""
    return f"<g><title>{words}</title>{shape}{label}</g>"


def _text(text: str) -> str:
    return escape(visible(text))
