"""Tracks and turnouts from the pieces on the track layers: continuous lines, and turnouts where they part.

Glossary
    parting    a node where three ends of track or more meet, two of them leaving nearly side by side
    footprint  what a joint must not cut: the tracks of a parting out to where their sleepers no longer touch

A turnout found where tracks part has its place at the node and a footprint of full-size measures brought down
to the model's scale. Where a turnout block stands already, nothing is found.

What this does not know: which way a turnout is thrown, its maker's sleepers, narrow gauge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import msgspec

from ..findings import Notes, Place
from . import centrelines, heights, rings
from .centrelines import Centrelines, Parting
from .drawn import Curve, Drawn
from .model import Circle, Point, Ring, Track, Turnout
from .names import next_free

SLEEPER_HALF_M, PARTED_M, BEFORE_M, FARTHEST_M = 1.3, 2.8, 3.0, 50.0
"""Full size: half a sleeper's length; tracks this far apart have sleepers of their own; rail fixed before the
toe; no turnout's legs reach farther. Standard gauge, common practice, no source."""
STEP_MM = 5.0
_TOGETHER = 16
LEVEL_MM = 20.0
"""Tracks this far apart in height pass over each other. Common practice, no source."""
FLAT_MM = 0.1
"""Corners of a footprint flatter than this are left out."""


def assembled(
    drawn: Drawn, curves: Sequence[Curve], gap_mm: float, ratio: float, notes: Notes
) -> Centrelines:
    """The centrelines of all track pieces, telling what was joined."""
    pieces = [(*c.points, c.points[0]) if c.closed and c.points else c.points for c in curves]
    try:
        found = centrelines.assemble(pieces, gap_mm, FARTHEST_M * 1000 / ratio)
    except centrelines.TooDenseError:
        notes.caution(
            "BW-READ-075",
            f"the {len(pieces)} pieces on the track layers are too many or lie too thick to be centrelines; "
            "they are not joined, and no turnouts are found",
            Place(file=drawn.file),
            "Leave only the centrelines on the track layers.",
        )
        return centrelines.as_drawn(pieces)
    if found.gaps:
        at, width = max(found.gaps, key=lambda g: (g[1], g[0]))
        notes.mended(
            "BW-READ-070",
            f"{len(found.gaps)} gap{'s' if len(found.gaps) > 1 else ''} between pieces of track closed, "
            f"the widest {width:.2f} mm",
            Place(file=drawn.file, x_mm=at[0], y_mm=at[1]),
            "Nothing, if the track is meant to run through; else set track_gap_mm under [drawing] smaller.",
        )
    if found.doubles:
        notes.mended(
            "BW-READ-074",
            f"track drawn twice, one used: {len(found.doubles)} piece{'s' if len(found.doubles) > 1 else ''}",
            [drawn.place(curves[i]) for i in found.doubles[:5]],
            "Delete one of each, when convenient.",
        )
    return found


def tracks(drawn: Drawn, curves: Sequence[Curve], found: Centrelines) -> tuple[Track, ...]:
    """One track a centreline, numbered by place. A closed one ends where it starts."""
    turned = [(min(li.points, li.points[::-1]), li.members) for li in found.lines]
    return tuple(
        Track(
            id=f"TR{n:03d}",
            points=points,
            heights_mm=heights.along(points, [curves[m] for m in members]),
            circles=_circles(points, [curves[m] for m in members]),
            place=drawn.place(curves[members[0]]),
        )
        for n, (points, members) in enumerate(sorted(turned), 1)
    )


def _circles(points: Sequence[Point], curves: Sequence[Curve]) -> tuple[Circle, ...]:
    """Those of the pieces' circles that the track follows, each once."""
    return rings.followed_by(points, {c: None for curve in curves for c in curve.circles})


