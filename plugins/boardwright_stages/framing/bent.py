"""Strips bent round the curved edges of a board, real wood in front of its straight members.

Claim: a strip runs flush with the deck's edge from corner to corner of the edge, on curves and on what is
straight between them; what is left of the board behind the strips is framed with straight members as usual.
Where two strips meet at a corner, the second ends at the first. An edge without a corner, curved all round,
and one longer than a sheet is parted into equal strips that butt square on the curve (their layers staggered,
``staggered``). A strip is laminated of
layers thin enough to bend dry, radius at least BEND_RATIO times a layer's thickness (common practice, no
source), or kerfed: a kerf k wide in a strip t thick that keeps a skin s closes when it has turned by
k / (t - s), so the angle that the edge turns says where kerfs go and how many (arithmetic).

Glossary
    path     the deck's edge from corner to corner, or round a well, the board on its left: the outer face
    corner   where the edge turns by more than CORNER_DEG at once

What this does not know: steaming, how your ply bends, and offcuts (a strip comes out of a whole sheet).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import (
    lower_left_first,
    offset_path,
    oriented,
    path_length,
    snap_point,
    tightest_radius_mm,
    turn_rad,
    without_repeats,
)
from boardwright_timber.model import Bent, Kerf

from ..nesting.longest import longest_strip_mm
from ..nesting.settings import CuttingSettings, StockSettings
from .edges import SMOOTH_DEG, Traced, trace
from .settings import FramingSettings
from .staggered import STAGGER_MM

if TYPE_CHECKING:
    from shapely import Polygon

CORNER_DEG = SMOOTH_DEG
BEND_RATIO = 60.0
SKIN_MM = 2.0
KERF_MM = 3.0
LEAST_TURN_DEG = 10.0
PAST_MM = 3.0  # so many thicknesses past a corner the board is cut back, for no splinter to stay
SEAM_MM = 0.05  # so that no splinter stays between two strips of one curve
SCRAP_MM2 = 400.0
DEEPEST_MM = 30.0  # no strip is thicker
STRAIGHT_RATIO = 3.0  # a step so much longer than the next is no step of its curve


class Edged(NamedTuple):
    """Bent strips, what is left behind them (its edge, its wells), and curved paths that could not be had."""

    strips: tuple[Bent, ...]
    ring: Ring
    wells: tuple[Ring, ...]
    left_out: tuple[str, ...]


class _Path(NamedTuple):
    points: tuple[Point, ...]
    turns: tuple[float, ...]  # degrees, at each point but the two ends
    before_deg: float
    after_deg: float
    closed: bool = False


def edged(
    board: str,
    ring: Ring,
    joints: tuple[tuple[Point, Point], ...],
    settings: FramingSettings,
    wells: tuple[Ring, ...] = (),
    longest_mm: float = math.inf,
) -> Edged:
    """Bent strips for a ring (anticlockwise, local) and its wells (clockwise); none longer than that."""
    import shapely

    rest = whole = shapely.Polygon(ring, wells)
    strips, left_out = list[Bent](), list[str]()
    thick, layers = thickness_mm(settings)
    taken: list[Polygon] = []
    rings = ((ring, joints), *((well, ()) for well in wells))
    edges = [path for edge, on in rings for path in _paths(trace(edge, on))]
    spare = STAGGER_MM if layers > 1 else 0.0
    for path in (part for each in edges for part in _parted(each, longest_mm, spare)):
        bent = _bent(f"{board}-C{len(strips) + 1}", path, taken, whole, settings, thick, layers)
        cut = shapely.Polygon(_ring_of(_reached(path, PAST_MM * thick), thick))
        behind = rest.difference(cut) if cut.is_valid else rest
        pieces = sorted(shapely.get_parts(behind), key=lambda p: -p.area)
        scraps = sum(p.area for p in pieces[1:])
        if bent is None or not cut.is_valid or scraps > SCRAP_MM2 or len(pieces[0].interiors) != len(wells):
            left_out.append(f"the edge from ({path.points[0][0]:.0f}, {path.points[0][1]:.0f})")
            continue
        rest = pieces[0]
        strips.append(bent)
        taken.append(shapely.Polygon(bent.outline))
    if not strips:
        return Edged((), ring, wells, tuple(left_out))
    left, *holes = (
        lower_left_first(oriented(_corners(r.coords), anticlockwise=n == 0))
        for n, r in enumerate((rest.exterior, *rest.interiors))
    )
    return Edged(tuple(strips), left, tuple(holes), tuple(left_out))


def _corners(coords: Iterable[tuple[float, ...]]) -> Ring:
    """The points of a closed ring, the last one not again."""
    return without_repeats(snap_point((float(x), float(y))) for x, y in list(coords)[:-1])


def longest_layer_mm(stock: StockSettings, cutting: CuttingSettings, settings: FramingSettings) -> float:
    """The longest layer the stock gives; infinite where it has no such wood (told elsewhere)."""
    thick, layers = thickness_mm(settings)
    wood = settings.member_material, thick / layers
    found = longest_strip_mm(stock, cutting, wood, settings.depth_mm, any_way=True)
    return math.inf if found is None else found


def thickness_mm(settings: FramingSettings) -> tuple[float, int]:
    """Of a strip, and how many layers it has: as near to the members' thickness as whole layers come."""
    if settings.curved_edge == "kerfed":
        return settings.member_thickness_mm, 1
    layers = max(1, round(settings.member_thickness_mm / settings.bend_layer_mm))
    return layers * settings.bend_layer_mm, layers


