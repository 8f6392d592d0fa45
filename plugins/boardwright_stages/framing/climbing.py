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
from collections.abc import Callable, Sequence
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, NamedTuple

from msgspec import UNSET
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright.plan.model import Device, Point, Turnout
from boardwright_timber.geometry import snap
from boardwright_timber.model import Board, BoardPlan, Panel
from boardwright_timber.rising import Way

from .clashes import Clash, clash_of, in_turnout, over_itself
from .parting import CUT_MM, Alone
from .runs import NEAR_MM, TOGETHER_MM, Beside, Run, beside

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

LEVEL_MM = 0.1
HAIR_MM = 0.01
SLEEPER_MM = 2600.0  # of the prototype: NEM 122 (2007) a = 30 in H0, 16 in N, 22 in TT
PASS_MM = 3500.0  # of the prototype, 40 mm in H0: less is a step beside a track, more a bridge; judgement
GAUGE_HALF_MM = 2150.0  # of the prototype, beside a straight track: NEM 102, 24 to 25 in H0 (memory)
H0_RATIO = 87.0  # where the scale is not known


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


def rising_decks(
    runs: Sequence[Run],
    strips: Sequence[Geometry],
    turnouts: Sequence[tuple[Turnout, Polygon]],
    lobes: Sequence[tuple[Device, Geometry]],
    reach_mm: float,
    ratio: float,
) -> Rising:
    """The deck in its pieces, in plan. ``strips``: the deck under each run alone; ``lobes``: what devices
    add; two runs farther apart than ``reach_mm`` have nothing to do with each other."""
    import shapely

    scale = ratio or H0_RATIO
    least_mm, pass_mm = SLEEPER_MM / scale + CUT_MM, PASS_MM / scale
    group = [next(k for k, other in enumerate(runs) if other.track == run.track) for run in runs]
    far: list[list[Geometry]] = [[] for _ in runs]
    cuts: list[list[Geometry]] = [[] for _ in runs]
    clashes: list[Clash] = []
    lines = [shapely.LineString([p[:2] for p in run.way]) for run in runs]
    sleepers = shapely.union_all(
        [x.buffer((least_mm - CUT_MM) / 2 - HAIR_MM, cap_style="flat") for x in lines]
    )
    pairs = [(i, j) for i in range(len(runs)) for j in range(len(runs)) if i != j]
    near = {(i, j): beside(runs[i], runs[j], reach_mm) for i, j in pairs}
    for (i, j), found in near.items():
        if any(abs(b.higher_mm) <= TOGETHER_MM for each in found for b in each):
            group = [group[i] if g == group[j] else g for g in group]
    for (i, j), found in near.items():
        most_mm = math.inf if group[i] == group[j] else pass_mm  # no piece of deck passes over itself

        def stepped(b: Beside, most_mm: float = most_mm) -> bool:
            return TOGETHER_MM < abs(b.higher_mm) < most_mm

        for each in found:
            for stretch in _where(each, stepped):
                if i < j and (
                    clash := clash_of((runs[i], runs[j]), stretch, each, least_mm, pass_mm, turnouts)
                ):
                    clashes.append(clash)
                for aside in _where(stretch, lambda b: not b.ahead):  # no cut along a track
                    past = _on_past_ends(aside, reach_mm)
                    far[i] += _far_side(past, reach_mm)
                    cuts[i].append(_cut(past).difference(sleepers))

    def own(n: int, shape: Geometry) -> Geometry:
        return shape.difference(shapely.union_all(far[n])) if far[n] else shape

    alone = Alone(runs, group, pass_mm)
    pieces = [[strip] for strip in alone.parted([own(n, strip) for n, strip in enumerate(strips)])]
    added: list[tuple[Turnout | Device, Geometry]] = [*turnouts, *lobes]
    for item, more in added:
        away = [round(line.distance(shapely.Point(item.x_mm, item.y_mm)), 3) for line in lines]
        n = away.index(min(away))
        if isinstance(item, Turnout):
            others = [run for run, g in zip(runs, group, strict=True) if g != group[n]]
            told = {(c.one, c.two, c.turnout) for c in clashes}
            more_clashes = in_turnout(runs[n], others, item, more, pass_mm)
            clashes += [c for c in more_clashes if (c.one, c.two, c.turnout) not in told]
        pieces[n].append(alone.beyond_others(n, own(n, more), pieces))
    members = {g: [n for n in range(len(runs)) if group[n] == g] for g in sorted(set(group))}
    shapes = {g: shapely.union_all([p for n in mine for p in pieces[n]]) for g, mine in members.items()}
    clashes += over_itself(runs)
    made = []
    for g, mine in members.items():
        sawn = shapely.union_all([*(c for n in mine for c in cuts[n]), alone.kept_free(shapes, g)])
        made.append(Piece(shapes[g], sawn, tuple(runs[n].way for n in mine)))
    return Rising(tuple(made), tuple(clashes))


def _where(run: Sequence[Beside], holds: Callable[[Beside], bool]) -> list[list[Beside]]:
    """Stretches of a run that ``holds`` is true of."""
    return [list(each) for true, each in groupby(run, key=holds) if true]


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
