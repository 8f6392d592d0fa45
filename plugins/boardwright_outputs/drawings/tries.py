"""Where a pen tries to set a label: round a point, inside a box, and the leader back to it.

What this does not know: what already stands there (``room``).
"""

from __future__ import annotations

import math

from boardwright.plan.model import Point

from .drawing import Align, Box, Role, Text


def leader_to(at: Point, d: Point, clear_mm: float, box: Box) -> tuple[Point, Point]:
    """From ``clear_mm`` off a point to the nearest of a text's box."""
    start = (at[0] + d[0] * clear_mm, at[1] + d[1] * clear_mm)
    return start, (min(max(at[0], box.left), box.right), min(max(at[1], box.bottom), box.top))


def directions(count: int) -> list[Point]:
    """Unit vectors: right first, then by turns up, left, down and between."""
    order = sorted(range(count), key=lambda i: (i % (count // 4) != 0, i))
    return [(math.cos(math.tau * i / count), math.sin(math.tau * i / count)) for i in order]


def beside(text: str, at: Point, d: Point, reach: float, h: float, role: Role) -> Text:
    align = Align.LEFT if d[0] > 0.3 else Align.RIGHT if d[0] < -0.3 else Align.CENTRE
    drop = 0.0 if d[1] > 0.3 else h if d[1] < -0.3 else h / 2
    return Text(
        role=role,
        x_mm=at[0] + d[0] * reach,
        y_mm=at[1] + d[1] * reach - drop,
        height_mm=h,
        text=text,
        align=align,
    )


def centred(text: str, p: Point, h: float, angle: float, role: Role) -> Text:
    x, y = (p[0], p[1] - h / 2) if angle == 0 else (p[0] + h / 2, p[1])
    return Text(role=role, x_mm=x, y_mm=y, height_mm=h, text=text, align=Align.CENTRE, angle_deg=angle)


def spots_in(box: Box, apart_mm: float, most: int = 14) -> list[Point]:
    """A grid of points over a box, nearest the middle first; about ``apart_mm`` apart, or wider."""
    cx, cy = box.centre
    columns = max(1, min(most, math.ceil(box.width / apart_mm)))
    rows = max(1, min(most, math.ceil(box.height / apart_mm)))
    grid = [
        (box.left + box.width * (i + 0.5) / columns, box.bottom + box.height * (j + 0.5) / rows)
        for i in range(columns)
        for j in range(rows)
    ]
    grid.append((cx, cy))
    return sorted(grid, key=lambda p: (round(math.dist(p, (cx, cy)), 6), p))