def tightest_mm(bent: Bent) -> float:
    """The least radius of a strip's outer face."""
    return tightest_radius_mm(bent.outer)


def too_tight(bent: Bent) -> float | None:
    """The thickest layer that would bend, where these are too thick; None: they bend, or it has kerfs."""
    if bent.kerfs:
        return None
    bends = tightest_mm(bent) / BEND_RATIO
    return None if bends >= bent.thickness_mm / bent.layers - 1e-6 else bends


def _paths(traced: Traced) -> list[_Path]:
    """Runs of edge from corner to corner, or all round, curved and without a joint."""
    n = len(traced.ring)
    corners = [k for k in range(n) if abs(traced.turns[k]) > CORNER_DEG]
    if not corners:
        if any(traced.on_joint) or sum(map(abs, traced.turns)) < LEAST_TURN_DEG:
            return []
        (ax, ay), (bx, by) = traced.ring[:2]
        begin = ((ax + bx) / 2, (ay + by) / 2)
        points = (begin, *traced.ring[1:], traced.ring[0], begin)
        return [_Path(points, (*traced.turns[1:], traced.turns[0]), 0.0, 0.0, closed=True)]
    found = []
    for first, last in zip(corners, [*corners[1:], corners[0] + n], strict=True):
        run = range(first, last)
        turns = tuple(traced.turns[k % n] for k in range(first + 1, last))
        curved = sum(abs(t) for t in turns) > LEAST_TURN_DEG
        if curved and not any(traced.on_joint[k % n] > 0 for k in run):
            points = tuple(traced.ring[k % n] for k in range(first, last + 1))
            found.append(_Path(points, turns, traced.turns[first], traced.turns[last % n]))
    return found


def _parted(path: _Path, longest_mm: float, spare_mm: float) -> list[_Path]:
    """A path in equal parts no longer than a sheet, seams on straight steps of it; a closed one in two. Parts
    of several stay ``spare_mm`` shorter than a sheet."""
    inside = sum(map(math.radians, path.turns))
    most = path_length(path.points) + abs(inside) * DEEPEST_MM  # hollow edges are longer behind
    count = max(2 if path.closed else 1, math.ceil(most / longest_mm - 1e-9))
    if count > 1 and longest_mm > 2 * spare_mm:
        count = max(count, math.ceil(most / (longest_mm - spare_mm) - 1e-9))
    stations = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(path.points))]
    cuts = []
    for n in range(1, count):
        k = bisect_right(stations, stations[-1] * n / count) - 1
        a, b = path.points[k : k + 2]
        long, far = math.dist(a, b), stations[-1] * n / count - stations[k]
        cuts.append((k, _towards(a, b, min(max(far, 1.0), long - 1.0) if long > 2.0 else long / 2)))
    found, first, start = list[_Path](), 0, path.points[0]
    for k, seam in (*cuts, (len(path.points) - 2, path.points[-1])):
        points = (start, *path.points[first + 1 : k + 1], seam)
        before = path.before_deg if not found else 0.0
        found.append(_Path(points, path.turns[first:k], before, 0.0))
        first, start = k, seam
    found[-1] = found[-1]._replace(after_deg=path.after_deg)
    return found


def _bent(
    name: str,
    path: _Path,
    taken: list[Polygon],
    whole: Polygon,
    settings: FramingSettings,
    thick: float,
    layers: int,
) -> Bent | None:
    """The strip along a path, its square ends kept inside the board and off other strips."""
    import shapely

    outer = path.points
    for corner_deg, at_end in ((path.before_deg, False), (path.after_deg, True)):
        sharp = min(max(corner_deg - 90.0, 0.0), 85.0)
        short = thick * math.tan(math.radians(sharp))
        trial = _shortened(outer, short, at_end=at_end)
        steps = 0
        while trial and any(_strip(trial, thick).intersection(t).area > 1e-4 for t in taken) and steps < 200:
            steps += 1
            trial = _shortened(outer, short + steps * 0.5, at_end=at_end)
            if steps == 199:
                trial = ()
        if len(trial) < 2:
            return None
        outer = trial
    shape = _strip(outer, thick)
    if not shape.is_valid or shape.difference(whole.buffer(0.001)).area > 1e-3:
        return None
    inner = tuple(map(snap_point, offset_path(outer, thick)))
    kerfs = tuple(_kerfs(outer, thick)) if settings.curved_edge == "kerfed" else ()
    if shapely.Polygon(_closed(outer, inner)).area < thick:
        return None
    return Bent(
        id=name,
        outer=tuple(map(snap_point, outer)),
        inner=inner,
        thickness_mm=thick,
        depth_mm=settings.depth_mm,
        material=settings.member_material,
        layers=layers,
        kerfs=kerfs,
    )


