"""What a router does on a sheet: holes, openings, outlines, in the order in which they are safe to make.

Sheet axes, millimetres. A path is where the middle of the tool runs; nothing here is a machine's language.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from boardwright.plan.model import Point


class RouteStep(msgspec.Struct, frozen=True, kw_only=True):
    """One operation on one part.

    ``drill``   straight down at ``at`` with a drill of ``diameter_mm``
    ``helix``   down on a helix round ``at`` until the hole has ``diameter_mm``; ``path`` is its circle
    ``slot``    along ``path``, open
    ``opening`` and ``outline``  along ``path``, closed; in at ``lead``, straight to the path's first point

    ``depth_mm`` None: right through. ``tabs``: each from and to, on the path, where the tool is lifted to
    leave a bridge. ``relief``: middles of the inside corners' reliefs, each a bite of the tool's own size.
    """

    step: int
    part: str
    kind: Literal["drill", "helix", "slot", "opening", "outline"]
    at: Point
    diameter_mm: float = 0.0
    depth_mm: float | None = None
    path: tuple[Point, ...] = ()
    lead: Point | None = None
    tabs: tuple[tuple[Point, Point], ...] = ()
    relief: tuple[Point, ...] = ()
    length_mm: float = 0.0
    says: str = ""


class Routing(msgspec.Struct, frozen=True, kw_only=True):
    """How a routed sheet is cut: ``gap_mm`` lies between any two parts, ``tool_mm`` is the tool's size."""

    tool_mm: float
    gap_mm: float
    tab_mm: float
    tab_height_mm: float
    steps: tuple[RouteStep, ...] = ()
