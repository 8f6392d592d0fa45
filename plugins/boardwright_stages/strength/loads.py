"""Loads on the net of a frame: its own mass from the real parts, the layout's allowance, a hand anywhere.

Claim: the deck with what stands on it is shared out in cells of about 8 mm, each to the nearest member and
there to two nodes by the law of the lever, so nothing is lost; a cell that lies half way between two members
is parted between them. A member's own mass lies along it.

Glossary
    lasting   what stays for years: wood, track, scenery; N
    hand      one load on one node at a time; the worst node counts

What this does not know: moving a board, a box of tools put down on it, people. Nobody stands on a board.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Frame, Member, MemberRole, Panel, Part
from boardwright_timber.rising import BEARS_MM

from .grillage import Array
from .net import Net, centreline

G_N_KG = 9.81
CELL_MM = 8.0


class Bearing(NamedTuple):
    """What carries the deck: panels of it, and for each member the stretches (stations) that bear on it;
    ``more_kg`` is what else hangs on each member (flanges, risers, fishplates)."""

    panels: tuple[Panel, ...]
    stretches: tuple[tuple[tuple[float, float], ...], ...]
    more_kg: tuple[float, ...]


def bearing_of(members: tuple[Member, ...], loose: tuple[tuple[Member, float], ...], frame: Frame) -> Bearing:
    """``members`` bend; ``loose`` are risers, flanges and fishplates with their masses."""
    lines = [centreline(m) for m in members]
    stretches: list[list[tuple[float, float]]] = [
        [(0.0, line.length)] if m.carries_deck else [] for m, line in zip(members, lines, strict=True)
    ]
    more = [0.0] * len(members)
    for m, mass in loose:
        start, end = centreline(m)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        near = [k for k, one in enumerate(members) if _holds(one, m)]
        if not near:
            continue
        k = min(near, key=lambda k: round(lines[k].nearest(middle)[1], 6))
        more[k] += mass
        if m.role is MemberRole.RISER:
            low, high = sorted((lines[k].nearest(start)[0], lines[k].nearest(end)[0]))
            stretches[k].append((low, high))
    return Bearing(frame.deck, tuple(map(tuple, stretches)), tuple(more))


def _holds(member: Member, loose: Member) -> bool:
    if loose.role is MemberRole.FLANGE:
        return member.role is MemberRole.GIRDER
    if loose.role is MemberRole.FISHPLATE:
        return loose.top_mm == member.top_mm
    if loose.role is MemberRole.RISER and loose.top_mm > member.top_mm + BEARS_MM:
        return member.role is not MemberRole.GIRDER  # an end that carries another deck itself
    return not member.carries_deck and member.role is not MemberRole.GIRDER


def lasting_loads(
    net: Net,
    members: tuple[Part, ...],
    deck: float,
    ring: Ring,
    wells: tuple[Ring, ...],
    bearing: Bearing | None = None,
) -> Array:
    """N on each node. ``deck``: N/mm² of deck and layout together; ``members``: parts in the net's order.

    Without ``bearing`` the deck is the whole ring and every member bears it.
    """
    own = [0.0] * len(net.points)
    points = np.array(net.points)
    starts, ends = [b.start for b in net.beams], [b.end for b in net.beams]
    lengths = np.hypot(*(points[ends] - points[starts]).T)
    of = np.array([piece.member for piece in net.pieces])
    mine = [np.flatnonzero(of == m) for m in range(len(members))]
    for m, part in enumerate(members):
        mass = part.mass_kg + (bearing.more_kg[m] if bearing else 0.0)
        share = mass * G_N_KG / lengths[mine[m]].sum() if len(mine[m]) else 0.0
        for k, half in zip(mine[m].tolist(), (share * lengths[mine[m]] / 2).tolist(), strict=True):
            own[starts[k]] += half
            own[ends[k]] += half
    loads = np.array(own)
    strips: list[tuple[int, float, float]] = []
    for m, chain in enumerate(mine):
        if len(chain):
            whole = float(lengths[chain].sum())
            given = bearing.stretches[m] if bearing else ((0.0, whole),)
            strips += [(m, min(low, whole), min(high, whole)) for low, high in given]
    panels = bearing.panels if bearing and bearing.panels else (Panel(ring=ring, wells=wells),)
    for panel in panels if strips else ():
        _lay(loads, net, points, mine, lengths, strips, deck, *_cells(panel.ring, panel.wells))
    return loads


def _lay(
    loads: Array,
    net: Net,
    points: Array,
    mine: list[npt.NDArray[np.intp]],
    lengths: Array,
    strips: list[tuple[int, float, float]],
    deck: float,
    cells: Array,
    area: float,
) -> None:
    """Add a panel's cells to ``loads``, each on the nearest strip (member, from station, to station)."""
    ends = []
    for m, low, high in strips:
        a, b = points[net.beams[mine[m][0]].start], points[net.beams[mine[m][-1]].end]
        run = (b - a) / np.hypot(*(b - a))
        ends.append((a + low * run, a + high * run))
    starts = np.array([a for a, _ in ends])
    run_x, run_y = (np.array([b for _, b in ends]) - starts).T
    x, y = (cells[:, n, None] - starts[None, :, n] for n in (0, 1))
    along = np.clip((x * run_x + y * run_y) / np.maximum(run_x**2 + run_y**2, 1e-9), 0.0, 1.0)
    off = (x - along * run_x) ** 2 + (y - along * run_y) ** 2
    shares = _shares(off)
    for n, (m, low, high) in enumerate(strips):
        here = shares[:, n] > 0
        chain = mine[m]
        stops = np.concatenate(([0.0], np.cumsum(lengths[chain])))
        station = low + along[here, n] * (high - low)
        k = np.clip(np.searchsorted(stops, station) - 1, 0, len(chain) - 1)
        lever = (station - stops[k]) / lengths[chain[k]]
        weight = deck * area * shares[here, n]
        np.add.at(loads, np.array([net.beams[b].start for b in chain])[k], weight * (1 - lever))
        np.add.at(loads, np.array([net.beams[b].end for b in chain])[k], weight * lever)


