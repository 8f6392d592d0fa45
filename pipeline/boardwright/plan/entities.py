"""The points of one drawing entity, in drawing units, seen from above."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from . import curves, faces
from .model import Point


class Found(NamedTuple):
    """``closed`` shapes do not repeat their first point. ``circles``: what parts of the shape follow."""

    points: list[Point]
    closed: bool = False
    circles: tuple[curves.Round, ...] = ()


def points(entity: Any, error: float) -> Found | None:
    """Flatten an entity; None when it is no line or curve. ``error`` is the chord error in drawing units."""
    read = _READERS.get(entity.dxftype())
    return read(entity, error) if read else None


def heights(entity: Any, count: int) -> tuple[float, ...]:
    """Heights of an entity's ``count`` points, drawing units; empty where it tells none."""
    kind = entity.dxftype()
    if kind == "LINE":
        return (float(entity.dxf.start.z), float(entity.dxf.end.z))
    if kind == "POLYLINE" and entity.is_3d_polyline:
        own = tuple(float(v.dxf.location.z) for v in entity.vertices if not v.dxf.flags & 16)
        return own if len(own) == count else ()
    if entity.dxf.get("extrusion", (0, 0, 1)) != (0, 0, 1):
        return ()
    if kind in ("ARC", "CIRCLE"):
        return (float(entity.dxf.center.z),) * count
    if kind in ("LWPOLYLINE", "POLYLINE"):
        height = entity.dxf.get("elevation", 0.0)
        return (float(getattr(height, "z", height)),) * count
    return ()


def _flat(entity: Any, own: list[Point]) -> list[Point]:
    """Points in an entity's own plane, seen from above: a mirrored arc may be drawn from below."""
    ocs = entity.ocs()
    if not ocs.transform:
        return own
    height = entity.dxf.get("elevation", 0.0)
    if not isinstance(height, (int, float)):
        height = getattr(height, "z", 0.0)
    seen = (ocs.to_wcs((x, y, height)) for x, y in own)
    return [(p.x, p.y) for p in seen]


def _line(entity: Any, error: float) -> Found:
    a, b = entity.dxf.start, entity.dxf.end
    return Found([(a.x, a.y), (b.x, b.y)])


def _arc(entity: Any, error: float) -> Found:
    centre, start = entity.dxf.center, math.radians(entity.dxf.start_angle)
    _sound_radius(entity)
    sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360) or 2 * math.pi
    closed = sweep == 2 * math.pi
    own = curves.arc((centre.x, centre.y), entity.dxf.radius, start, sweep, error)
    found = _flat(entity, own[:-1] if closed else own)
    return Found(found, closed, _round(entity, (centre.x, centre.y), entity.dxf.radius, own))


def _circle(entity: Any, error: float) -> Found:
    centre = entity.dxf.center
    _sound_radius(entity)
    own = curves.arc((centre.x, centre.y), entity.dxf.radius, 0, 2 * math.pi, error)
    found = _flat(entity, own[:-1])
    return Found(found, True, _round(entity, (centre.x, centre.y), entity.dxf.radius, own))


def _sound_radius(entity: Any) -> None:
    if not entity.dxf.radius > 0:
        raise curves.DamagedError(f"its radius is {entity.dxf.radius:g}")


def _ellipse(entity: Any, error: float) -> Found:
    centre, major, minor = entity.dxf.center, entity.dxf.major_axis, entity.minor_axis
    start = entity.dxf.start_param
    sweep = (entity.dxf.end_param - start) % (2 * math.pi)
    closed = sweep < 1e-9 or 2 * math.pi - sweep < 1e-9
    found = curves.ellipse(
        (centre.x, centre.y),
        (major.x, major.y),
        (minor.x, minor.y),
        start,
        2 * math.pi if closed else sweep,
        error,
    )
    own = () if major.z or minor.z else _if_round((centre.x, centre.y), major, minor, found)
    return Found(found[:-1] if closed else found, closed, own)


def _if_round(centre: Point, major: Any, minor: Any, found: list[Point]) -> tuple[curves.Round, ...]:
    """The circle that an ellipse with both axes alike is."""
    radius, other = math.hypot(major[0], major[1]), math.hypot(minor[0], minor[1])
    if abs(radius - other) > 1e-9 * radius:
        return ()
    return (curves.Round(centre, radius, math.dist(found[0], found[1])),)


def _spline(entity: Any, error: float) -> Found:
    curve = entity.construction_tool()
    knots = curve.knots()
    inner = sorted(
        {float(t) for t in knots[curve.degree : len(knots) - curve.degree]}
    )  # all it is defined on

    def at(t: float) -> Point:
        p = curve.point(t)
        return (p.x, p.y)

    found = curves.smooth(at, inner, error)
    closed = len(found) > 3 and math.dist(found[0], found[-1]) <= 1e-9 * (
        1 + abs(found[0][0]) + abs(found[0][1])
    )
    return Found(found[:-1] if closed else found, closed)


def _round(entity: Any, centre: Point, radius: float, points: list[Point]) -> tuple[curves.Round, ...]:
    (seen,) = _flat(entity, [centre])
    return (curves.Round(seen, radius, math.dist(points[0], points[1])),)


