"""Every part's drawing against the part: contours closed, once, of the right size and shape; its holes.

Glossary
    contour   a closed run on the layer a saw or router follows
    slot      a hole that is cut, not drilled: its own contour

What this does not know: whether the part is the right one for the board (see ``boards``).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from shapely import Polygon
from shapely.geometry import LineString

from ..drawings import names
from . import shapes
from .dxf import Drawn, Ringlet, Run, ends
from .opened import Opened, many
from .record import Hole, Part

CUT = "THROUGH_CUT"
BORED = ("HOLE", "POCKET", "BACK_HOLE", "MARK")  # a hole off square is only marked
SIZE_MM = 0.01
_LISTED = re.compile(r"(.+) \(at (-?\d+), (-?\d+)\)")
AREA_MM2 = 0.5
LEAST_TILT_DEG = 0.05  # nearer to square than this is square (docs/drawings.md)


def check_profiles(opened: Opened) -> Iterator[str]:
    holes = contours = 0
    for part in opened.parts.values():
        drawn = opened.part_drawing(part)
        if drawn is None:
            continue
        at = _Sheet(opened, part, drawn)
        found = closed(at, drawn)
        contours += len(found)
        if found:
            _shape(at, found)
        holes += _holes(at)
        _named(at)
    yield (
        f"{many(len(opened.parts), 'part drawing')} in millimetres, with {many(contours, 'contour')} closed "
        f"and of the size and shape told, and {many(holes, 'hole')} in place."
    )


class _Sheet:
    """The drawing in hand and how to speak about it."""

    def __init__(self, opened: Opened, part: Part, drawn: Drawn) -> None:
        self.opened, self.part, self.drawn = opened, part, drawn
        self.path = names.part_path(part.id)

    def fault(self, code: str, says: str) -> None:
        self.opened.fault(
            code, f"part {self.part.id}: {says}", file=self.path, board=self.part.board, item=self.part.id
        )


def closed(at: _Sheet, drawn: Drawn) -> list[Polygon]:
    """The contours as polygons, the largest first."""
    found: list[Polygon] = []
    seen: set[tuple[tuple[float, float, float], ...]] = set()
    for run in drawn.runs:
        if run.layer != CUT:
            continue
        if not run.closed or len(run.corners) < 2:
            x, y = ends(run)[1]
            at.fault(
                "BW-VERIFY-020", f"a contour is open at ({x:.1f}, {y:.1f}) mm: a machine would stop there"
            )
            continue
        if _stands_still(run):
            at.fault("BW-VERIFY-021", "a contour has a piece without length")
        if (same := tuple(sorted(run.corners))) in seen:
            at.fault("BW-VERIFY-021", "a contour is drawn twice: it would be cut twice")
            continue
        seen.add(same)
        try:
            found.append(shapes.area(shapes.bulged(run)))
        except ValueError as problem:
            at.fault("BW-VERIFY-022", f"a contour crosses itself: {problem}")
    for kind, layer in drawn.others:
        if layer in (CUT, *BORED):
            at.fault("BW-VERIFY-021", f"a {kind} lies on the layer {layer}, where a machine expects none")
    if not found:
        at.fault("BW-VERIFY-020", "no closed contour is drawn: nothing can be cut")
    return sorted(found, key=lambda p: -p.area)


def _stands_still(run: Run) -> bool:
    points = [c[:2] for c in run.corners]
    return any(math.dist(a, b) < 1e-6 for a, b in zip(points, [*points[1:], points[0]], strict=True))


def _shape(at: _Sheet, contours: Sequence[Polygon]) -> None:
    part = at.part
    try:
        meant, told = shapes.part_shape(part), shapes.size(shapes.area(part.ring))
    except ValueError as problem:
        at.fault("BW-VERIFY-022", f"its edge in pack.json crosses itself: {problem}")
        return
    if _apart(told, (part.length_mm, part.width_mm)):
        at.fault(
            "BW-VERIFY-024",
            f"its edge in pack.json is {told[0]:.2f} × {told[1]:.2f} mm, its size there "
            f"{part.length_mm:.2f} × {part.width_mm:.2f} mm",
        )
        return
    (wide, high), (long, broad) = (
        shapes.size(contours[0]),
        shapes.size(meant),
    )  # both with arcs followed round
    if _apart((wide, high), (long, broad)):
        if abs(wide / long - high / broad) < 1e-4:
            at.fault(
                "BW-VERIFY-023",
                f"it is drawn at a wrong scale, {wide / long:.4g} times its size "
                f"({wide:.1f} × {high:.1f} mm instead of {long:.1f} × {broad:.1f} mm)",
            )
        else:
            at.fault(
                "BW-VERIFY-024",
                f"it is drawn {wide:.2f} × {high:.2f} mm, and is to be {long:.2f} × {broad:.2f} mm",
            )
        return
    for slot in (h for h in part.holes if is_slot(h)):
        meant = meant.difference(slot_shape(slot))
    seen = contours[0]
    for inner in contours[1:]:
        seen = seen.difference(inner)
    if (off := shapes.off(seen, meant)) > AREA_MM2:
        at.fault("BW-VERIFY-024", f"its drawn shape differs from its data by {off:.1f} mm²")


def _apart(one: tuple[float, float], two: tuple[float, float]) -> bool:
    return max(abs(a - b) for a, b in zip(one, two, strict=True)) > SIZE_MM


def _holes(at: _Sheet) -> int:
    free = [c for c in at.drawn.circles if c.layer in BORED]
    lost: list[Hole] = []
    drilled = [h for h in at.part.holes if not is_slot(h)]
    for hole in drilled:
        near = [c for c in free if math.dist((c.x_mm, c.y_mm), (hole.x_mm, hole.y_mm)) <= SIZE_MM]
        if not near:
            lost.append(hole)
            continue
        circle = min(near, key=lambda c: (abs(c.diameter_mm - hole.diameter_mm), c.layer != layer_of(hole)))
        free.remove(circle)
        where = f"the {hole.kind} hole at ({hole.x_mm:.1f}, {hole.y_mm:.1f}) mm"
        if abs(circle.diameter_mm - hole.diameter_mm) > 1e-3:
            at.fault(
                "BW-VERIFY-027",
                f"{where} is drawn {circle.diameter_mm:g} mm wide, and is to be {hole.diameter_mm:g} mm",
            )
        if circle.layer != layer_of(hole):
            at.fault(
                "BW-VERIFY-028",
                f"{where} lies on the layer {circle.layer} instead of {layer_of(hole)}: it would be drilled "
                "from the wrong face or to a wrong depth",
            )
    for hole in (h for h in drilled if h.opened_mm):
        if (ring := opened_circle(hole, (hole.x_mm, hole.y_mm), free)) is not None:
            free.remove(ring)
        else:
            at.fault(
                "BW-VERIFY-025",
                f"the circle of {hole.opened_mm:g} mm that the {hole.kind} hole at ({hole.x_mm:.1f}, "
                f"{hole.y_mm:.1f}) mm is opened to is not drawn there",
            )
    for hole in lost:
        moved = _nearest(hole, free)
        words = f"the {hole.kind} hole at ({hole.x_mm:.1f}, {hole.y_mm:.1f}) mm is not drawn there"
        if moved:
            free.remove(moved)
            words += f" but at ({moved.x_mm:.2f}, {moved.y_mm:.2f}) mm"
        at.fault("BW-VERIFY-025", words)
    for circle in free:
        at.fault(
            "BW-VERIFY-026",
            f"a hole of {circle.diameter_mm:g} mm is drawn at ({circle.x_mm:.1f}, {circle.y_mm:.1f}) mm that "
            "no list has",
        )
    return len(drilled)


def _nearest(hole: Hole, free: Sequence[Ringlet]) -> Ringlet | None:
    same = [c for c in free if abs(c.diameter_mm - hole.diameter_mm) <= 1e-3]
    return min(same, key=lambda c: math.dist((c.x_mm, c.y_mm), (hole.x_mm, hole.y_mm)), default=None)


def _named(at: _Sheet) -> None:
    texts = [t.text for t in at.drawn.texts]
    title = f"{at.part.id}, {at.part.role}"
    if not any(t == title or t.startswith(f"{title}:") for t in texts):
        at.fault("BW-VERIFY-029", f"its drawing does not say {title!r}: it may be another part's")
    elif at.part.id not in texts:
        at.fault("BW-VERIFY-029", "its label is not drawn: once cut it could not be told apart")


def is_named(id_: str, texts: Sequence[str], corners: tuple[float, float, float, float]) -> bool:
    """Does a drawing of several parts name one: on it, or where it has no room for its name, in the list
    below with a place within two opposite ``corners`` (x, y, x, y)?"""
    if id_ in texts:
        return True
    (x, u), (y, v) = sorted(corners[::2]), sorted(corners[1::2])
    listed = (_LISTED.fullmatch(t) for t in texts if t.startswith(id_))
    return any(
        found and found[1] == id_ and x - 1 <= int(found[2]) <= u + 1 and y - 1 <= int(found[3]) <= v + 1
        for found in listed
    )


def layer_of(hole: Hole) -> str:
    """The layer a hole belongs on (docs/drawings.md)."""
    tilted = abs(hole.tilt_deg) >= LEAST_TILT_DEG
    if hole.face == "inner" and (tilted or hole.depth_mm is not None):
        return "BACK_HOLE"
    if tilted:
        return "MARK"
    return "HOLE" if hole.depth_mm is None else "POCKET"


def opened_circle(hole: Hole, at: tuple[float, float], circles: Sequence[Ringlet]) -> Ringlet | None:
    """The circle that shows what a hole is opened to for a tee nut's barrel: for the hand, no machine."""
    for c in circles:
        same = abs(c.diameter_mm - hole.opened_mm) < 1e-3 and math.dist((c.x_mm, c.y_mm), at) <= SIZE_MM
        if same and c.layer == "MARK":
            return c
    return None


def is_slot(hole: Hole) -> bool:
    return hole.slot_mm > hole.diameter_mm + 1e-6


def slot_shape(hole: Hole) -> Polygon:
    half = (hole.slot_mm - hole.diameter_mm) / 2
    c, s = math.cos(math.radians(hole.slot_deg)), math.sin(math.radians(hole.slot_deg))
    line = LineString(
        [(hole.x_mm - half * c, hole.y_mm - half * s), (hole.x_mm + half * c, hole.y_mm + half * s)]
    )
    return line.buffer(hole.diameter_mm / 2, quad_segs=64)
