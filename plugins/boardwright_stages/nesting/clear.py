"""Offcuts as they are: any outline, places to keep out. What a saw can use of one is an upright rectangle.

Claim: the rectangle lies inside the outline and off every place kept out. It is the largest on a grid through
all their corners and ``STEPS`` lines between, so on slanted edges a little less than the largest there is.

Glossary
    keep out   a knot, a hole, a corner that was knocked off, old screws
    squared    an offcut once it is sawn to that rectangle

What this does not know: the rest of the offcut beside that rectangle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec.structs import replace

from boardwright.plan.model import Point
from boardwright_timber.model import CutSheet

from .settings import StockSheet

STEPS = 24
type Box = tuple[float, float, float, float]  # left, bottom, length, width


def clear(sheet: StockSheet) -> Box:
    """The whole sheet, or the largest upright rectangle of one that is not whole; 0 × 0: there is none."""
    if not sheet.shape and not sheet.keep_out:
        return (0.0, 0.0, sheet.length_mm, sheet.width_mm)
    from shapely import Polygon, box, prepare
    from shapely.ops import unary_union

    outline = Polygon(sheet.outline)
    sound = outline.difference(unary_union([Polygon(ring) for ring in sheet.keep_out])).buffer(1e-6)
    prepare(sound)
    corners = [p for ring in (sheet.outline, *sheet.keep_out) for p in ring]
    xs = _grid([x for x, _ in corners], sheet.length_mm)
    ys = _grid([y for _, y in corners], sheet.width_mm)
    rows = [[sound.contains(box(a, b, c, d)) for a, c in pairwise(xs)] for b, d in pairwise(ys)]
    found = max(_rectangles(rows, xs, ys), key=lambda r: (round(r[2] * r[3], 6), r[2]), default=None)
    return found or (0.0, 0.0, 0.0, 0.0)


def squared(sheet: StockSheet) -> StockSheet:
    """The sheet once it is sawn to its clear rectangle."""
    _, _, length, width = clear(sheet)
    return replace(sheet, length_mm=max(length, 1e-3), width_mm=max(width, 1e-3), shape=(), keep_out=())


def sawn_from(sheet: CutSheet, stock: StockSheet) -> CutSheet:
    """A cut sheet laid out on a squared offcut, with where it lies on the offcut as it is."""
    if not stock.shape and not stock.keep_out:
        return sheet
    x, y, _, _ = clear(stock)

    def shifted(ring: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((round(a - x, 6), round(b - y, 6)) for a, b in ring)

    return replace(
        sheet,
        squared=(x, y),
        outline=shifted(stock.outline),
        keep_out=tuple(shifted(ring) for ring in stock.keep_out),
    )


def _grid(values: Sequence[float], whole: float) -> list[float]:
    lines = {round(v, 3) for v in values} | {round(whole * n / STEPS, 3) for n in range(STEPS + 1)}
    return sorted(v for v in lines if 0 <= v <= whole)


def _rectangles(rows: Sequence[Sequence[bool]], xs: Sequence[float], ys: Sequence[float]) -> Iterator[Box]:
    """Every rectangle of free cells that cannot grow to the left, upward or downward."""
    for low in range(len(rows)):
        free = [True] * (len(xs) - 1)
        for high in range(low, len(rows)):
            free = [a and b for a, b in zip(free, rows[high], strict=True)]
            start = None
            for n, here in enumerate([*free, False]):
                if here and start is None:
                    start = n
                elif not here and start is not None:
                    yield (xs[start], ys[low], round(xs[n] - xs[start], 6), round(ys[high + 1] - ys[low], 6))
                    start = None
