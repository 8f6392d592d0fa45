"""Where joints end on other joints: two ends too near one another leave a stretch too short for its bolts.

Glossary
    beside    a cut made before, with this piece on one side of it
    node      a place on such a cut where boards change: its own ends, and the ends of cuts on either side

Claim: of two neighbouring nodes either both are the same point (boards meet corner to corner) or there is
room for bolts between them; else the cut that made the second one breaks a hard rule and costs as much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec
import numpy as np

from .chords import Chords
from .directions import Array, distinct
from .piece import FIT_MM, Cut, Piece
from .tracks import BREACH_BOARDS

ON_CUT_MM = 1e-3
SAME_MM = 5e-3


class Beside(msgspec.Struct, frozen=True, eq=False):
    """A cut along the edge of a piece; ``nodes`` are places along it, mm from its start."""

    start: Array
    way: Array
    length: float
    nodes: Array

    @property
    def key(self) -> bytes:
        return b"".join(np.round(a, 3).tobytes() for a in (self.start, self.way, self.nodes))

    def along(self, points: Array) -> tuple[Array, Array]:
        """Where points lie along the cut, and whether they are on it at all."""
        out = points - self.start
        along = out @ self.way
        off = np.abs(out[:, 0] * self.way[1] - out[:, 1] * self.way[0])
        return along, (off < ON_CUT_MM) & (along > -ON_CUT_MM) & (along < self.length + ON_CUT_MM)

    def points(self) -> Array:
        points: Array = self.start + self.nodes[:, None] * self.way
        return points


def beside(piece: Piece, cuts: Sequence[Cut], reach_mm: float) -> tuple[Beside, ...]:
    """The cuts along the edge of a piece, with their nodes no farther than ``reach_mm`` from that edge."""
    near = [c for c in cuts if piece.may_meet(c.start, c.end, 1.0)]
    if not near:
        return ()
    ends = np.array([p for c in cuts for p in (c.start, c.end)])
    found = []
    for cut in near:
        line = _line(cut)
        along, on = line.along(piece.xy)
        edge = on & on[piece.follows]
        if not edge.any():
            continue
        span = np.concatenate((along[edge], along[piece.follows][edge]))
        at, met = line.along(ends)
        nodes = distinct(np.round(at[met], 3))
        nodes = nodes[(nodes > span.min() - reach_mm) & (nodes < span.max() + reach_mm)]
        found.append(Beside(line.start, line.way, line.length, nodes))
    return tuple(found)


def cost(found: Chords, edges: Sequence[Beside], shortest_mm: float) -> Array:
    """What each chord costs for ending too near a node, in boards."""
    total = np.zeros(len(found))
    for edge in edges:
        for ends in (found.start, found.end):
            along, on = edge.along(ends)
            total += np.where(on, _near(along, edge.nodes, shortest_mm), 0.0)
    return total


def cost_of(cuts: Sequence[Cut], before: Sequence[Cut], shortest_mm: float) -> float:
    """The same for cuts made one after the other."""
    total, made = 0.0, list(before)
    for cut in cuts:
        ends = np.array((cut.start, cut.end))
        others = np.array([p for c in made for p in (c.start, c.end)]).reshape(-1, 2)
        for line in map(_line, made):
            along, on = line.along(ends)
            if on.any():
                at, met = line.along(others)
                total += float(_near(along[on], at[met], shortest_mm).sum())
        made.append(cut)
    return total


def through(piece: Piece, edges: Sequence[Beside], angles: Array) -> tuple[Array, Array]:
    """Lines through the nodes on a piece's edge: along these directions, square to them and to the edge."""
    normals, offsets = [np.empty((0, 2))], [np.empty(0)]
    for edge in edges:
        points = edge.points()
        turned = np.concatenate((angles, angles + math.pi / 2))
        ways = np.vstack((np.column_stack((-np.sin(turned), np.cos(turned))), edge.way))
        normals.append(np.repeat(ways, len(points), axis=0))
        offsets.append((ways @ points.T).ravel())
    return np.concatenate(normals), np.concatenate(offsets)


def _near(along: Array, nodes: Array, shortest_mm: float) -> Array:
    gap = np.abs(along[:, None] - nodes[None, :])
    gap = np.where(gap > SAME_MM, gap, np.inf)
    least = gap.min(axis=1, initial=np.inf)
    short = least < shortest_mm - FIT_MM
    lacks = np.where(short, shortest_mm - least, 0.0) / max(shortest_mm, 1.0)
    near: Array = np.where(short, BREACH_BOARDS * (1.0 + lacks), 0.0)
    return near


def _line(cut: Cut) -> Beside:
    start, length = np.array(cut.start), math.dist(cut.start, cut.end)
    return Beside(start, (np.array(cut.end) - start) / max(length, 1e-9), length, np.empty(0))
