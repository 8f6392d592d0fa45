"""Placing: from a noun's own axes to where it lies on the paper. Turning, mirroring and shifting keep every
length."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from boardwright.plan.model import Point
from boardwright_timber.model import Part, PlacedPart

type Place = Callable[[Point], Point]


def at(x_mm: float, y_mm: float) -> Place:
    """Shifted."""
    return lambda p: (p[0] + x_mm, p[1] + y_mm)


def mirrored(about_x_mm: float) -> Place:
    """Seen from the other side: left and right change places about an upright line."""
    return lambda p: (2 * about_x_mm - p[0], p[1])


def back(place: Place) -> Place:
    """What undoes a shift."""
    x, y = place((0.0, 0.0))
    return at(-x, -y)


def after(first: Place, then: Place) -> Place:
    return lambda p: then(first(p))


def on_sheet(part: Part, placed: PlacedPart) -> Place:
    """A part on its sheet: a turned one goes a quarter anticlockwise, its blank's lower left corner where
    placed, with half a turn more where it says so. A rolled one is seen from its back."""
    x, y, length, width = placed.x_mm, placed.y_mm, part.length_mm, part.width_mm
    if placed.turned and placed.half_turn:
        return lambda p: (x + p[1], y + length - p[0])
    if placed.turned:
        return lambda p: (x + width - p[1], y + p[0])
    if placed.rolled and placed.half_turn:
        return lambda p: (x + length - p[0], y + p[1])
    if placed.rolled:
        return lambda p: (x + p[0], y + width - p[1])
    if placed.half_turn:
        return lambda p: (x + length - p[0], y + width - p[1])
    return at(x, y)


def moved(points: Iterable[Point], place: Place) -> tuple[Point, ...]:
    """Points placed and rounded to 1e-6 mm."""
    return tuple((round(x, 6), round(y, 6)) for x, y in map(place, points))


def middle(points: Iterable[Point]) -> Point:
    """Mean of the corners."""
    run = tuple(points)
    return (math.fsum(p[0] for p in run) / len(run), math.fsum(p[1] for p in run) / len(run))