def _strip(outer: tuple[Point, ...], thick: float) -> Polygon:
    import shapely

    return shapely.Polygon(_ring_of(outer, thick))


def _ring_of(outer: tuple[Point, ...], thick: float) -> Ring:
    return _closed(outer, offset_path(outer, thick))


def _closed(outer: tuple[Point, ...], inner: tuple[Point, ...]) -> Ring:
    return (*outer, *reversed(inner))


def _reached(path: _Path, by_mm: float) -> tuple[Point, ...]:
    """The path carried on straight past its corners where that leads off the board, past a seam by a hair."""
    points = list(path.points)
    before, after = (
        by_mm if deg > 0 else 0.0 if deg else SEAM_MM for deg in (path.before_deg, path.after_deg)
    )
    if before:
        points[0] = _towards(points[1], points[0], math.dist(points[1], points[0]) + before)
    if after:
        points[-1] = _towards(points[-2], points[-1], math.dist(points[-2], points[-1]) + after)
    return tuple(points)


def _towards(a: Point, b: Point, far: float) -> Point:
    share = far / math.dist(a, b)
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def _shortened(path: tuple[Point, ...], by_mm: float, *, at_end: bool) -> tuple[Point, ...]:
    """The path without its first (or last) millimetres; empty: it is no longer than that."""
    if by_mm <= 0:
        return path
    points = list(reversed(path)) if at_end else list(path)
    while len(points) > 1 and math.dist(points[0], points[1]) <= by_mm + 1e-6:
        by_mm -= math.dist(points[0], points[1])
        points.pop(0)
    if len(points) < 2:
        return ()
    points[0] = _towards(points[0], points[1], max(by_mm, 0.0))
    return tuple(reversed(points)) if at_end else tuple(points)


def _kerfs(outer: tuple[Point, ...], thick: float) -> Iterator[Kerf]:
    """Kerfs on the hollow side, each where the edge has turned by another KERF / (t - skin).

    Stations are measured along the skin's middle, which keeps its length.
    """
    each = KERF_MM / (thick - SKIN_MM)
    turned = _turned(outer)
    bulging = sum(turned) > 0
    skin = offset_path(outer, SKIN_MM / 2 if bulging else thick - SKIN_MM / 2)
    station, due = 0.0, each / 2
    for turn, (a, b) in zip(turned, pairwise(skin), strict=True):
        long, here = math.dist(a, b), abs(turn)
        at = due
        while here >= at:
            yield Kerf(x_mm=round(station + long * at / here, 3), inside=turn > 0)
            at += each
        due = at - here
        station += long


def _turned(outer: tuple[Point, ...]) -> list[float]:
    """How much the curve behind the drawn steps turns along each of them, radians.

    The turn at a point belongs to both its steps by halves, or to the short one where the other is straight;
    a first or last step of a curve turns as much again beyond its drawn point.
    """
    long = [math.dist(a, b) for a, b in pairwise(outer)]
    found = [0.0] * len(long)
    for n, (a, b, c) in enumerate(zip(outer, outer[1:], outer[2:], strict=False)):
        turn = turn_rad(a, b, c)
        straight = [long[n] > STRAIGHT_RATIO * long[n + 1], long[n + 1] > STRAIGHT_RATIO * long[n]]
        shares = (0.0, 1.0) if straight[0] else (1.0, 0.0) if straight[1] else (0.5, 0.5)
        found[n] += shares[0] * turn
        found[n + 1] += shares[1] * turn
    for end, beside in ((0, 1), (-1, -2)):
        if len(long) > 1 and long[end] <= STRAIGHT_RATIO * long[beside]:
            found[end] *= 2
    return found


def skin_path(bent: Bent) -> tuple[Point, ...]:
    """The line of a kerfed strip that keeps its length: the middle of its skin."""
    bulging = sum(k.inside for k in bent.kerfs) * 2 >= len(bent.kerfs)
    return offset_path(bent.outer, SKIN_MM / 2 if bulging else bent.thickness_mm - SKIN_MM / 2)


def told(bent: Bent) -> str:
    """One strip in a builder's words."""
    size = (
        f"{bent.id}, {path_length(bent.outer):.0f} mm long outside, radius {tightest_mm(bent):.0f} at least"
    )
    if bent.kerfs:
        apart = [b.x_mm - a.x_mm for a, b in pairwise(bent.kerfs)]
        steps = f", {min(apart):.0f} mm apart at the nearest" if apart else ""
        return f"{size}: {bent.thickness_mm:g} × {bent.depth_mm:g} with {len(bent.kerfs)} kerfs{steps}"
    return f"{size}: {bent.layers} layers of {bent.thickness_mm / bent.layers:g} × {bent.depth_mm:g}"