def _shares(off: Array) -> Array:
    """Each cell's shares of the members it is ``off`` mm squared away from (a row a cell, adding up to 1).

    A line half way between two members cuts a cell whose middle is e away from it so that the nearer one
    gets ½ + e / cell; the distances of the two differ by 2e there.
    """
    rows = np.arange(len(off))
    away = np.sqrt(off)
    first = np.argmin(np.round(away, 6), axis=1)
    shares = np.zeros_like(off)
    if off.shape[1] == 1:
        shares[:] = 1.0
        return shares
    nearest = away[rows, first].copy()
    away[rows, first] = np.inf
    second = np.argmin(np.round(away, 6), axis=1)
    part = np.clip(0.5 + (away[rows, second] - nearest) / (2 * CELL_MM), 0.5, 1.0)
    shares[rows, first] = part
    shares[rows, second] = 1 - part
    return shares


def _cells(ring: Ring, wells: tuple[Ring, ...]) -> tuple[Array, float]:
    """Middles of the cells of a deck, and the area each stands for (mm²)."""
    import shapely

    shape = shapely.Polygon(ring, wells)
    x0, y0, x1, y1 = shape.bounds
    nx, ny = max(1, round((x1 - x0) / CELL_MM)), max(1, round((y1 - y0) / CELL_MM))
    xs = x0 + (np.arange(nx) + 0.5) * (x1 - x0) / nx
    ys = y0 + (np.arange(ny) + 0.5) * (y1 - y0) / ny
    grid = np.column_stack((np.repeat(xs, ny), np.tile(ys, nx)))
    inside = grid[shapely.contains_xy(shape, grid[:, 0], grid[:, 1])]
    return inside, shape.area / max(len(inside), 1)


def centre_of(net: Net, loads: Array) -> Point:
    """Where the loads would balance."""
    points = np.array(net.points)
    x, y = (points * loads[:, None]).sum(axis=0) / loads.sum()
    return float(x), float(y)
