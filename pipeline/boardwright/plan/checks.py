"""Checks of a plan as a whole: its size, and whether things lie on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import msgspec

from ..findings import Notes, Place
from . import rings
from .device_columns import Columns
from .levels import Surfaces
from .model import Device, Outline, Track, TrackPlan
from .units import MILLIMETRES, WORDS, Measure

SMALLEST_MM, SMALL_MM, LARGE_MM, LARGEST_MM = 150.0, 300.0, 40_000.0, 200_000.0
"""Longer side of a whole layout: below or above the outer pair it cannot be one, between the pairs it is odd.
Common practice, no source."""
LARGE_MM2 = 150e6
"""Surface of a whole layout: above it is odd, too. A plan of 1200 × 600 read in inches has 465 m².
Common practice, no source."""
BEYOND_MM, BEYOND_MM2 = 1e6, 1e10
"""A kilometre, ten thousand square metres: more than this is not worked on, whoever says so."""

_LIKELY_MM = (600.0, 20_000.0)


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


def size(
    outlines: Sequence[Outline], measure: Measure, ratio: float, file: str, notes: Notes, problems: Notes
) -> None:
    """Is the whole as large as layouts are? Names the setting that would make it so.

    Units that the project file states are obeyed on a tiny and on a huge layout: that is a caution. So is an
    odd size that no other unit explains; a huge one that another unit makes a layout is refused until stated.
    ``ratio`` is the model's scale.
    """
    box = extent(outlines)
    longer = max(box.width_mm, box.height_mm) if box else LARGE_MM
    surface = sum(abs(rings.area(o.ring)) for o in outlines)
    huge = longer > LARGE_MM or surface > LARGE_MM2
    if not box or (longer >= SMALL_MM and not huge):
        return
    likely = _likely(longer / measure.factor, measure, ratio)
    unit = WORDS.get(measure.unit, measure.unit)
    says = f"the layout is {_mm(box.width_mm)} × {_mm(box.height_mm)} mm over all, read in {unit}"
    mend = "Check the drawing's units; set units under [drawing]."
    if likely:
        says += f"; it looks like {' or '.join(words for words, _ in likely)}"
        mend = f"Try {' or '.join(line for _, line in likely)} under [drawing]."
    where = Place(file=file, key="[drawing] units")
    if longer > BEYOND_MM or surface > BEYOND_MM2:
        problems.fault("BW-READ-005", says, where, mend)
    elif measure.stated or (SMALLEST_MM <= longer <= LARGEST_MM and not (huge and likely)):
        notes.caution("BW-READ-006", says, where, mend)
    else:
        if measure.unit in MILLIMETRES:
            mend += f' If it is that size, say so: units = "{measure.unit}".'
        problems.fault("BW-READ-005", says, where, mend)


def _likely(drawn: float, measure: Measure, ratio: float) -> list[tuple[str, str]]:
    """What would make a layout of it: words, and the line to write. ``drawn`` is in drawing units."""
    low, high = _LIKELY_MM
    found = [
        (WORDS[u], f'units = "{u}"')
        for u in ("m", "in", "ft", "cm", "mm")
        if u != measure.unit and low <= drawn * MILLIMETRES[u] * measure.times <= high
    ]
    if measure.times == 1 and ratio > 2 and low <= drawn * measure.unit_mm / ratio <= high:
        found.append(("the size of the real railway", 'drawn_at = "prototype"'))
    return found


def _mm(value: float) -> str:
    return f"{value:.0f}" if value >= 100 else f"{value:.3g}"


def _in_other_units(
    devices: Sequence[Device], surface: Any, columns: Columns, problems: Notes
) -> Sequence[Device]:
    """Devices of the list, when all of them would lie on the layout if only their positions were in a larger
    unit than they are read in.

    The list is refused when some lie off the layout as they stand, or all of them within a hundredth of it.
    """
    import shapely

    listed = [d for d in devices if d.place.row is not None and not d.place.handle]

    def on(factor: float) -> list[bool]:
        return [bool(surface.covers(shapely.Point(d.x_mm * factor, d.y_mm * factor))) for d in listed]

    x0, y0, x1, y1 = surface.bounds
    longer = max(x1 - x0, y1 - y0)
    spread = max((max(abs(d.x_mm), abs(d.y_mm)) for d in listed), default=longer)
    if not listed or spread > longer / 5 or (all(on(1.0)) and spread > longer / 100):
        return ()
    now = columns.unit("x_mm")
    for unit in ("m", "ft", "in", "cm"):
        factor = MILLIMETRES[unit] / MILLIMETRES[now]
        if factor > 1 and all(on(factor)) and spread * factor > longer / 10:
            problems.fault(
                "BW-READ-037",
                f"the positions in the device list look like {WORDS[unit]}: read in {WORDS[now]}, all "
                f"{len(listed)} lie within {_mm(spread)} mm of the drawing's origin, and the layout is "
                f"{_mm(longer)} mm long",
                tuple(d.place for d in listed[:6]),
                f"If they are, call the columns x_{unit} and y_{unit}; or multiply "
                f"{columns.called('x_mm')} and {columns.called('y_mm')} by {factor:g}."
                if "x_mm" in columns.told
                else f'Write units = "{unit}" under [devices], if they are.',
            )
            return listed
    return ()


def on_the_layout(plan: TrackPlan, columns: Columns, notes: Notes, problems: Notes) -> None:
    """Tell of devices, turnouts and lift-out marks that are not on the layout.

    A device that is not on it makes the input unusable: no board would leave room for it, and the pack
    would be built round a motor that is not there. ``columns`` are those of the device list.
    """
    import shapely

    surfaces = Surfaces(plan.outlines)
    moved = _in_other_units(plan.devices, surfaces.at(None), columns, problems)
    x, y, length, width = map(columns.called, ("x_mm", "y_mm", "length_mm", "width_mm"))
    for d in plan.devices:
        if d in moved:
            continue
        own = surfaces.at(d.level_mm)
        if not own.covers(shapely.Point(d.x_mm, d.y_mm)):
            at = surfaces.words(d.level_mm)
            level = f", or its level ({columns.called('level_mm')}, or its layer's)" if at else ""
            problems.fault(
                "BW-READ-048",
                f"{d.id} ({d.kind}) is not on the layout{at}",
                d.place,
                f"Move it onto the layout, or correct {x} and {y}, counted from the drawing's origin{level}.",
            )
        elif not own.covers(shapely.Polygon(d.footprint())):
            notes.caution(
                "BW-READ-049",
                f"{d.id} ({d.kind}) reaches over the edge of the layout",
                d.place,
                f"Move or turn it, or correct its {length} and {width}.",
            )
    for t in plan.turnouts:
        if not surfaces.at(t.level_mm).covers(shapely.Polygon(t.ring)):
            notes.caution(
                "BW-READ-029",
                f"turnout {t.id} is not wholly on the layout{surfaces.words(t.level_mm)}",
                t.place,
                "Move it, or widen the edge.",
            )
    for mark in plan.lift_outs:
        if not surfaces.at(mark.level_mm).covers(shapely.Point(mark.x_mm, mark.y_mm)):
            notes.caution(
                "BW-READ-028",
                f"the lift-out mark {mark.id} is not on the layout{surfaces.words(mark.level_mm)} and does "
                "nothing",
                mark.place,
                "Move the mark onto the board that lifts out.",
            )


OFF_MM = 5.0
"""A track may stand out over the edge this far, to meet the next board's rails, before it is told of."""


def tracks_on_the_layout(outlines: Sequence[Outline], tracks: Sequence[Track], notes: Notes) -> None:
    """Tell of tracks that run off the layout or over a well, and where they leave it."""
    import shapely

    surfaces = Surfaces(outlines)
    wide = {z: surfaces.at(z).buffer(OFF_MM) for z in {t.level_mm for t in tracks}}
    for surface in wide.values():
        shapely.prepare(surface)
    for track in tracks:
        line, surface = shapely.LineString(track.points), wide[track.level_mm]
        if surface.covers(line):
            continue
        off = shapely.difference(line, surface)
        first = shapely.get_parts(off)[0].coords[0]
        where = msgspec.structs.replace(
            track.place, item=track.id, x_mm=round(first[0], 3), y_mm=round(first[1], 3)
        )
        notes.caution(
            "BW-READ-071",
            f"{off.length:.0f} mm of track {track.id} are not on the layout{surfaces.words(track.level_mm)}",
            where,
            "Widen the edge, or move the track. Where it crosses a well on purpose, something must carry it.",
        )