def _with_bulges(entity: Any, own: list[tuple[float, float, float]], closed: bool, error: float) -> Found:
    rounds = curves.rounds(own, closed, error)
    seen = _flat(entity, [r.centre for r in rounds])
    circles = tuple(r._replace(centre=c) for r, c in zip(rounds, seen, strict=True))
    return Found(_flat(entity, curves.polyline(own, closed, error)), closed, circles)


def _lwpolyline(entity: Any, error: float) -> Found:
    own = [(x, y, b) for x, y, b in entity.get_points("xyb")]
    return _with_bulges(entity, own, entity.closed, error)


def _polyline(entity: Any, error: float) -> Found | None:
    frame = 16  # vertex flag: a control point of a fitted curve, not on it (DXF reference; from memory)
    corners = [v for v in entity.vertices if not v.dxf.flags & frame]
    if entity.is_2d_polyline:
        own = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in corners]
        return _with_bulges(entity, own, entity.is_closed, error)
    if entity.is_3d_polyline:
        return Found([(v.dxf.location.x, v.dxf.location.y) for v in corners], entity.is_closed)
    return None


def _mline(entity: Any, error: float) -> Found:
    """The line through the points that were drawn, not the lines beside it."""
    return Found([(v.location.x, v.location.y) for v in entity.vertices], bool(entity.is_closed))


_READERS = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "HELIX": _spline,
    "MLINE": _mline,
}


FILLED = ("HATCH", "MPOLYGON", *faces.KINDS)
"""Entities that fill an area: what bounds it may serve as an outline where no line was drawn. The boundary of
an MPOLYGON is drawn itself."""


def boundaries(entity: Any, error: float) -> list[Found]:
    """Closed boundaries of a filled entity; ``error`` is the chord error in drawing units."""
    if entity.dxftype() in ("HATCH", "MPOLYGON"):
        return _hatch(entity, error)
    corners = entity.wcs_vertices()  # in order round the area; those of a SOLID are stored crossed
    found = [(p.x, p.y) for p in corners]
    return [Found([p for n, p in enumerate(found) if p != found[n - 1]], True)]


def _hatch(entity: Any, error: float) -> list[Found]:
    from ezdxf.entities import EdgePath, PolylinePath

    found = []
    for path in entity.paths.paths:
        if isinstance(path, PolylinePath):
            found.append(_with_bulges(entity, [(x, y, b) for x, y, b in path.vertices], True, error))
        elif isinstance(path, EdgePath):
            points, own = _edge_path(path, error)
            seen = _flat(entity, [r.centre for r in own])
            circles = tuple(r._replace(centre=c) for r, c in zip(own, seen, strict=True))
            found.append(Found(_flat(entity, points), True, circles))
    return found


def _edge_path(path: Any, error: float) -> tuple[list[Point], list[curves.Round]]:
    """Edges one after the other, each begins where the one before it ended; and circles that they follow."""
    points: list[Point] = []
    circles: list[curves.Round] = []
    for edge in path.edges:
        run, own = _edge(edge, error)
        circles += own
        points += run[1:] if points and math.dist(points[-1], run[0]) < 1e-6 * (1 + abs(run[0][0])) else run
    if len(points) > 1 and math.dist(points[0], points[-1]) < 1e-6 * (1 + abs(points[0][0])):
        points.pop()
    return points, circles


def _edge(edge: Any, error: float) -> tuple[list[Point], tuple[curves.Round, ...]]:
    kind = type(edge).__name__
    if kind == "LineEdge":
        return [(edge.start[0], edge.start[1]), (edge.end[0], edge.end[1])], ()
    if kind == "ArcEdge":
        if not edge.radius > 0:
            raise curves.DamagedError(f"the radius of one of its edges is {edge.radius:g}")
        start = math.radians(edge.start_angle)
        sweep = math.radians((edge.end_angle - edge.start_angle) % 360) or 2 * math.pi
        centre = (edge.center[0], edge.center[1])
        run = curves.arc(centre, edge.radius, start, sweep, error)
        circle = curves.Round(centre, edge.radius, math.dist(run[0], run[1]))
        return (run if edge.ccw else run[::-1]), (circle,)
    if kind == "EllipseEdge":
        major = (edge.major_axis[0], edge.major_axis[1])
        minor = (-major[1] * edge.ratio, major[0] * edge.ratio)
        sweep = (edge.end_param - edge.start_param) % (2 * math.pi) or 2 * math.pi
        centre = (edge.center[0], edge.center[1])
        run = curves.ellipse(centre, major, minor, edge.start_param, sweep, error)
        return (run if edge.ccw else run[::-1]), _if_round(centre, major, minor, run)
    spline = edge.construction_tool()
    knots = spline.knots()
    inner = sorted({float(t) for t in knots[spline.degree : len(knots) - spline.degree]})

    def at(t: float) -> Point:
        p = spline.point(t)
        return (p.x, p.y)

    return curves.smooth(at, inner, error), ()


def somewhere(entity: Any) -> Point | None:
    """A place on an entity that is not read, where it tells one."""
    for name in ("insert", "start", "location", "center", "defpoint"):
        if entity.dxf.is_supported(name) and entity.dxf.hasattr(name):
            at = getattr(entity.dxf, name)
            return (float(at.x), float(at.y))
    for corner in getattr(entity, "vertices", ()):
        at = corner.dxf.location if hasattr(corner, "dxf") else corner
        return (float(at[0]), float(at[1]))
    return None
