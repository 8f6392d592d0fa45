"""Loads on the net of a frame: its own mass from the real parts, the layout's allowance, a hand anywhere.

Claim: the deck with what stands on it is shared out in cells of about 8 mm, each to the nearest member and
there to two nodes by the law of the lever, so nothing is lost; a member's own mass lies along it.

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
CELL_MM = 8.0  # finer changes no sag by more than about 2 %


def lasting_loads(
    net: Net, members: tuple[Part, ...], deck: float, ring: Ring, wells: tuple[Ring, ...]
) -> Array:
    """N on each node. ``deck``: N/mm² of deck and layout together; ``members``: parts in the net's order."""
    loads = np.zeros(len(net.points))
    points = np.array(net.points)
    lengths = np.array([np.hypot(*(points[b.end] - points[b.start])) for b in net.beams])
    of = np.array([piece.member for piece in net.pieces])
    for m, part in enumerate(members):
        own = np.flatnonzero(of == m)
        share = part.mass_kg * G_N_KG / lengths[own].sum() if len(own) else 0.0
        for k in own.tolist():
            loads[[net.beams[k].start, net.beams[k].end]] += share * lengths[k] / 2
    cells, area = _cells(ring, wells)
    mine = [np.flatnonzero(of == m) for m in range(len(members))]
    chains = [(points[net.beams[k[0]].start], points[net.beams[k[-1]].end], k) for k in mine if len(k)]
    starts = np.array([a for a, _, _ in chains])
    runs = np.array([b for _, b, _ in chains]) - starts
    away = cells[:, None, :] - starts[None]
    along = np.clip((away * runs).sum(axis=2) / (runs**2).sum(axis=1), 0.0, 1.0)
    off = ((away - along[:, :, None] * runs) ** 2).sum(axis=2)
    nearest = np.argmin(np.round(off, 6), axis=1)
    for m, (_, _, chain) in enumerate(chains):
        stops = np.concatenate(([0.0], np.cumsum(lengths[chain])))
        station = along[nearest == m, m] * stops[-1]
        k = np.clip(np.searchsorted(stops, station) - 1, 0, len(chain) - 1)
        share = (station - stops[k]) / lengths[chain[k]]
        np.add.at(loads, np.array([net.beams[n].start for n in chain])[k], deck * area * (1 - share))
        np.add.at(loads, np.array([net.beams[n].end for n in chain])[k], deck * area * share)
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
