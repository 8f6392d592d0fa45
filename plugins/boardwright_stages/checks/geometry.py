"""What is measured: one function a check, each answering with the worst value and where it was found."""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Device, Outline, Point, Ring
from boardwright.plan.rings import follows
from boardwright_timber.model import Board, Face, Hole, HoleKind, Joint, MemberRole, Part

from .reassembly import Drilled, Solid, strip_plan

if TYPE_CHECKING:
    from shapely import Polygon

ON_CIRCLE_MM = 1e-5
GRID_MM = 1e-6  # as coordinates are snapped
MATE_MM = 5.0  # holes of one kind and size nearer than this are meant to be one hole


class Worst(msgspec.Struct, frozen=True):
    """Worst value found, where, and how many things were looked at."""

    value: float
    where: str = ""
    counted: int = 0


def worst(found: Iterable[tuple[float, str]], *, least: bool = False, nothing: float = 0.0) -> Worst:
    """The largest value (the smallest, with ``least``); of equal ones the first."""
    rows = list(found)
    if not rows:
        return Worst(nothing)
    value, where = (min if least else max)(rows, key=lambda r: r[0])
    return Worst(value, where, len(rows))


def tiling(
    outlines: Sequence[Outline],
    decks: Sequence[tuple[str, Solid]],
    open_: Sequence[tuple[str, Polygon, Polygon]] = (),
    gaps: Sequence[tuple[str, Polygon]] = (),
    over: Sequence[tuple[str, float]] = (),
) -> Worst:
    """Area that decks leave bare, put twice, or hang over, outline by outline (mm²).

    ``open_``: outline, shape and wanted deck of each board that is not covered whole. ``gaps``: outline and
    strip along each joint that a lift-out stands back from; it may be bare. ``over``: outline and area where
    one deck passes over another.
    """
    import shapely

    found = []
    for outline in outlines:
        own = [deck.shape for of, deck in decks if of == outline.id]
        boards = [board for of, board, _ in open_ if of == outline.id]
        corners = sorted(p for shape in (*own, *boards) for p in shapely.get_coordinates(shape).tolist())
        drawn = shapely.Polygon(
            _cornered(outline.ring, outline, corners), [_cornered(w, outline, corners) for w in outline.wells]
        )
        for of, board, wanted in open_:
            if of == outline.id:
                drawn = drawn.difference(board).union(wanted)
        covered = shapely.union_all(own)
        bare = shapely.union_all([gap for of, gap in gaps if of == outline.id]).difference(covered)
        drawn = drawn.difference(bare)
        twice = sum(shape.area for shape in own) - covered.area
        twice -= sum(area for of, area in over if of == outline.id)
        found.append((covered.symmetric_difference(drawn).area + max(twice, 0.0), outline.id))
    return worst(found)


def _cornered(ring: Ring, outline: Outline, corners: Sequence[list[float]]) -> list[Point]:
    """A ring with those of the boards' ``corners``, in order, let in that lie on its circles between its own
    points."""
    found: list[Point] = []
    for a, b in pairwise((*ring, ring[0])):
        found.append(a)
        circle = next((c for c in outline.circles if follows(a, b, c)), None)
        if circle is None:
            continue
        half = math.dist(a, b) / 2
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        near = (
            bisect.bisect_left(corners, [middle[0] - half]),
            bisect.bisect_right(corners, [middle[0] + half, math.inf]),
        )
        between = {
            (p[0], p[1])
            for p in corners[slice(*near)]
            if abs(p[0] - middle[0]) < half
            and math.dist(p, middle) < half - ON_CIRCLE_MM
            and abs(math.dist(p, (circle.x_mm, circle.y_mm)) - circle.radius_mm) < ON_CIRCLE_MM
        }
        found += sorted(between, key=lambda p: math.dist(p, a))
    return found


