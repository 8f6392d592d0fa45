"""Where a part stands in its board, in plan coordinates: they outlast its number and its board's axes."""

from __future__ import annotations

import math

from boardwright.plan.model import Point
from boardwright_timber.model import Part
from boardwright_timber.model.made import MadePlace


def place_of(part: Part, origin: Point, angle_deg: float) -> MadePlace:
    """Its middle, and the direction of its x axis."""
    at, a = part.placement, math.radians(part.placement.angle_deg)
    along, across = part.length_mm / 2, (part.thickness_mm if part.placement.stands else part.width_mm) / 2
    u = at.x_mm + along * math.cos(a) - across * math.sin(a)
    v = at.y_mm + along * math.sin(a) + across * math.cos(a)
    b = math.radians(angle_deg)
    return MadePlace(
        x_mm=round(origin[0] + u * math.cos(b) - v * math.sin(b), 3),
        y_mm=round(origin[1] + u * math.sin(b) + v * math.cos(b), 3),
        angle_deg=round((at.angle_deg + angle_deg) % 360.0, 3),
    )


def apart_mm(a: MadePlace, b: MadePlace) -> float:
    return math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm))


def is_turned(a: MadePlace, b: MadePlace) -> bool:
    """Whether two places look opposite ways, or nearly."""
    return math.cos(math.radians(a.angle_deg - b.angle_deg)) < 0.0


def in_line(a: MadePlace, b: MadePlace) -> bool:
    """Whether they look the same or the opposite way, to a degree."""
    return abs(math.sin(math.radians(a.angle_deg - b.angle_deg))) < math.sin(math.radians(1.0))
