"""Loads on the net of a frame: its own mass from the real parts, the layout's allowance, a hand anywhere.

Claim: the deck with what stands on it is shared out in cells of about 25 mm, each to the nearest beam and
there to its two nodes by the law of the lever, so nothing is lost; a member's own mass lies along it.

Glossary
    lasting   what stays for years: wood, track, scenery; N
    hand      one load on one node at a time; the worst node counts

What this does not know: moving a board, a box of tools put down on it, people. Nobody stands on a board.
"""

from __future__ import annotations

import numpy as np

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Part

from .grillage import Array
from .net import Net

G_N_KG = 9.81
CELL_MM = 25.0


def lasting_loads(
    net: Net, members: tuple[Part, ...], deck: float, ring: Ring, wells: tuple[Ring, ...]
) -> Array:
    """N on each node. ``deck``: N/mm² of deck and layout together; ``members``: parts in the net's order."""
    loads = np.zeros(len(net.points))
    points = np.array(net.points)
    lengths = np.array([np.hypot(*(points[b.end] - points[b.start])) for b in net.beams])
    of = np.array([piece.member for piece in net.pieces])
    for m, part in enumerate(members):
        mine = np.flatnonzero(of == m)
        share = part.mass_kg * G_N_KG / lengths[mine].sum() if len(mine) else 0.0
        for k in mine.tolist():
            loads[[net.beams[k].start, net.beams[k].end]] += share * lengths[k] / 2
    cells, area = _cells(ring, wells)
    starts = points[[b.start for b in net.beams]]
    runs = points[[b.end for b in net.beams]] - starts
    for cell in cells:
        at = np.clip(((cell - starts) * runs).sum(axis=1) / lengths**2, 0.0, 1.0)
        off = ((cell - starts - at[:, None] * runs) ** 2).sum(axis=1)
        k = int(np.argmin(np.round(off, 6)))
        loads[net.beams[k].start] += deck * area * (1 - at[k])
        loads[net.beams[k].end] += deck * area * at[k]
    return loads


def _cells(ring: Ring, wells: tuple[Ring, ...]) -> tuple[Array, float]:
    """Middles of the cells of a deck, and the area each stands for (mm²)."""
    import shapely

    shape = shapely.Polygon(ring, wells)
    x0, y0, x1, y1 = shape.bounds
    nx, ny = max(1, round((x1 - x0) / CELL_MM)), max(1, round((y1 - y0) / CELL_MM))
    xs = x0 + (np.arange(nx) + 0.5) * (x1 - x0) / nx
    ys = y0 + (np.arange(ny) + 0.5) * (y1 - y0) / ny
    grid = np.array([(x, y) for x in xs for y in ys])
    inside = grid[shapely.contains_xy(shape, grid[:, 0], grid[:, 1])]
    return inside, shape.area / max(len(inside), 1)


def centre_of(net: Net, loads: Array) -> Point:
    """Where the loads would balance."""
    points = np.array(net.points)
    x, y = (points * loads[:, None]).sum(axis=0) / loads.sum()
    return float(x), float(y)