def turnouts(
    drawn: Drawn,
    curves: Sequence[Curve],
    found: Centrelines,
    blocks: Sequence[Turnout],
    ratio: float,
    notes: Notes,
) -> tuple[Turnout, ...]:
    """Turnouts where tracks part and no turnout block stands, named after those the drawing names."""
    import shapely

    standing = shapely.unary_union([shapely.Polygon(t.ring) for t in blocks]).buffer(STEP_MM)
    used, made, n = {t.id for t in blocks}, [], 0
    for parting in found.partings:
        if standing.intersects(shapely.Point(parting.at)):
            continue
        ring = footprint(parting, ratio)
        if not ring:
            continue
        n = next_free(used, "T", n + 1)
        x, y = parting.at
        place = drawn.place(curves[parting.member])
        place = msgspec.structs.replace(place, item=f"T{n:02d}", x_mm=x, y_mm=y)
        made.append(Turnout(id=f"T{n:02d}", x_mm=x, y_mm=y, ring=ring, place=place))
    if made:
        notes.note(
            "BW-READ-072",
            f"{len(made)} turnout{'s' if len(made) > 1 else ''} found where tracks part: "
            f"{made[0].id}{' to ' + made[-1].id if len(made) > 1 else ''}; footprints by the scale",
            [t.place for t in made[:5]],
            "Draw a block on a turnout layer where the real footprint matters, or set find_turnouts = false.",
        )
    return tuple(sorted((*blocks, *made), key=lambda t: t.id))


def diamonds(
    drawn: Drawn,
    curves: Sequence[Curve],
    found: Centrelines,
    turnouts: Sequence[Turnout],
    ratio: float,
    notes: Notes,
) -> tuple[Turnout, ...]:
    """Places where tracks cross on one level, named C01, …, where no turnout stands."""
    import shapely

    standing = shapely.unary_union([shapely.Polygon(t.ring) for t in turnouts])
    used, made, n = {t.id for t in turnouts}, [], 0
    for crossing in found.crossings:
        if standing.intersects(shapely.Point(crossing.at)):
            continue
        lines = [found.lines[k] for k in crossing.lines]
        owners = [[curves[m] for m in line.members] for line in lines]
        low, high = sorted(
            heights.at(li.points, own, far) for li, own, far in zip(lines, owners, crossing.far, strict=True)
        )
        ring = footprint(Parting(crossing.at, crossing.legs, lines[0].members[0]), ratio)
        if high - low > LEVEL_MM or not ring:
            continue
        n = next_free(used, "C", n + 1)
        x, y = crossing.at
        place = msgspec.structs.replace(drawn.place(owners[0][0]), item=f"C{n:02d}", x_mm=x, y_mm=y)
        made.append(Turnout(id=f"C{n:02d}", x_mm=x, y_mm=y, ring=ring, crossing=True, place=place))
    if made:
        notes.note(
            "BW-READ-076",
            f"{len(made)} crossing{'s' if len(made) > 1 else ''} found where tracks cross: "
            f"{made[0].id}{' to ' + made[-1].id if len(made) > 1 else ''}; no joint will cut them",
            [t.place for t in made[:5]],
            "Set find_crossings = false under [drawing] where one track passes over the other on a bridge.",
        )
    return tuple(sorted((*turnouts, *made), key=lambda t: t.id))


def footprint(parting: Parting, ratio: float) -> Ring:
    """The hull of the legs, each out to where it is clear of the others, half a sleeper wide to each side."""
    import shapely
    from shapely import ops

    parted, before, half = PARTED_M * 1000 / ratio, BEFORE_M * 1000 / ratio, SLEEPER_HALF_M * 1000 / ratio
    shapes = [shapely.LineString(leg) for leg in parting.legs if len(leg) > 1]
    ribbons = []
    for k, shape in enumerate(shapes):
        others = shapely.MultiLineString([s for j, s in enumerate(shapes) if j != k])
        along = _clear(shape, others, before, parted)
        ribbons.append(ops.substring(shape, 0, along).buffer(half, cap_style="flat"))
    hull = shapely.convex_hull(shapely.union_all(ribbons)).simplify(FLAT_MM)
    return rings.ring(hull.exterior.coords) if not hull.is_empty else ()


def _clear(leg: Any, others: Any, before_mm: float, parted_mm: float) -> float:
    """How far along a leg it is first clear of the others, in steps; its length when it never is."""
    import shapely

    steps = range(1, math.ceil(leg.length / STEP_MM) + 1)
    for start in range(0, len(steps), _TOGETHER):
        far = [min(n * STEP_MM, leg.length) for n in steps[start : start + _TOGETHER]]
        away = shapely.distance(shapely.line_interpolate_point(leg, far), others)
        for along, apart in zip(far, away.tolist(), strict=True):
            if along >= before_mm and apart >= parted_mm:
                return float(along)
    return float(leg.length)
