"""A plan drawn far from its drawing's origin (on map coordinates, say) is brought near it.

Coordinates of millions of millimetres lose the digits that joints need and print badly. Devices of the list,
which are counted from the drawing's origin, are moved along.
"""

from __future__ import annotations

import math

import msgspec

from ..findings import Notes, Place
from .drawn import Block, Curve, Drawn, Mark
from .layers import Roles
from .model import Point

FAR_MM = 1e6
"""Farther than this from the origin, a plan is moved. Layouts are smaller; common practice, no source."""
STRAY_MM = 1e8


def near_origin(drawn: Drawn, roles: Roles, notes: Notes) -> Drawn:
    """The drawing with the lower left corner of its edge near the origin, when it was far from it."""
    edge = [p for c in drawn.curves if roles.of(c.layer) == "outline" for p in c.points]
    if not edge:
        return drawn
    left, bottom = min(p[0] for p in edge), min(p[1] for p in edge)
    if max(abs(left), abs(bottom)) <= FAR_MM:
        return drawn
    origin = (math.floor(left / 1000) * 1000.0, math.floor(bottom / 1000) * 1000.0)
    notes.mended(
        "BW-READ-039",
        f"the plan lies far from the drawing's origin; in the pack, coordinates are counted from "
        f"({origin[0]:,.0f}, {origin[1]:,.0f}) mm of the drawing",
        Place(file=drawn.file),
        "Nothing need be done: positions in the device list are still those of the drawing.",
    )
    return moved(drawn, origin)


def tell_strays(drawn: Drawn, roles: Roles, problems: Notes) -> None:
    """A fault for each thing with a role that lies absurdly far from the plan."""
    things: list[Curve | Block | Mark] = [*drawn.curves, *drawn.blocks, *drawn.marks]
    for thing in things:
        points = thing.points if isinstance(thing, Curve) else ((thing.x_mm, thing.y_mm),)
        if roles.of(thing.layer) and any(abs(v) > STRAY_MM for p in points for v in p):
            problems.fault(
                "BW-READ-019",
                "this lies more than 100 km from the rest of the plan",
                drawn.place(thing),
                "Delete it and draw it again.",
            )


def moved(drawn: Drawn, origin: Point) -> Drawn:
    """The same drawing counted from another place."""
    dx, dy = origin
    replace = msgspec.structs.replace

    def curve(c: Curve) -> Curve:
        circles = tuple(replace(k, x_mm=k.x_mm - dx, y_mm=k.y_mm - dy) for k in c.circles)
        return replace(c, points=tuple((x - dx, y - dy) for x, y in c.points), circles=circles)

    def block(b: Block) -> Block:
        curves, inside = tuple(curve(c) for c in b.curves), tuple(block(i) for i in b.inside)
        return replace(b, x_mm=b.x_mm - dx, y_mm=b.y_mm - dy, curves=curves, inside=inside)

    return replace(
        drawn,
        curves=tuple(curve(c) for c in drawn.curves),
        blocks=tuple(block(b) for b in drawn.blocks),
        marks=tuple(replace(m, x_mm=m.x_mm - dx, y_mm=m.y_mm - dy) for m in drawn.marks),
        skipped=tuple(replace(s, at=s.at and (s.at[0] - dx, s.at[1] - dy)) for s in drawn.skipped),
        texts=tuple(replace(t, x_mm=t.x_mm - dx, y_mm=t.y_mm - dy) for t in drawn.texts),
        origin=(drawn.origin[0] + dx, drawn.origin[1] + dy),
    )
