"""What straight cuts from edge to edge cannot do: curved and stepped edges, openings, bevelled ends.

Claim: a part whose profile is more than its blank, or that has openings, gets steps after the saw cuts, in
the order they are best made (common practice, no source): openings while the blank is still whole, then its
edges, then bevels. A rectangle without openings gets none.

Glossary
    contour   a line that is traced on the blank and followed with a jigsaw, or a straight one sawn by hand
    curved    a run of more than ``MOST_STRAIGHT`` sides off the blank

What this does not know: which saw is at hand; a hole saw or a router does as well.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

from boardwright.plan.model import Point, Ring
from boardwright.plan.rings import area
from boardwright_timber.model import Contour, Part

from .shown import shown

MOST_STRAIGHT = 3
MOST_CORNERS = 8  # of an opening that is not round
TOUCH_MM = 0.05


def contours(parts: Sequence[Part], done: Sequence[frozenset[str]] = ()) -> tuple[Contour, ...]:
    """All steps after the saw cuts, part by part, numbered from 1. ``done``: of each part the ends (left,
    right) that are cut to their slant already."""
    ready = done or [frozenset[str]()] * len(parts)
    steps = (step for part, ends in zip(parts, ready, strict=True) for step in _steps(part, ends))
    return tuple(
        Contour(step=n, part=part, kind=kind, says=says) for n, (part, kind, says) in enumerate(steps, 1)
    )


def bevels(parts: Sequence[Part]) -> tuple[Contour, ...]:
    """Only the bevelled ends: all that is left to do by hand on parts whose outline is milled."""
    steps = [step for part in parts for step in _steps(part) if step[1] == "bevel"]
    return tuple(
        Contour(step=n, part=part, kind=kind, says=says) for n, (part, kind, says) in enumerate(steps, 1)
    )


type Kind = Literal["opening", "curve", "line", "bevel"]


def _steps(part: Part, done: frozenset[str] = frozenset()) -> Iterator[tuple[str, Kind, str]]:
    for opening in part.openings:
        xs, ys = [x for x, _ in opening], [y for _, y in opening]
        at = f"{shown(min(xs))}, {shown(min(ys))} mm from its datum corner"
        size = f"{shown(max(xs) - min(xs))} × {shown(max(ys) - min(ys))} mm"
        how = (
            "Use a hole saw, or drill a hole for the blade and saw along the line with a jigsaw."
            if len(opening) > MOST_CORNERS
            else "Drill a hole for the blade inside each corner, saw along the lines with a jigsaw."
        )
        yield (
            part.id,
            "opening",
            f"Part {part.id}: opening {size}, lower left at {at}. Mark it from its full-size print. {how}",
        )
    runs = list(_runs_off_the_blank(part.ring, part.length_mm, part.width_mm))
    straight = [run for run in runs if len(run) <= MOST_STRAIGHT]
    mitres = [run for run in straight if len(run) == 1 and _side(run[0], part.length_mm) in done]
    if len(runs) > len(straight):
        yield (
            part.id,
            "curve",
            f"Part {part.id}: curved edge. Lay its full-size print on the blank, trace it, saw just outside "
            "the line with a jigsaw, and smooth it to the line.",
        )
    for run in (r for r in straight if r not in mitres):
        way = ", then to ".join(f"{shown(x)}, {shown(y)}" for x, y in (run[0][0], *(b for _, b in run)))
        short = "; stop the saw short of inside corners and finish them with a jigsaw"
        corners = short if _turns_inside(run, area(part.ring)) else ""
        yield (
            part.id,
            "line",
            f"Part {part.id}: saw off the waste along a line from {way} (mm from its datum corner){corners}.",
        )
    for side, bevel in (("left", part.left_bevel_deg), ("right", part.right_bevel_deg)):
        if bevel and side not in done:
            long = "drawn" if bevel > 0 else "back"
            yield (
                part.id,
                "bevel",
                f"Part {part.id}: bevel its {side} end with the blade tilted {shown(abs(bevel))}° off "
                f"square; the {long} face stays the longer one.",
            )
    if part.top_tilt_deg:
        long = "drawn" if part.top_tilt_deg > 0 else "back"
        yield (
            part.id,
            "bevel",
            f"Part {part.id}: saw its top with the blade tilted {shown(abs(part.top_tilt_deg))}° off square; "
            f"the {long} face stays the higher one.",
        )


def _side(side: tuple[Point, Point], length: float) -> str:
    return "left" if side[0][0] + side[1][0] < length else "right"


def _turns_inside(run: Sequence[tuple[Point, Point]], turn: float) -> bool:
    """Has the run an inside corner, beyond which a saw would cut into the part? Where it meets the blank's
    sides there is none. ``turn``: above 0 for a ring that runs anticlockwise."""
    return any(
        ((b[0] - a[0]) * (d[1] - b[1]) - (b[1] - a[1]) * (d[0] - b[0])) * turn < 0
        for (a, b), (_, d) in pairwise(run)
    )


def _runs_off_the_blank(ring: Ring, length: float, width: float) -> Iterator[list[tuple[Point, Point]]]:
    """Runs of sides that lie on no side of the blank, each in the ring's direction."""
    sides = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    on = [_on_the_blank(a, b, length, width) for a, b in sides]
    if all(on):
        return
    start = on.index(True) if any(on) else 0
    run: list[tuple[Point, Point]] = []
    for side, there in zip(sides[start:] + sides[:start], on[start:] + on[:start], strict=True):
        if not there:
            run.append(side)
        elif run:
            yield run
            run = []
    if run:
        yield run


def _on_the_blank(a: Point, b: Point, length: float, width: float) -> bool:
    return any(
        abs(a[axis] - at) < TOUCH_MM and abs(b[axis] - at) < TOUCH_MM
        for axis, whole in ((0, length), (1, width))
        for at in (0.0, whole)
    )
