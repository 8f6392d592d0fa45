"""Where a router's cutter runs to free one part: holes, slots, openings, at last the outline.

Claim: the middle of the cutter keeps its radius from the finished edge, so the edge is cut to size; only
the reliefs of inside corners go further, each a bite of the cutter's own size that just reaches the corner.
Lead-ins lie in the waste. Bridges (tabs) lie on the path, away from corners and from the lead-in.

Outlines run clockwise, openings anticlockwise: a cutter that turns clockwise then cuts downhill (climb), with
the cleaner edge on the part (common practice, no source).

Glossary
    path      the middle of the cutter
    relief    a bite into an inside corner, so that a square edge goes right into it (dog-bone)
    tab       a bridge of wood left under the cutter, so that what is cut free does not move

What this does not know: speeds, feeds, depths of a pass, how the sheet is held.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

import msgspec
from shapely import Point as Dot
from shapely import Polygon
from shapely.geometry.polygon import orient

from boardwright.plan.model import Point
from boardwright_timber.model import Face, Hole, Part, RouteStep

from ..offsets import inset
from .router_settings import RouterSettings

SHARP_DEG = 30.0  # a corner that turns more is one; less is a curve drawn in pieces
MISSED_MM2 = 1.0  # of waste the cutter leaves standing beside a profile, reliefs aside
TILTED_DEG = 0.05
ROUND_STEPS = 24
STRAY_MM = 0.01  # a path may take so much off an edge, where it goes round a corner in straight steps
SAME_MM = 1e-6


class Routed(msgspec.Struct, frozen=True):
    """``steps`` in part axes, inside first. ``missed`` says what the cutter cannot do, in words."""

    steps: tuple[RouteStep, ...]
    missed: tuple[str, ...]


def routed(part: Part, how: RouterSettings) -> Routed:
    """All steps that free a part, in its own axes; the outline is the last."""
    missed: list[str] = []
    steps = [step for hole in part.holes if (step := _hole(part, hole, how, missed))]
    for opening in part.openings:
        path = _inside(opening, how)
        if path is None:
            missed.append("an opening is narrower than the cutter")
            continue
        steps.append(_contour(part.id, "opening", opening, path, how))
        if _left_standing(Polygon(opening), path, how, outside=False):
            missed.append("the cutter does not go into every part of an opening")
    steps.sort(key=lambda s: (ORDER.index(s.kind), s.diameter_mm, s.at))
    around = Polygon(part.ring).buffer(how.tool_mm / 2, quad_segs=_steps_a_quarter(how.tool_mm / 2))
    path = list(orient(Polygon(around.exterior), -1.0).exterior.coords[:-1])
    steps.append(_contour(part.id, "outline", part.ring, path, how))
    if _left_standing(Polygon(part.ring), path, how, outside=True):
        missed.append("the cutter does not go into every notch of its outline")
    return Routed(tuple(steps), tuple(dict.fromkeys(missed)))


def _steps_a_quarter(r: float) -> int:
    """Straight steps in a quarter of an arc, so that none strays farther than STRAY_MM from it: its sagitta
    is r (1 - cos(step / 2)), and shapely makes a step up to half as long again in an arc that is no whole
    number of them."""
    step = 2 * math.acos(max(1 - STRAY_MM / r, 0.0)) / 1.5
    return max(2, math.ceil(math.pi / 2 / step))


ORDER = ("drill", "helix", "slot", "opening", "outline")


def _hole(part: Part, hole: Hole, how: RouterSettings, missed: list[str]) -> RouteStep | None:
    """None where the hole is for the hand: off square, or part way from the other face."""
    if abs(hole.tilt_deg) >= TILTED_DEG or (hole.face is Face.INNER and hole.depth_mm is not None):
        missed.append("a hole from the other face or off square is drilled by hand")
        return None
    at = (hole.x_mm, hole.y_mm)
    if hole.is_slot:
        if hole.diameter_mm < how.tool_mm - SAME_MM:
            missed.append("a slot is narrower than the cutter")
            return None
        return _slot(part.id, hole, how)
    milled = hole.diameter_mm > max(how.drill_up_to_mm, how.tool_mm + SAME_MM)
    r = (hole.diameter_mm - how.tool_mm) / 2
    return RouteStep(
        step=0,
        part=part.id,
        kind="helix" if milled else "drill",
        at=at,
        diameter_mm=hole.diameter_mm,
        depth_mm=hole.depth_mm,
        path=_circle(at, r) if milled else (),
        length_mm=round(math.tau * r, 3) if milled else 0.0,
    )


def _circle(at: Point, r: float) -> tuple[Point, ...]:
    turn = math.tau / ROUND_STEPS
    ring = ((at[0] + r * math.cos(n * turn), at[1] + r * math.sin(n * turn)) for n in range(ROUND_STEPS))
    return tuple((round(x, 6), round(y, 6)) for x, y in ring)


def _slot(id_: str, hole: Hole, how: RouterSettings) -> RouteStep:
    """Along its middle, and round it where the slot is wider than the cutter."""
    from shapely import LineString

    middle = LineString(hole.ends)
    spare = (hole.diameter_mm - how.tool_mm) / 2
    path: tuple[Point, ...] = hole.ends
    if spare > SAME_MM:
        ring = orient(middle.buffer(spare, quad_segs=_steps_a_quarter(spare))).exterior.coords[:-1]
        path = tuple((round(x, 6), round(y, 6)) for x, y in (*ring, ring[0]))
    return RouteStep(
        step=0,
        part=id_,
        kind="slot",
        at=hole.ends[0],
        diameter_mm=hole.diameter_mm,
        depth_mm=hole.depth_mm,
        path=path,
        length_mm=round(sum(math.dist(a, b) for a, b in pairwise(path)), 3),
    )


def _inside(opening: Sequence[Point], how: RouterSettings) -> list[Point] | None:
    inner = Polygon(opening).buffer(-how.tool_mm / 2, join_style="mitre", mitre_limit=5.0)
    if inner.geom_type != "Polygon" or inner.is_empty:
        return None
    return list(orient(inner).exterior.coords[:-1])


# -- outlines ------------------------------------------------------------------------------------------------


def _contour(id_: str, kind: str, ring: Sequence[Point], path: list[Point], how: RouterSettings) -> RouteStep:
    outside = kind == "outline"
    relief: list[Point] = []
    if how.relieve:
        path, relief = _relieved(path, list(_corners(ring, outside)), how.tool_mm / 2)
    sharp = [p for p, _, _ in _corners(ring, outside)] + [p for p, _, _ in _corners(ring, not outside)]
    path = _begun_on_the_longest_side(path)
    path = [(round(x, 6), round(y, 6)) for x, y in path]
    wanted = how.tab_mm > 0 and (outside or not Polygon(path).buffer(-how.tool_mm / 2).is_empty)
    return RouteStep(
        step=0,
        part=id_,
        kind="outline" if outside else "opening",
        at=path[0],
        path=tuple(path),
        lead=_lead(path, how, outside),
        tabs=tuple(_tabs(path, sharp, how)) if wanted else (),
        relief=tuple((round(x, 6), round(y, 6)) for x, y in relief),
        length_mm=round(_length(path), 3),
    )


def _corners(ring: Sequence[Point], reflex: bool) -> Iterator[tuple[Point, Point, float]]:
    """Sharp corners that point into the ring (``reflex``) or out of it: the corner, the way to the waste
    of a cut along that side (unit vector), half the angle between its sides there."""
    run = list(orient(Polygon(ring)).exterior.coords[:-1])
    for before, at, after in zip([run[-1], *run[:-1]], run, [*run[1:], run[0]], strict=True):
        a = _unit(at, before)
        b = _unit(at, after)
        turn = a[1] * b[0] - a[0] * b[1]  # above nought: the corner points out, the ring goes anticlockwise
        between = math.acos(max(-1.0, min(1.0, a[0] * b[0] + a[1] * b[1])))
        if math.degrees(math.pi - between) < SHARP_DEG or (turn < 0) != reflex:
            continue
        s = (a[0] + b[0], a[1] + b[1])
        size = math.hypot(*s)
        if size > SAME_MM:
            yield at, (s[0] / size, s[1] / size), between / 2


def _relieved(
    path: list[Point], corners: Sequence[tuple[Point, Point, float]], r: float
) -> tuple[list[Point], list[Point]]:
    """The path with a step into every inside corner it turns in, and the middles of those bites."""
    made, bites = list(path), []
    for at, way, half in corners:
        turns = (at[0] + way[0] * r / math.sin(half), at[1] + way[1] * r / math.sin(half))
        bite = (at[0] + way[0] * r, at[1] + way[1] * r)
        n = min(range(len(made)), key=lambda i: math.dist(made[i], turns))
        if math.dist(made[n], turns) < 0.01:  # else the cutter does not come here at all
            made[n + 1 : n + 1] = [bite, made[n]]
            bites.append(bite)
    return made, bites


def _begun_on_the_longest_side(path: list[Point]) -> list[Point]:
    n = max(range(len(path)), key=lambda i: (round(math.dist(path[i], path[(i + 1) % len(path)]), 3), -i))
    a, b = path[n], path[(n + 1) % len(path)]
    return [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), *path[n + 1 :], *path[: n + 1]]


def _lead(path: Sequence[Point], how: RouterSettings, outside: bool) -> Point | None:
    """A point in the waste beside the path's beginning; None where there is no room."""
    x, y = path[0]
    along = _unit(path[0], path[1])
    # waste lies to the left of a clockwise outline, and of an anticlockwise opening
    lead = (round(x - along[1] * how.lead_mm, 6), round(y + along[0] * how.lead_mm, 6))
    return lead if outside or Polygon(path).contains(Dot(lead)) else None


