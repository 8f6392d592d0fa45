"""Lines that no text may lie across."""

from __future__ import annotations

from itertools import pairwise

from boardwright_outputs.drawings.drawing import Arc, Circle, Drawing, Polyline, arc_points
from boardwright_outputs.drawings.pen import SOFT


def hard_segments(drawing: Drawing) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    found = []
    for item in drawing.items:
        if item.role in SOFT:
            continue
        if isinstance(item, Polyline):
            found += item.segments
        elif isinstance(item, Circle):
            whole = Arc(
                role=item.role,
                x_mm=item.x_mm,
                y_mm=item.y_mm,
                radius_mm=item.radius_mm,
                start_deg=0.0,
                end_deg=360.0,
            )
            points = arc_points(whole, 24)
            found += list(pairwise(points))
    return found