def within_boards(boards: Mapping[str, Board], strips: Sequence[tuple[str, Solid]]) -> Worst:
    """Area of a strip along an edge that lies in a board of its own level (mm²)."""
    import shapely

    shapes = {n: shapely.Polygon(b.ring, b.wells) for n, b in boards.items()}
    return worst(
        (float(strip.shape.intersection(shapes[n]).area), f"{strip.part.id} in board {n}")
        for of, strip in strips
        for n in shapes
        if boards[n].level_mm == boards[of].level_mm and shapes[n].intersects(strip.shape)
    )


def mating(joints: Iterable[Joint], holes: dict[str, list[Drilled]]) -> tuple[Worst, Worst]:
    """(holes without a mate, worst distance between mates in mm, heights counted in)."""
    alone: list[str] = []
    apart: list[tuple[float, str]] = []
    looked_at = 0
    for joint in joints:
        first, second = ([h for h in holes.get(b, ()) if h.hole.joint == joint.id] for b in joint.boards)
        looked_at += len(first) + len(second)
        for hole, others in [(h, second) for h in first] + [(h, first) for h in second]:
            fits = [
                o
                for o in others
                if (o.hole.kind, o.hole.diameter_mm) == (hole.hole.kind, hole.hole.diameter_mm)
            ]
            away = min((math.dist(hole.at, o.at) for o in fits), default=math.inf)
            where = f"{joint.id}, {hole.hole.kind} in {hole.part.id}"
            if away > MATE_MM:
                alone.append(where)
            else:
                apart.append((away, where))
    return Worst(float(len(alone)), alone[0] if alone else "", looked_at), worst(apart)


def ends_alike(ends: Iterable[Joint], holes: dict[str, list[Drilled]], handed: bool) -> Worst:
    """The farthest that a hole of an end lies from its mate on any end of the next module, in mm: along the
    end from its middle, and in height. A hole without a mate counts as 1 m."""
    drilled: list[tuple[str, int, list[tuple[str, float, float, float]]]] = []
    for end in ends:
        ux, uy = ((end.end[k] - end.start[k]) / end.length_mm for k in (0, 1))
        mx, my = ((end.end[k] + end.start[k]) / 2 for k in (0, 1))
        own = [h for h in holes.get(end.boards[0], ()) if h.hole.joint == end.id]
        found = [
            (h.hole.kind.value, h.hole.diameter_mm, ux * (h.at[0] - mx) + uy * (h.at[1] - my), h.at[2])
            for h in own
        ]
        drilled.append((end.id, 1 if (round(uy, 6), round(-ux, 6)) > (0.0, 0.0) else -1, found))
    apart = []
    for one, side, mine in drilled:
        for other, facing, theirs in drilled:
            if handed and side == facing:
                continue
            for kind, wide, t, z in mine:
                mates = [math.hypot(t + u, z - v) for k, w, u, v in theirs if (k, w) == (kind, wide)]
                apart.append((min(mates, default=1000.0), f"{one} and {other}"))
    return worst(apart)


def joists_in_keepouts(pairs: Iterable[tuple[Solid, float, Sequence[Device]]]) -> Worst:
    """Area of joists inside a device's keep-out (mm²); each joist with how far its top is below the deck."""
    import shapely

    found = []
    for joist, below_deck_mm, devices in pairs:
        for device in devices:
            if below_deck_mm > 1e-6 and device.depth_mm <= below_deck_mm:
                continue  # it ends above the joist
            area = joist.shape.intersection(shapely.Polygon(device.keepout())).area
            found.append((area, f"{joist.part.id} under {device.id}"))
    return worst(found)


def overlaps(solids: Sequence[Solid]) -> Worst:
    """Area that two parts at one height share in plan (mm²)."""
    import shapely

    tree = shapely.STRtree([s.shape for s in solids])
    found = []
    for n, one in enumerate(solids):
        for m in sorted(int(i) for i in tree.query(one.shape)):
            other = solids[m]
            if m <= n or min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm) <= 1e-6:
                continue
            shared = shapely.intersection(one.shape, other.shape, grid_size=GRID_MM)
            found.append((float(shared.area), f"{one.part.id} and {other.part.id}"))
    return Worst(worst(found).value, worst(found).where, len(solids))