def _tabs(
    path: Sequence[Point], corners: Sequence[Point], how: RouterSettings
) -> Iterator[tuple[Point, Point]]:
    """Spread evenly along the path, as near as corners, reliefs and the lead-in let them."""
    ring = [*path, path[0]]
    ways = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(ring))]
    whole, keep = ways[-1], how.tab_mm / 2 + how.tool_mm
    near = how.tool_mm / 2 * 1.6 + SAME_MM
    taken = [0.0, whole]
    taken += [s for s, p in zip(ways, ring, strict=True) if any(math.dist(p, c) < near for c in corners)]
    taken.sort()
    number = max(2, math.ceil(whole / how.tab_every_mm))
    free: list[tuple[float, float]] = [(s + keep, e - keep) for s, e in pairwise(taken) if e - s >= 2 * keep]
    for n in range(number):
        target = (n + 0.5) * whole / number
        spans = [(round(abs(min(max(target, s), e) - target), 6), s, e) for s, e in free]
        if spans:
            _, first, last = min(spans)
            best = min(max(target, first), last)
            free.remove((first, last))
            free += [(s, e) for s, e in ((first, best - keep), (best + keep, last)) if s <= e]
            yield _at(ring, ways, best - how.tab_mm / 2), _at(ring, ways, best + how.tab_mm / 2)


