"""A grillage: straight beams in one plane, loaded square to it, by the direct stiffness method.

Claim: nodal sags, forces at supports and the bending and shear of every beam, elastic, small sags.

Glossary
    node       a point with three unknowns: sag w (mm, down) and tilt dw/dx, dw/dy
    beam       a straight piece between two nodes: bending with shear (Timoshenko), and twist
    released   the end of a beam that is only held up or down: it passes no bending on
    case       one column of loads
    row        nodes that are so many beams away from an end of the frame: beams lead only to the next row, so
               the sums are eliminated row by row, and a long board costs as many times more as it is longer

Nodes are held against tilting by ``TILT`` as well, far less than a deck gives: it keeps the sums solvable
when nothing else resists twist. Source: textbook matrices (memory), compared with a finite element library
in the tests.

What this does not know: holes (they come as a smaller ``bending``), sinking supports, large sags.
"""

from __future__ import annotations

from itertools import accumulate, pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

type Array = npt.NDArray[np.float64]

TILT_NMM = 1.0  # N·mm a radian, at every node


class Beam(NamedTuple):
    """``bending`` EI in N·mm², ``shear`` κGA in N, ``twist`` GJ in N·mm²."""

    start: int
    end: int
    bending: float
    shear: float
    twist: float
    start_released: bool = False
    end_released: bool = False


class Solved(NamedTuple):
    """By case (columns): sags of nodes (mm), what each support pushes up (N), and for every beam its bending
    at both ends (N·mm) and its shear (N)."""

    sags: Array
    held: Array
    bending: Array
    shears: Array


def solve(points: list[tuple[float, float]], beams: list[Beam], supports: list[int], loads: Array) -> Solved:
    """``loads``: N down, a row a node, a column a case. Raises ``numpy.linalg.LinAlgError``: it falls.

    Nodes in ``supports`` do not sink, and are held down too.
    """
    count = 3 * len(points)
    stiff, turned = _own(points, beams)
    ends = np.array([(b.start, b.end) for b in beams], dtype=int).reshape(-1, 2)
    at = (3 * ends[:, :, None] + np.arange(3)).reshape(-1, 6)
    whole = np.zeros((count, count))
    np.add.at(whole, (at[:, :, None], at[:, None, :]), turned.transpose(0, 2, 1) @ stiff @ turned)
    tilts = [i for i in range(count) if i % 3]
    whole[tilts, tilts] += TILT_NMM
    held = {3 * n for n in supports}
    push = np.zeros((count, loads.shape[1]))
    push[::3] = loads
    rows = [
        [3 * n + k for n in row for k in range(3) if 3 * n + k not in held]
        for row in rows_of(ends, len(points))
    ]
    moved = moved_by(whole, push, rows)
    up = [3 * n for n in supports]
    # Push of the near end, and couples that the nodes put on a beam's ends; sagging bending is the first of
    # them, and minus the second.
    forces = (stiff[:, [0, 1, 4]] @ turned) @ moved[at]
    return Solved(
        sags=moved[::3],
        held=push[up] - whole[up] @ moved,
        bending=np.stack((forces[:, 1], -forces[:, 2]), axis=1),
        shears=np.abs(forces[:, 0]),
    )


def rows_of(ends: npt.NDArray[np.int_], count: int) -> list[list[int]]:
    """Nodes in rows, each with beams to none but itself, the row before and the row after.

    They are those so many beams away from a node at an end of the frame.
    """
    beside: list[list[int]] = [[] for _ in range(count)]
    for a, b in ends.tolist():
        beside[a].append(b)
        beside[b].append(a)

    def from_node(first: int) -> list[list[int]]:
        rows, seen = [[first]], {first}
        while rows[-1]:
            found = dict.fromkeys(n for m in rows[-1] for n in beside[m] if n not in seen)
            seen |= found.keys()
            rows.append(list(found))
        return rows[:-1]

    rows: list[list[int]] = []
    left = dict.fromkeys(range(count))
    while left:
        found = from_node(from_node(next(iter(left)))[-1][0])
        rows += found
        for n in (n for row in found for n in row):
            del left[n]
    return rows


def moved_by(whole: Array, push: Array, rows: list[list[int]]) -> Array:
    """Sags and tilts under the loads: elimination row by row (block Thomas algorithm), then back.

    ``rows`` name the unknowns that are free, in rows that only touch the next; the others do not move.
    """
    moved = np.zeros_like(push)
    order = [n for row in rows for n in row]
    stops = list(accumulate((len(row) for row in rows if row), initial=0))
    sorted_ = whole[np.ix_(order, order)]  # each row's part of it is a slice
    given = push[order]
    cases = push.shape[1]
    after: list[Array] = []  # what the next row's moving adds to each
    for n, (low, high) in enumerate(pairwise(stops)):
        own, loads = sorted_[low:high, low:high], given[low:high]
        if n:
            before = sorted_[low:high, stops[n - 1] : low]
            own, loads = own - before @ after[-1], loads - before @ given[stops[n - 1] : low]
        next_ = sorted_[low:high, high : stops[n + 2]] if n + 2 < len(stops) else own[:, :0]
        done = np.linalg.solve(own, np.concatenate((loads, next_), axis=1))
        given[low:high] = done[:, :cases]
        after.append(done[:, cases:])
    for n in range(len(stops) - 3, -1, -1):
        low, high = stops[n], stops[n + 1]
        given[low:high] -= after[n] @ given[high : stops[n + 2]]
    moved[order] = given
    return moved


def _own(points: list[tuple[float, float]], beams: list[Beam]) -> tuple[Array, Array]:
    """A beam each: stiffness on (w, slope, twist) at both ends, and the turn from the plane's axes to its
    own."""
    across = np.array([(*points[b.start], *points[b.end]) for b in beams]).reshape(-1, 4)
    run = across[:, 2:] - across[:, :2]
    length = np.hypot(*run.T)
    c, s = (run / length[:, None]).T
    bending, shear, twist = np.array([(b.bending, b.shear, b.twist) for b in beams]).reshape(-1, 3).T
    give = 12 * bending / (shear * length**2)
    k = bending / (length**3 * (1 + give))
    one, turn = np.ones_like(length), 6 * length
    near, far = (4 + give) * length**2, (2 - give) * length**2
    bend = np.array(
        [
            [12 * one, turn, -12 * one, turn],
            [turn, near, -turn, far],
            [-12 * one, -turn, 12 * one, -turn],
            [turn, far, -turn, near],
        ]
    ).transpose(2, 0, 1)
    bend = k[:, None, None] * bend
    for name, row in (("start_released", 1), ("end_released", 3)):
        released = np.array([getattr(b, name) for b in beams], dtype=bool)
        released &= bend[:, row, row] > 1e-9 * k * length**2
        loose = bend[released]
        bend[released] = loose - loose[:, :, [row]] @ loose[:, [row], :] / loose[:, row, row][:, None, None]
    own = np.zeros((len(beams), 6, 6))
    at = np.array([0, 1, 3, 4])
    own[:, at[:, None], at] = bend
    own[:, 2, 2] = own[:, 5, 5] = twist / length
    own[:, 2, 5] = own[:, 5, 2] = -twist / length
    turned = np.zeros((len(beams), 6, 6))
    for n in (0, 3):
        turned[:, n, n] = 1
        turned[:, n + 1, n + 1], turned[:, n + 1, n + 2] = c, s
        turned[:, n + 2, n + 1], turned[:, n + 2, n + 2] = -s, c
    return own, turned