def outside_deck(members: Iterable[tuple[Solid, Polygon]]) -> Worst:
    """Area of a member that sticks out from under its board's deck, or an open board's outline (mm²)."""
    import shapely

    # on a grid: along edges that nearly coincide the difference without one once was the whole member
    return worst(
        (float(shapely.difference(m.shape, deck, grid_size=GRID_MM).area), m.part.id) for m, deck in members
    )


def edge_distance(parts: Iterable[Part]) -> Worst:
    """Least distance from a hole's middle to an edge of its part, in the hole's diameters.

    Measured on both faces: bevelled ends make them unlike, and a tilted hole comes out elsewhere.
    """
    found = []
    for part in parts:
        least = [math.inf] * len(part.holes)
        for face in Face if part.holes else ():
            ends = [(n, at) for n, hole in enumerate(part.holes) for at in _ends(part, hole, face)]
            for (n, _), away in zip(ends, _inside(_profile(part, face), [at for _, at in ends]), strict=True):
                least[n] = min(least[n], away)
        for hole, away in zip(part.holes, least, strict=True):
            away *= math.cos(math.radians(hole.tilt_deg))
            found.append((away / hole.diameter_mm, f"{_named(hole)} in {part.id}"))
    return worst(found, least=True, nothing=math.inf)


def wood_between(parts: Iterable[Part]) -> Worst:
    """Least wood between the rims of two holes of one part, on either face (mm)."""
    found = []
    for part in parts:
        holes = [(h, _named(h), [_ends(part, h, face) for face in Face]) for h in part.holes]
        for n, (a, one_of, ends) in enumerate(holes):
            for b, other_of, others in holes[n + 1 :]:
                away = min(_apart(one, other) for one, other in zip(ends, others, strict=True))
                gap = away - (a.diameter_mm + b.diameter_mm) / 2
                found.append((gap, f"{one_of} and {other_of} in {part.id}"))
    return worst(found, least=True, nothing=math.inf)


def _named(hole: Hole) -> str:
    """A hole as it is found in the drilling list: what for, and where from the part's datum corner."""
    what = hole.note if hole.kind is HoleKind.DEVICE and hole.note else f"{hole.kind} hole"
    return f"{what} at x {hole.x_mm:.0f} y {hole.y_mm:.0f}"


def is_joist(part: Part) -> bool:
    """A joist, or a noggin that holds one."""
    return part.role in (MemberRole.JOIST.value, MemberRole.NOGGIN.value)


def _ends(part: Part, hole: Hole, face: Face) -> tuple[Point, ...]:
    """Where a hole's middle is on one face of its part; of a slot, the middles of its round ends."""
    if hole.is_slot:
        return hole.ends
    if hole.face is face:
        return ((hole.x_mm, hole.y_mm),)
    return ((hole.x_mm + part.thickness_mm * math.tan(math.radians(hole.tilt_deg)), hole.y_mm),)


def _apart(a: tuple[Point, ...], b: tuple[Point, ...]) -> float:
    """Distance between two middles, or the middle lines of slots."""
    if len(a) == len(b) == 1:
        return math.dist(a[0], b[0])
    import shapely

    one, two = (shapely.LineString(p) if len(p) > 1 else shapely.Point(p[0]) for p in (a, b))
    return float(one.distance(two))


def _inside(profile: Polygon, points: Sequence[Point]) -> list[float]:
    """Distance of each point from the profile's edge; negative outside it."""
    import shapely

    at = shapely.points(points)
    away, within = shapely.distance(profile.boundary, at).tolist(), shapely.contains(profile, at).tolist()
    return [d if inside else -d for d, inside in zip(away, within, strict=True)]


def _profile(part: Part, face: Face) -> Polygon:
    """The shape of one face: a bevelled strip's faces are not the same length."""
    import shapely

    if not part.placement.stands:
        return shapely.Polygon(part.ring, part.openings)
    outer_start, outer_end, inner_end, inner_start = (x for x, _ in strip_plan(part))
    low, high = (outer_start, outer_end) if face is Face.OUTER else (inner_start, inner_end)
    return shapely.Polygon(((low, 0.0), (high, 0.0), (high, part.width_mm), (low, part.width_mm)))
