"""Checks of a plan as a whole: its size, and whether things lie on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import msgspec

from ..findings import Notes, Place
from .model import Device, LiftOut, Outline, Turnout

SMALLEST_MM, SMALL_MM, LARGE_MM, LARGEST_MM = 150.0, 300.0, 40_000.0, 200_000.0
"""Longer side of a whole layout: below or above the outer pair it cannot be one, between the pairs it is odd.
Common practice, no source."""

_LIKELY_MM = (600.0, 20_000.0)
_FACTORS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}


class Extent(msgspec.Struct, frozen=True, kw_only=True):
    """The box round all outlines."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


def extent(outlines: Sequence[Outline]) -> Extent | None:
    points = [p for o in outlines for p in o.ring]
    if not points:
        return None
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Extent(x_mm=min(xs), y_mm=min(ys), width_mm=max(xs) - min(xs), height_mm=max(ys) - min(ys))


def size(box: Extent, unit: str, file: str, notes: Notes, problems: Notes) -> None:
    """Is the whole as large as layouts are? Names the unit that would make it so."""
    longer = max(box.width_mm, box.height_mm)
    if SMALL_MM <= longer <= LARGE_MM:
        return
    drawn = longer / _FACTORS[unit]
    low, high = _LIKELY_MM
    likely = [u for u in ("m", "in", "ft", "cm", "mm") if u != unit and low <= drawn * _FACTORS[u] <= high]
    says = f"the layout is {_mm(box.width_mm)} × {_mm(box.height_mm)} mm over all, read in {unit}"
    mend = "Check the drawing's units; set units under [drawing]."
    if likely:
        says += f"; it looks like {' or '.join(_WORDS[u] for u in likely)}"
        mend = f'Try units = "{likely[0]}" under [drawing].'
    where = Place(file=file, key="[drawing] units")
    if SMALLEST_MM <= longer <= LARGEST_MM:
        notes.caution("BW-READ-006", says, where, mend)
    else:
        problems.fault("BW-READ-005", says, where, mend)


_WORDS = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}


def _mm(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def on_the_layout(
    outlines: Sequence[Outline],
    devices: Sequence[Device],
    turnouts: Sequence[Turnout],
    lift_outs: Sequence[LiftOut],
    notes: Notes,
    problems: Notes,
) -> None:
    """Tell of devices, turnouts and lift-out marks that are not on the layout.

    A device that is not on it makes the input unusable: no board would leave room for it, and the pack
    would be built round a motor that is not there.
    """
    import shapely

    surface = shapely.unary_union([shapely.Polygon(o.ring, o.wells) for o in outlines])
    shapely.prepare(surface)
    inside: Callable[[Any], bool] = surface.covers
    for d in devices:
        if not inside(shapely.Point(d.x_mm, d.y_mm)):
            problems.fault(
                "BW-READ-048",
                f"{d.id} ({d.kind}) is not on the layout",
                d.place,
                "Move it onto the layout, or correct x_mm and y_mm, counted from the drawing's origin.",
            )
        elif not inside(shapely.Polygon(d.footprint())):
            notes.caution(
                "BW-READ-049",
                f"{d.id} ({d.kind}) reaches over the edge of the layout",
                d.place,
                "Move or turn it, or correct its length and width.",
            )
    for t in turnouts:
        if not inside(shapely.Polygon(t.ring)):
            notes.caution(
                "BW-READ-029",
                f"turnout {t.id} is not wholly on the layout",
                t.place,
                "Move it, or widen the edge.",
            )
    for mark in lift_outs:
        if not inside(shapely.Point(mark.x_mm, mark.y_mm)):
            notes.caution(
                "BW-READ-028",
                f"the lift-out mark {mark.id} is not on the layout and does nothing",
                mark.place,
                "Move the mark onto the board that lifts out.",
            )
