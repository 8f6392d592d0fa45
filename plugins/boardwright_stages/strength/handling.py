"""A board in the hands of those who carry it: held at its two ends, or lifted at one off its supports.

Claim: three cases by the same grillage as on its supports, the board with all that stays on it (its own mass
and the layout's allowance) times JOLT; the worst of them counts. Carried: both corners of both ends are
held, which is also a board of which one end stands on the floor. Lifted: both corners of one end are held,
and the board turns on the supports farthest from them. No creep: it does not last. Strength with k_mod for a
short load.

Glossary
    end     wood within END_MM of the board's left or right edge, along its own length

What this does not know: one hand alone (without its deck a frame twists, with it hardly), boards stood on
edge or turned over, corners knocked on door frames, and backs: lift with help, by local guidance on handling.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from boardwright.plan.model import Point
from boardwright_timber.model import Member

from .grillage import Array, solve
from .net import Net
from .settings import StrengthSettings
from .standing import stands
from .sums import LASTING, Figure, bending_use

JOLT = 1.5  # steps, stairs and setting down: judgement, no source
END_MM = 50.0


class Handled(NamedTuple):
    """The worst sag of a node (mm) and the worst use of bending strength of a beam, with their places."""

    sag: Figure
    bending: Figure


def handled(
    net: Net,
    members: tuple[Member, ...],
    under: list[int],
    lasting: Array,
    centre: Point,
    settings: StrengthSettings,
) -> Handled | None:
    """None: it cannot be held by its ends (a board that comes to a point at both)."""
    sag, bending = Figure(0.0, 0), Figure(0.0, 0)
    tried = False
    for held in _grips(net.points, under):
        if len(held) < 3 or not stands([net.points[n] for n in held], centre):
            continue
        tried = True
        solved = solve(net.points, net.beams, held, (JOLT * lasting)[:, None])
        sag = max(sag, _worst(np.abs(solved.sags[:, 0])))
        moments = LASTING * np.abs(solved.bending[:, :, 0]).max(axis=1)
        bending = max(bending, _worst(bending_use(net, members, moments, settings)))
    return Handled(sag, bending) if tried else None


def _worst(values: Array) -> Figure:
    rounded = np.round(values, 6)
    at = int(np.argmax(rounded))
    return Figure(float(rounded[at]), at)


def _grips(points: list[Point], under: list[int]) -> Iterator[list[int]]:
    """Nodes that are held: both ends' corners, then one end's corners and the supports farthest from it."""
    low, high = min(x for x, _ in points), max(x for x, _ in points)
    left = _corners(points, [n for n, (x, _) in enumerate(points) if x <= low + END_MM])
    right = _corners(points, [n for n, (x, _) in enumerate(points) if x >= high - END_MM])
    yield sorted({*left, *right})
    first, last = min(points[n][0] for n in under), max(points[n][0] for n in under)
    yield sorted({*left, *(n for n in under if points[n][0] >= last - END_MM)})
    yield sorted({*right, *(n for n in under if points[n][0] <= first + END_MM)})


def _corners(points: list[Point], end: list[int]) -> tuple[int, int]:
    return (
        min(end, key=lambda n: (round(points[n][1], 3), n)),
        max(end, key=lambda n: (round(points[n][1], 3), -n)),
    )
