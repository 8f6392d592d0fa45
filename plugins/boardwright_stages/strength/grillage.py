"""A grillage: straight beams in one plane, loaded square to it, by the direct stiffness method.

Claim: nodal sags, forces at supports and the bending and shear of every beam, elastic, small sags.

Glossary
    node       a point with three unknowns: sag w (mm, down) and tilt dw/dx, dw/dy
    beam       a straight piece between two nodes: bending with shear (Timoshenko), and twist
    released   the end of a beam that is only held up or down: it passes no bending on
    case       one column of loads

Nodes are held against tilting by ``TILT`` as well, far less than a deck gives: it keeps the sums solvable
when nothing else resists twist. Source: textbook matrices (memory), compared with a finite element library
in the tests.

What this does not know: holes (they come as a smaller ``bending``), sinking supports, large sags.
"""

from __future__ import annotations

import math
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
    whole = np.zeros((count, count))
    local: list[tuple[Array, list[int]]] = []
    for beam in beams:
        stiff, turned = _own(beam, points[beam.start], points[beam.end])
        at = [3 * beam.start + k for k in range(3)] + [3 * beam.end + k for k in range(3)]
        whole[np.ix_(at, at)] += turned.T @ stiff @ turned
        local.append((stiff @ turned, at))
    tilts = [i for i in range(count) if i % 3]
    whole[tilts, tilts] += TILT_NMM
    held = {3 * n for n in supports}
    free = [i for i in range(count) if i not in held]
    push = np.zeros((count, loads.shape[1]))
    push[::3] = loads
    moved = np.zeros_like(push)
    moved[free] = np.linalg.solve(whole[np.ix_(free, free)], push[free])
    up = [3 * n for n in supports]
    forces = np.stack([own @ moved[at] for own, at in local])
    # Couples that the nodes put on a beam's ends; sagging bending is the first, and minus the second.
    return Solved(
        sags=moved[::3],
        held=push[up] - whole[up] @ moved,
        bending=np.stack((forces[:, 1], -forces[:, 4]), axis=1),
        shears=np.abs(forces[:, 0]),
    )


def _own(beam: Beam, a: tuple[float, float], b: tuple[float, float]) -> tuple[Array, Array]:
    """Stiffness on (w, slope, twist) at both ends, and the turn from the plane's axes to the beam's own."""
    length = math.dist(a, b)
    c, s = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    give = 12 * beam.bending / (beam.shear * length**2)
    k = beam.bending / (length**3 * (1 + give))
    bend = k * np.array(
        [
            [12, 6 * length, -12, 6 * length],
            [6 * length, (4 + give) * length**2, -6 * length, (2 - give) * length**2],
            [-12, -6 * length, 12, -6 * length],
            [6 * length, (2 - give) * length**2, -6 * length, (4 + give) * length**2],
        ]
    )
    for released, row in ((beam.start_released, 1), (beam.end_released, 3)):
        if released and bend[row, row] > 1e-9 * k * length**2:
            bend = bend - np.outer(bend[:, row], bend[row]) / bend[row, row]
    own = np.zeros((6, 6))
    at = [0, 1, 3, 4]
    own[np.ix_(at, at)] = bend
    own[2, 2] = own[5, 5] = beam.twist / length
    own[2, 5] = own[5, 2] = -beam.twist / length
    turned = np.zeros((6, 6))
    for n in (0, 3):
        turned[n, n] = 1
        turned[n + 1, n + 1 : n + 3] = c, s
        turned[n + 2, n + 1 : n + 3] = -s, c
    return own, turned
