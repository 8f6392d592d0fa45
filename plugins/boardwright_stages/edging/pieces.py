"""A strip in lengths that the stock gives, butted square.

Claim: equal lengths, no longer than a sheet gives; a seam moves along so far as the sheet allows to where a
member's face stands behind it, SEAM_CLEAR_MM off that face's ends and off seams of the member itself; where
none does it lies between the holds on either side of it (``holding``).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.geometry import offset_path, path_length, snap_point, turn_rad
from boardwright_timber.model import EdgePiece, EdgeRun

from .behind import Behind
from .laying import reached

SEAM_CLEAR_MM = 60.0
STEP_MM = 20.0
HALF = 0.5
OFF_BEND_MM = 1.0


class Seam(NamedTuple):
    """``on``: the member behind it; empty: none."""

    at_mm: float
    on: str


def seams(
    run: EdgeRun,
    thick: float,
    longest_mm: float,
    wood: Behind,
    of_members: Mapping[str, Sequence[float]],
) -> list[Seam]:
    """Where a strip is butted, along its inner face. ``of_members``: the same of members, along the strip."""
    long = path_length(run.inner)
    turned = sum(abs(turn_rad(*c)) for c in zip(run.inner, run.inner[1:], run.inner[2:], strict=False))
    room = longest_mm - thick * turned - abs(path_length(run.outer) - long) * run.is_straight
    count = max(2 if run.is_closed else 1, math.ceil(long / room - 1e-9) if room > 0 else 1)
    slack = (room - long / count) * HALF if math.isfinite(room) else long / count / 4
    found = []
    for n in range(1, count):
        at = long * n / count
        seam = next(_placed(at, max(slack, 0.0), wood, of_members), Seam(at, ""))
        found.append(seam._replace(at_mm=_off_bends(seam.at_mm, run.inner)))
    return found


def _off_bends(at: float, path: Sequence[Point]) -> float:
    """The place moved off the bends of a path, so that both lengths are cut square to one step of it."""
    stops = [0.0, *accumulate(math.dist(a, b) for a, b in pairwise(path))]
    k = min(bisect_right(stops, at), len(stops) - 1)
    low, high = stops[k - 1], stops[k]
    off = min(OFF_BEND_MM, (high - low) / 2)
    return round(min(max(at, low + off), high - off), 6)


def _placed(
    at: float, slack: float, wood: Behind, of_members: Mapping[str, Sequence[float]]
) -> Iterator[Seam]:
    for step in range(int(slack / STEP_MM) + 1):
        for way in (1, -1) if step else (1,):
            here = round(at + way * step * STEP_MM, 3)
            face = wood.face_at(here, SEAM_CLEAR_MM)
            if face and all(abs(here - s) >= SEAM_CLEAR_MM for s in of_members.get(face.name, ())):
                yield Seam(here, face.name)


def cut(name: str, run: EdgeRun, at: Sequence[Seam]) -> tuple[EdgePiece, ...]:
    """The lengths of a strip; the first has its name."""
    stops = [0.0, *(s.at_mm for s in at), path_length(run.inner)]
    found = []
    for n, low in enumerate(stops[:-1]):
        first, last = n == 0, n == len(stops) - 2
        inner, outer = run.inner, run.outer
        if not first or not last:
            inner, outer = _between(run, low, stops[n + 1], first=first, last=last)
        found.append(
            EdgePiece(
                id=name if first else f"{name}-{n + 1}",
                inner=inner,
                outer=outer,
                from_mm=round(low, 6),
                on="" if first else at[n - 1].on,
            )
        )
    return tuple(found)


def _between(
    run: EdgeRun, low: float, high: float, *, first: bool, last: bool
) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Both faces of a run from one place along it to another; at its own ends they keep their cut."""
    long = path_length(run.inner)
    inner = reached(reached(run.inner, -low)[::-1], -(long - high))[::-1]
    (ax, ay), (bx, by) = run.inner[:2]
    first_mm = math.dist(run.inner[0], run.inner[1])
    (ox, oy), _ = run.outer[:2]
    dx, dy = (bx - ax) / first_mm, (by - ay) / first_mm
    thick = (ox - ax) * dy - (oy - ay) * dx
    outer = list(offset_path(inner, -thick))
    if first:
        outer[0] = run.outer[0]
    if last:
        outer[-1] = run.outer[-1]
    return tuple(map(snap_point, inner)), tuple(map(snap_point, outer))
