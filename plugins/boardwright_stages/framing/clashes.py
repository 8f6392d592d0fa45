"""Where tracks that climb stand in each other's way.

Claim: two tracks that differ in height are told where their sleepers would meet, or where both are in one
turnout; and where one piece of deck would have to pass over itself.

What this does not know: where a turnout's own sleepers end: its whole outline counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright import Notes, Place
from boardwright.plan.model import Point, Turnout
from boardwright_timber.model import Board, BoardPlan
from boardwright_timber.rising import on_way

from .runs import STEP_MM, TOGETHER_MM, Beside, Run

if TYPE_CHECKING:
    from shapely import Geometry, Polygon


class Clash(NamedTuple):
    """Two tracks (of the board's plan, by number), or one and itself, that no deck can carry as they are
    drawn: the worst place, how far apart they are there in plan and in height, and how far on they are far
    enough apart."""

    one: int
    two: int
    at: Point
    apart_mm: float
    height_mm: float
    further_mm: float
    turnout: str


def clash_of(
    both: tuple[Run, Run],
    stretch: Sequence[Beside],
    run: Sequence[Beside],
    least_mm: float,
    pass_mm: float,
    turnouts: Sequence[tuple[Turnout, Polygon]],
) -> Clash | None:
    """Where two runs that differ in height along a ``stretch`` of where they are near each other are nearer
    than ``least_mm``, or in one turnout; None: nowhere."""
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
    passes = abs(worst.higher_mm) >= pass_mm
    further = 0.0 if passes else min((abs(n - first) for n in ok), default=0) * STEP_MM
    one, two = sorted(each.track for each in both)
    return Clash(one, two, worst.at, worst.apart_mm, abs(worst.higher_mm), further, name)


def over_itself(runs: Sequence[Run]) -> Iterator[Clash]:
    """Where a run crosses itself."""
    import shapely

    for one in runs:
        if not shapely.LineString([p[:2] for p in one.way]).is_simple:
            yield Clash(one.track, one.track, one.way[0][:2], 0.0, max(z for _, _, z in one.way), 0.0, "")


def in_turnout(
    own: Run, others: Sequence[Run], turnout: Turnout, shape: Geometry, pass_mm: float
) -> Iterator[Clash]:
    """Where one of the others passes through a turnout of a run at another height."""
    import shapely

    line = shapely.LineString([p[:2] for p in own.way])
    for other in others:
        inside = shapely.LineString([p[:2] for p in other.way]).intersection(shape)
        if not inside.length:
            continue
        at = inside.interpolate(0.5, normalized=True) if inside.geom_type == "LineString" else inside.centroid
        near = line.interpolate(line.project(at))
        place, there = (at.x, at.y), (near.x, near.y)
        higher = abs(on_way(other.way, place)[1] - on_way(own.way, there)[1])
        if TOGETHER_MM < higher < pass_mm:
            one, two = sorted((own.track, other.track))
            yield Clash(one, two, place, math.dist(place, there), higher, 0.0, turnout.id)


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
