"""The shape of a part that is no plain rectangle, in figures: where its corners are from the datum, the
angles between straight edges, the radii of arcs; the same of the openings sawn out of it.

Glossary
    corner   where the edge changes direction by more than 8°, or an arc begins or ends
    angle    inside the wood, between two straight edges; right angles are not written

What this does not know: edges that follow neither lines nor arcs (easements, drawn splines): of these only
the ends are given, the rest is for the templates and the DXF.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Part

from ..bends import Bent, bent
from ..dimension import Way, running
from ..drawing import Polyline, Role
from ..pen import Pen

#: A smaller change of direction is a step of a flattened curve, not a corner.
_LEAST_TURN_DEG = 8.0
_LEAST_OFF_SQUARE_DEG = 0.05
#: More corners than this are a curve without arcs: their figures would cover the drawing.
_MOST_CORNERS = 16


_ON_CIRCLE_MM = 0.01


class Corner(NamedTuple):
    at: Point
    angle_deg: float | None


class Round(NamedTuple):
    middle: Point
    radius_mm: float
    centre: Point


class Shape(NamedTuple):
    corners: tuple[Corner, ...]
    rounds: tuple[Round, ...]


def shape_of(part: Part) -> Shape:
    """Corners and arcs of a part's outer edge."""
    return _shape(part, part.ring, 1.0)


def openings_of(part: Part) -> tuple[Shape, ...]:
    """Corners and arcs of the openings sawn out of a part."""
    return tuple(_shape(part, ring, -1.0) for ring in part.openings)


def _shape(part: Part, ring: Ring, wood: float) -> Shape:
    """``wood``: 1 where it is inside the ring, -1 where it is round it."""
    rounds = tuple((c.x_mm, c.y_mm, c.radius_mm, c.chord_mm) for c in part.circles)
    run = bent(Polyline(role=Role.THROUGH_CUT, points=ring, closed=True, rounds=rounds))
    turns = wood * math.copysign(1.0, _area(ring))
    corners, arcs = [], []
    for before, here, after in zip((run[-1], *run[:-1]), run, (*run[1:], run[0]), strict=True):
        into, out = _heading(before, here, at_end=True), _heading(here, after, at_end=False)
        turn = (math.degrees(out - into) + 180.0) % 360.0 - 180.0
        straight = not before[2] and not here[2]
        if abs(turn) > _LEAST_TURN_DEG or not straight:
            corners.append(Corner(here[:2], 180.0 - turn * turns if straight else None))
        if here[2]:
            arcs.append(_round(here, after))
    return Shape(tuple(corners), _each_once(arcs))


def dimension_shape(pen: Pen, part: Part) -> tuple[float, float]:
    """Running figures of the corners, the openings' with them; answers how far down and to the left they
    reach."""
    h = pen.text_mm
    square = {(0.0, 0.0), (part.length_mm, 0.0), (part.length_mm, part.width_mm), (0.0, part.width_mm)}
    places = [c.at for c in shape_of(part).corners]
    if set(places) <= square or len(places) > _MOST_CORNERS:
        places = []
    for ring, shape in zip(part.openings, openings_of(part), strict=True):
        places += _of_opening(ring, shape)
    if not places:
        return -h, 0.0
    low = running(pen, Way.LYING, 0.0, _apart(x for x, _ in places), 0.0, -2 * h)
    left = running(pen, Way.UPRIGHT, 0.0, _apart(y for _, y in places), 0.0, 2 * h)
    return low, left


def _of_opening(ring: Ring, shape: Shape) -> list[Point]:
    """Its corners; of a round one its middle; of any other curve how far it reaches."""
    for arc in shape.rounds:
        if all(abs(math.dist(p, arc.centre) - arc.radius_mm) < _ON_CIRCLE_MM for p in ring):
            return [arc.centre]
    if 0 < len(shape.corners) <= _MOST_CORNERS:
        return [c.at for c in shape.corners]
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return [(min(xs), min(ys)), (max(xs), max(ys))]


def label_shape(pen: Pen, part: Part) -> None:
    """Radii and angles, where there is room."""
    h = pen.text_mm
    for shape in (shape_of(part), *openings_of(part)):
        for arc in shape.rounds:
            says = f"R {pen.show.figure(arc.radius_mm)}"
            pen.label_beside(says, arc.middle, height_mm=0.7 * h, role=Role.DIMENSION, leader=True)
        for at, angle in shape.corners if len(shape.corners) <= _MOST_CORNERS else ():
            if angle is not None and abs(angle % 180.0 - 90.0) >= _LEAST_OFF_SQUARE_DEG:
                says = f"{pen.show.number(angle, 1)}°"
                pen.label_beside(says, at, clear_mm=0.3 * h, height_mm=0.6 * h, role=Role.DIMENSION)


def _apart(places: Iterable[float]) -> list[float]:
    """Places a tenth of a millimetre apart at least: nearer ones have the same figure."""
    found: list[float] = []
    for place in sorted(places):
        if not found or place - found[-1] >= 0.1:
            found.append(place)
    return found


def _heading(a: Bent, b: Bent, *, at_end: bool) -> float:
    """The direction of the piece from ``a`` to ``b`` where it starts or ends, radians."""
    chord = math.atan2(b[1] - a[1], b[0] - a[0])
    half = 2 * math.atan(a[2])  # half the angle an arc sweeps
    return chord + half if at_end else chord - half


def _round(a: Bent, b: Bent) -> Round:
    """An arc by its bulge: the sagitta is bulge × half the chord, on the right of the chord if that is
    positive."""
    chord = math.dist(a[:2], b[:2])
    radius = chord / (2 * math.sin(2 * math.atan(abs(a[2]))))
    out = ((b[1] - a[1]) / chord, -(b[0] - a[0]) / chord)
    sagitta = a[2] * chord / 2
    middle = ((a[0] + b[0]) / 2 + out[0] * sagitta, (a[1] + b[1]) / 2 + out[1] * sagitta)
    to_centre = -math.copysign(radius, a[2])
    return Round(middle, radius, (middle[0] + out[0] * to_centre, middle[1] + out[1] * to_centre))


def _each_once(arcs: list[Round]) -> tuple[Round, ...]:
    """Arcs of one circle, which may be drawn in pieces, as one."""
    return tuple({tuple(round(v, 2) for v in (*a.centre, a.radius_mm)): a for a in reversed(arcs)}.values())


def _area(ring: tuple[Point, ...]) -> float:
    return math.fsum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2