def _at(ring: Sequence[Point], ways: Sequence[float], s: float) -> Point:
    n = next(i for i in range(len(ring) - 1) if s <= ways[i + 1] + SAME_MM)
    share = (s - ways[n]) / (ways[n + 1] - ways[n]) if ways[n + 1] > ways[n] else 0.0
    (x0, y0), (x1, y1) = ring[n], ring[n + 1]
    return (round(x0 + share * (x1 - x0), 6), round(y0 + share * (y1 - y0), 6))


def _left_standing(shape: Polygon, path: Sequence[Point], how: RouterSettings, *, outside: bool) -> bool:
    """Waste beside the finished edge that the cutter does not reach, corners and their reliefs aside."""
    from shapely import LinearRing

    swept = LinearRing(path).buffer(how.tool_mm / 2 + 0.01)
    r = how.tool_mm / 2
    beside = shape.buffer(r / 2).difference(shape) if outside else shape.difference(inset(shape, r / 2))
    left = beside.difference(swept)
    for at, _, half in _corners(list(shape.exterior.coords[:-1]), outside):
        left = left.difference(Dot(at).buffer(1.05 * r / math.tan(half) + 0.1))
    return bool(left.area > MISSED_MM2)


def _unit(a: Point, b: Point) -> Point:
    size = math.dist(a, b)
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size)


def _length(path: Sequence[Point]) -> float:
    return sum(math.dist(a, b) for a, b in zip(path, (*path[1:], path[0]), strict=True))
