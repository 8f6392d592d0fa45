"""Decks under tracks that climb: one piece where tracks are as high as each other, parted where they are not.

Claim: a deck's underside follows the height that the drawing gives the track above it, counted from the
board's level. Tracks side by side that differ by more than TOGETHER_MM are parted midway between them by
a saw cut; one that passes ``pass_mm`` or more above another gets a deck of its own over the other's. Where
tracks differ but lie too close for two strips (each must bear its own sleepers) a fault names the place and
the millimetres: a climb begins after its turnout, not in it.

A track drawn at its board's level lies on a deck at that level: deck, underlay, sleepers and rails are as
thick on a climb as elsewhere, so the deck's underside climbs as the drawn track does.

Glossary
    far side    of one track, seen from another: what lies beyond the line midway between them

What this does not know: superelevation, vertical curves (heights run straight from point to point of the
drawing), and a piece of deck that passes over itself.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from msgspec import UNSET
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright.plan.model import Device, Point, Turnout
from boardwright_timber.geometry import snap
from boardwright_timber.model import Board, BoardPlan, Panel
from boardwright_timber.rising import Way, on_way

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

TOGETHER_MM = 0.5  # a sheet gives that much between two tracks; judgement
LEVEL_MM = 0.1
STEP_MM = 10.0
CUT_MM = 3.0  # between two strips that part: a saw cut
SLEEPER_MM = 2600.0  # of the prototype: NEM 122 (2007) a = 30 in H0, 16 in N, 22 in TT
PASS_MM = 3500.0  # of the prototype, 40 mm in H0: less is a step beside a track, more a bridge; judgement
GAUGE_HALF_MM = 2150.0  # of the prototype, beside a straight track: NEM 102, 24 to 25 in H0 (memory)
H0_RATIO = 87.0  # where the scale is not known
NEAR_MM = 1.0


class Clash(NamedTuple):
    """Two tracks (of the board's plan, by number) that no deck can carry as they are drawn: the worst place,
    how far apart they are there in plan and in height, and how far on they are far enough apart."""

    one: int
    two: int
    at: Point
    apart_mm: float
    height_mm: float
    further_mm: float
    turnout: str


class Piece(NamedTuple):
    """Deck in one with itself, the saw cuts in it, and the tracks on it."""

    shape: Geometry
    sawn: Geometry
    ways: tuple[Way, ...]


class Rising(NamedTuple):
    """Pieces of a deck that climbs, and where tracks stand in its way."""

    pieces: tuple[Piece, ...]
    clashes: tuple[Clash, ...]


def ways_of(board: Board, plan: BoardPlan) -> tuple[Way, ...]:
    """Each track as its deck's underside runs above the board's level, in plan; none where all of them are
    level and at the board's level."""
    zero = board.level_mm
    found: list[Way] = []
    for track in (t for t in plan.tracks if len(t.points) > 1):
        told = track.heights_mm or (zero,) * len(track.points)
        found.append(tuple((x, y, snap(z - zero)) for (x, y), z in zip(track.points, told, strict=True)))
    return tuple(found) if any(abs(z) > LEVEL_MM for way in found for _, _, z in way) else ()


class Beside(NamedTuple):
    """A place on one track and the nearest on another: both places, how much higher the other is, and whether
    the first track ends there."""

    at: Point
    other: Point
    higher_mm: float
    end: bool = False

    @property
    def apart_mm(self) -> float:
        return math.dist(self.at, self.other)


def beside(one: Way, two: Way, reach_mm: float) -> list[list[Beside]]:
    """Stretches along the first track on which the second is that near; each a place every STEP_MM."""
    import shapely

    line, other = (shapely.LineString([p[:2] for p in way]) for way in (one, two))
    if line.distance(other) > reach_mm:
        return []
    steps = max(1, math.ceil(line.length / STEP_MM))
    runs: list[list[Beside]] = []
    gone = True
    for n in range(steps + 1):
        at = line.interpolate(line.length * n / steps)
        near = other.interpolate(other.project(at))
        here, there = (at.x, at.y), (near.x, near.y)
        if math.dist(here, there) > reach_mm:
            gone = True
            continue
        if gone:
            runs.append([])
        gone = False
        higher = on_way(two, there)[1] - on_way(one, here)[1]
        runs[-1].append(Beside(here, there, higher, n in (0, steps)))
    return runs


def rising_decks(
    ways: Sequence[Way],
    strips: Sequence[Geometry],
    turnouts: Sequence[tuple[Turnout, Polygon]],
    lobes: Sequence[tuple[Device, Geometry]],
    reach_mm: float,
    ratio: float,
) -> Rising:
    """The deck in its pieces, in plan. ``strips``: the deck under each way alone; ``lobes``: what devices
    add; two tracks farther apart than ``reach_mm`` have nothing to do with each other."""
    import shapely

    scale = ratio or H0_RATIO
    least_mm, pass_mm = SLEEPER_MM / scale + CUT_MM, PASS_MM / scale
    group = list(range(len(ways)))
    far: list[list[Geometry]] = [[] for _ in ways]
    cuts: list[list[Geometry]] = [[] for _ in ways]
    clashes: list[Clash] = []
    for i, one in enumerate(ways):
        for j, two in enumerate(ways):
            if i == j:
                continue
            for run in beside(one, two, reach_mm):
                if any(abs(b.higher_mm) <= TOGETHER_MM for b in run):
                    old, new = group[j], group[i]
                    group = [new if g == old else g for g in group]
                for stretch in _stepped(run, pass_mm):
                    if i < j and (clash := _clash(i, j, stretch, run, least_mm, turnouts)):
                        clashes.append(clash)
                    stretch = _on_past_ends(stretch, reach_mm)
                    far[i] += _far_side(stretch, reach_mm)
                    cuts[i].append(_cut(stretch))

    def own(n: int, shape: Geometry) -> Geometry:
        return shape.difference(shapely.union_all(far[n])) if far[n] else shape

    pieces: list[list[Geometry]] = [[own(n, strip)] for n, strip in enumerate(strips)]
    lines = [shapely.LineString([p[:2] for p in way]) for way in ways]
    added = [((t.x_mm, t.y_mm), shape) for t, shape in turnouts]
    added += [((d.x_mm, d.y_mm), shape) for d, shape in lobes]
    for at, more in added:
        away = [round(line.distance(shapely.Point(at)), 3) for line in lines]
        n = away.index(min(away))
        pieces[n].append(own(n, more))
    found = []
    for g in sorted(set(group)):
        mine = [n for n in range(len(ways)) if group[n] == g]
        clashes += _over_itself(mine, ways, reach_mm, pass_mm)
        shape = shapely.union_all([piece for n in mine for piece in pieces[n]])
        sawn = shapely.union_all([c for n in mine for c in cuts[n]])
        found.append(Piece(shape, sawn, tuple(ways[n] for n in mine)))
    return Rising(tuple(found), tuple(clashes))


def _over_itself(
    mine: Sequence[int], ways: Sequence[Way], reach_mm: float, pass_mm: float
) -> Iterator[Clash]:
    """Where one piece of deck would have to pass over itself."""
    import shapely

    for i in mine:
        if not shapely.LineString([p[:2] for p in ways[i]]).is_simple:
            yield Clash(i, i, ways[i][0][:2], 0.0, max(z for _, _, z in ways[i]), 0.0, "")
        elif back := _beside_itself(ways[i], reach_mm):
            yield Clash(i, i, back.at, back.apart_mm, abs(back.higher_mm), 0.0, "")
        for j in (j for j in mine if j > i):
            over = [b for run in beside(ways[i], ways[j], reach_mm) for b in run]
            if high := [b for b in over if abs(b.higher_mm) >= pass_mm]:
                worst = min(high, key=lambda b: (round(b.apart_mm, 3), b.at))
                yield Clash(i, j, worst.at, worst.apart_mm, abs(worst.higher_mm), 0.0, "")


def _beside_itself(way: Way, reach_mm: float) -> Beside | None:
    """Where a track comes back beside itself at another height, nearer than its deck is wide: the place at
    which the heights differ most. (No bend that trains go round comes back so near within twice that.)"""
    import numpy as np
    import shapely

    line = shapely.LineString([p[:2] for p in way])
    far = np.append(np.arange(0.0, line.length, STEP_MM), line.length)
    places = shapely.get_coordinates(shapely.line_interpolate_point(line, far))
    ends = np.cumsum([0.0, *(math.dist(a[:2], b[:2]) for a, b in pairwise(way))])
    heights = np.interp(far, ends, [z for _, _, z in way])
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    higher = np.abs(heights[:, None] - heights[None])
    along = np.abs(far[None] - far[:, None])
    if apart[0, -1] <= NEAR_MM:  # a ring: round the other way it may be shorter
        along = np.minimum(along, line.length - along)
    back = (along > 2 * reach_mm) & (apart <= reach_mm) & (higher > TOGETHER_MM)
    if not back.any():
        return None
    n, m = np.unravel_index(np.argmax(np.where(back, higher, 0.0)), back.shape)
    (x, y), (u, v) = places[n].tolist(), places[m].tolist()
    return Beside((x, y), (u, v), float(higher[n, m]))


def _stepped(run: Sequence[Beside], pass_mm: float) -> list[list[Beside]]:
    """Stretches on which the tracks differ, but neither passes over the other."""
    found: list[list[Beside]] = []
    before = False
    for place in run:
        here = TOGETHER_MM < abs(place.higher_mm) < pass_mm
        if here and not before:
            found.append([])
        if here:
            found[-1].append(place)
        before = here
    return found


def _clash(
    i: int,
    j: int,
    stretch: Sequence[Beside],
    run: Sequence[Beside],
    least_mm: float,
    turnouts: Sequence[tuple[Turnout, Polygon]],
) -> Clash | None:
    import shapely

    narrow = [b for b in stretch if b.apart_mm < least_mm]
    inside = {
        n: t.id
        for n, b in enumerate(stretch)
        for t, shape in turnouts
        if shape.contains(shapely.Point(b.at)) and shape.contains(shapely.Point(b.other))
    }
    bad = narrow or [stretch[n] for n in inside]
    if not bad:
        return None
    worst = max(bad, key=lambda b: (round(abs(b.higher_mm), 3), b.at))
    name = next(iter(inside.values()), "")
    ok = [n for n, b in enumerate(run) if b.apart_mm >= least_mm]
    first = run.index(bad[0])
    further = min((abs(n - first) for n in ok), default=0) * STEP_MM
    return Clash(i, j, worst.at, worst.apart_mm, abs(worst.higher_mm), further, name)


def _on_past_ends(stretch: Sequence[Beside], by_mm: float) -> list[Beside]:
    """The same, straight on where the first track ends: its deck reaches past it, round or up to a slanting
    joint."""
    found = list(stretch)
    for end, beside_it in ((0, 1), (-1, -2)):
        if len(stretch) > 1 and stretch[end].end:
            (ax, ay), (bx, by) = stretch[beside_it].at, stretch[end].at
            share = by_mm / math.dist((ax, ay), (bx, by))
            dx, dy = (bx - ax) * share, (by - ay) * share
            (x, y), b = stretch[end].other, stretch[end]
            past = Beside((bx + dx, by + dy), (x + dx, y + dy), b.higher_mm)
            found = [past, *found] if end == 0 else [*found, past]
    return found


def _middle(b: Beside, back_mm: float) -> Point:
    """A place ``back_mm`` short of midway, seen from the first track."""
    share = 0.5 - back_mm / max(b.apart_mm, 1e-6)
    return (b.at[0] + share * (b.other[0] - b.at[0]), b.at[1] + share * (b.other[1] - b.at[1]))


def _far_side(stretch: Sequence[Beside], reach_mm: float) -> list[Geometry]:
    """What lies beyond the cut midway, quadrilateral by quadrilateral."""
    import shapely

    found: list[Geometry] = []
    clear = [b for b in stretch if b.apart_mm > CUT_MM]
    for a, b in pairwise(clear):
        ring = [_middle(a, CUT_MM / 2), _middle(b, CUT_MM / 2), _middle(b, -reach_mm), _middle(a, -reach_mm)]
        found.append(shapely.convex_hull(shapely.MultiPoint(ring)))
    return found


def _cut(stretch: Sequence[Beside]) -> Geometry:
    import shapely

    middles = [_middle(b, 0.0) for b in stretch if b.apart_mm > CUT_MM]
    if len(middles) < 2:
        return shapely.Polygon()
    return shapely.LineString(middles).buffer(CUT_MM / 2, cap_style="flat")


def climbing(panel: Panel, ways: Sequence[Way]) -> Panel:
    """A panel with the ways that run on it, in the board's own axes."""
    import shapely

    shape = shapely.Polygon(panel.ring, panel.wells).buffer(NEAR_MM)
    lines = [shapely.LineString([p[:2] for p in way]) for way in ways]
    mine = [way for way, line in zip(ways, lines, strict=True) if line.intersects(shape)]
    if not mine:  # a scrap beside its track, or what a turnout or a device adds
        away = [round(line.distance(shape), 3) for line in lines]
        mine = [ways[away.index(min(away))]]
    return replace(panel, ways=tuple(mine))


def about_clashes(board: Board, plan: BoardPlan, clashes: Sequence[Clash], notes: Notes) -> None:
    """Tracks that no deck can carry as they are drawn."""
    names = [t.id for t in plan.tracks if len(t.points) > 1]
    for clash in clashes:
        one, two = names[clash.one], names[clash.two]
        inside = f", within turnout {clash.turnout}" if clash.turnout else ""
        further = (
            f"Let the climb begin {clash.further_mm:.0f} mm farther on, where they are far enough apart"
            if clash.further_mm
            else "Draw them farther apart, or at heights that let one pass over the other"
            if one != two
            else "Draw them farther apart"
        )
        notes.fault(
            "BW-FRAME-014",
            f"Board {board.id}: {f'tracks {one} and {two}' if one != two else f'two runs of track {one}'} "
            f"differ by {clash.height_mm:.1f} mm in height where "
            f"they are {clash.apart_mm:.0f} mm apart{inside}: no deck can carry both.",
            Place(board=board.id, item=two, x_mm=round(clash.at[0], 1), y_mm=round(clash.at[1], 1)),
            f"{further}; or put a joint between them.",
        )


def about_low_decks(board: Board, deck: Sequence[Panel], rise_mm: float, notes: Notes) -> None:
    """Decks that would lie below the tops of joists and sides."""
    low = min(
        (p for panel in deck if panel.ways is not UNSET for way in panel.ways for p in way),
        key=_height,
        default=(0.0, 0.0, 0.0),
    )
    if low[2] < -rise_mm:
        x, y = board.to_plan(low[:2])
        notes.fault(
            "BW-FRAME-015",
            f"Board {board.id}: the deck comes down to {-low[2]:.1f} mm below the board's level, lower than "
            f"its joists and sides ({rise_mm:g} mm).",
            Place(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
            f"Set open_top.rise_mm to {math.ceil(-low[2])} or more. Heights count from the drawing's zero, "
            "as levels do ([[drawing.levels]] height_mm).",
        )


def _height(p: tuple[float, float, float]) -> float:
    return p[2]
