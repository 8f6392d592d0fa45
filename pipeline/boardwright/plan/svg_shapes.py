"""The shapes of SVG as runs: path, line, polyline, polygon, rectangle (rounded too), circle and ellipse.

What this does not know: where a shape lies; transforms are laid on afterwards.
"""

from __future__ import annotations

import math

from .model import Point
from .svg_frame import length, numbers
from .svg_path import Line, Run, Turn, parse
from .svg_xml import Element

SHAPES = ("path", "line", "polyline", "polygon", "rect", "circle", "ellipse")


def runs(shape: Element, page: tuple[float, float]) -> tuple[list[Run], str]:
    """Runs of one shape, and what is wrong with it (empty when nothing is).

    ``page`` is the size that percentages are of. Sizes of nothing draw nothing, as the standard says.
    """
    if shape.tag == "path":
        return parse(shape.get("d"))
    if shape.tag == "line":
        a, b = ((length(shape.get(f"x{n}"), page[0]), length(shape.get(f"y{n}"), page[1])) for n in (1, 2))
        return [Run(a, [Line(b)])], ""
    if shape.tag in ("polyline", "polygon"):
        return _points(shape)
    if shape.tag == "rect":
        return _rectangle(shape, page), ""
    return _round(shape, page), ""


def _points(shape: Element) -> tuple[list[Run], str]:
    try:
        flat = numbers(shape.get("points"))
    except ValueError as problem:
        return [], str(problem)
    corners = list(zip(flat[::2], flat[1::2], strict=False))
    if len(corners) < 2:
        return [], "it has fewer than two points"
    run = Run(corners[0], [Line(p) for p in corners[1:]], closed=shape.tag == "polygon")
    return [run], "" if len(flat) % 2 == 0 else "its last point lacks y"


def _rectangle(shape: Element, page: tuple[float, float]) -> list[Run]:
    x, y = length(shape.get("x"), page[0]), length(shape.get("y"), page[1])
    w, h = length(shape.get("width"), page[0]), length(shape.get("height"), page[1])
    if w <= 0 or h <= 0:
        return []
    rx, ry = length(shape.get("rx"), page[0], -1), length(shape.get("ry"), page[1], -1)
    rx, ry = (rx if rx >= 0 else ry), (ry if ry >= 0 else rx)  # either alone stands for both
    rx, ry = min(max(rx, 0.0), w / 2), min(max(ry, 0.0), h / 2)
    if rx == 0 or ry == 0:
        corners = [(x + w, y), (x + w, y + h), (x, y + h)]
        return [Run((x, y), [Line(p) for p in corners], closed=True)]
    run = Run((x + rx, y), closed=True)
    for centre, start, side in (
        ((x + w - rx, y + ry), -90, (x + w - rx, y)),
        ((x + w - rx, y + h - ry), 0, (x + w, y + h - ry)),
        ((x + rx, y + h - ry), 90, (x + rx, y + h)),
        ((x + rx, y + ry), 180, (x, y + ry)),
    ):
        if (run.steps and run.steps[-1].end != side) or (not run.steps and run.start != side):
            run.steps.append(Line(side))
        run.steps.append(_quarter(centre, rx, ry, start))
    return [run]


def _quarter(centre: Point, rx: float, ry: float, start_deg: int) -> Turn:
    x, y = {-90: (rx, 0.0), 0: (0.0, ry), 90: (-rx, 0.0), 180: (0.0, -ry)}[start_deg]
    end = (centre[0] + x, centre[1] + y)
    return Turn(centre, (rx, 0.0), (0.0, ry), math.radians(start_deg), math.pi / 2, end)


def _round(shape: Element, page: tuple[float, float]) -> list[Run]:
    diagonal = math.hypot(*page) / math.sqrt(2)
    centre = (length(shape.get("cx"), page[0]), length(shape.get("cy"), page[1]))
    if shape.tag == "circle":
        rx = ry = length(shape.get("r"), diagonal)
    else:
        rx, ry = length(shape.get("rx"), page[0], -1), length(shape.get("ry"), page[1], -1)
        rx, ry = (rx if rx >= 0 else ry), (ry if ry >= 0 else rx)
    if rx <= 0 or ry <= 0:
        return []
    start = (centre[0] + rx, centre[1])
    return [Run(start, [Turn(centre, (rx, 0.0), (0.0, ry), 0.0, 2 * math.pi, start)], closed=True)]
