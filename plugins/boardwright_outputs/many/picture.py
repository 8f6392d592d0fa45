"""The picture of a study: the first figure that counts along the bottom, each of the others up the side.

One panel for each of the others, one under the other, with the same scale along the bottom, so that a
construction stands in one upright line of all panels. Filled: best; hollow: beaten; a cross: it has faults.
Nothing is told by colour alone, and every mark has its words.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from html import escape

from boardwright.figures import Figure
from boardwright.many.model import Construction, Study

from ..workbook.inert import visible
from .study_book import said, verdict

WIDTH, HIGH, LEFT, RIGHT, TOP, BOTTOM = 900, 260, 90, 20, 26, 44
TICKS = 6
#: Half the width of a mark, and the width of a digit beside it.
MARK, DIGIT = 5.0, 6.5
#: Where a number may stand beside its mark: right and left of it, over and under it (y runs down).
SIDES = ((1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1), (0, 1))

type Place = tuple[float, float]


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
    at = {c.number: (xs.at(_value(c, across)), ys.at(_value(c, up))) for c in ordered}
    parts += [_mark(c, *at[c.number], (across, up)) for c in ordered]
    parts += numbers([c.number for c in points if c.best], at, top)
    return "".join(parts)


def numbers(best: Sequence[int], at: Mapping[int, Place], top: float) -> Iterator[str]:
    """The numbers of the best, those of marks upon each other together, beside other marks and numbers."""
    together: list[list[int]] = []
    for number in best:
        with_it = next((g for g in together if math.dist(at[g[0]], at[number]) < MARK), None)
        if with_it is None:
            together.append([number])
        else:
            with_it.append(number)
    taken = [(x - MARK, y - MARK, x + MARK, y + MARK) for x, y in at.values()]
    for group in together:
        text = ", ".join(map(str, group))
        boxes = [_label_box(*at[group[0]], len(text) * DIGIT, side) for side in SIDES]
        free = [
            b for b in boxes if b[1] > top + TOP - 10 and b[2] < WIDTH and not any(_meet(b, t) for t in taken)
        ]
        box = next(iter(free), boxes[0])
        taken.append(box)
        yield f'<text class="number" x="{box[0]:.1f}" y="{box[3]:.1f}">{text}</text>'


def _label_box(x: float, y: float, wide: float, side: Place) -> tuple[float, float, float, float]:
    """Left, upper, right and lower edge of a number beside a mark."""
    left = x + side[0] * (MARK + 1) - (wide if side[0] < 0 else wide / 2 if side[0] == 0 else 0)
    low = y + (-MARK if side[1] < 0 else MARK + 9 if side[1] > 0 else 4)
    return left, low - 9, left + wide, low


def _meet(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _named(figure: Figure) -> str:
    return _text(f"{figure.says}, {figure.unit}" if figure.unit else figure.says)


def _mark(c: Construction, x: float, y: float, keys: tuple[str, ...]) -> str:
    words = _text(f"No. {c.number}, {verdict(c)}. {said(c, keys)}")
    if not c.sound:
        shape = f'<path class="faulty" d="M{x - 4:.1f} {y - 4:.1f}l8 8m-8 0l8-8"/>'
    else:
        shape = f'<circle class="{"best" if c.best else "beaten"}" cx="{x:.1f}" cy="{y:.1f}" r="4.5"/>'
    return f"<g><title>{words}</title>{shape}</g>"


def _text(text: str) -> str:
    return escape(visible(text))
