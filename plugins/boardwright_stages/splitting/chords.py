"""Where straight lines cross a piece, for many lines at once.

A line is a unit normal n and an offset c: the points p with n·p = c. It runs in direction d with n on its
left. Vertices that lie on a line are counted once with its left and once with its right side, so a line along
an edge gives the chords that continue that edge.

Limits: chords along an edge are left out, and so are those between two wells unless they are asked for.
"""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np

from .directions import Array
from .piece import Node, Piece

type Index = np.ndarray[Any, np.dtype[np.intp]]

ON_LINE_MM = 1e-5
SHORTEST_MM = 1.0


class Chords(msgspec.Struct, frozen=True):
    """Arrays, one entry a chord; ``enter``/``leave`` index the first vertex of an edge in ``piece.xy``."""

    piece: Piece
    line: Index
    enter: Index
    enter_at: Array
    leave: Index
    leave_at: Array
    start: Array
    end: Array

    def __len__(self) -> int:
        return len(self.line)

    def pick(self, which: Any) -> Chords:
        return Chords(
            self.piece,
            self.line[which],
            self.enter[which],
            self.enter_at[which],
            self.leave[which],
            self.leave_at[which],
            self.start[which],
            self.end[which],
        )

    def and_(self, others: Chords) -> Chords:
        """These chords and others of the same piece."""
        return Chords(
            self.piece,
            *(
                np.concatenate((getattr(self, name), getattr(others, name)))
                for name in ("line", "enter", "enter_at", "leave", "leave_at", "start", "end")
            ),
        )

    @property
    def length(self) -> Array:
        d = self.end - self.start
        lengths: Array = np.hypot(d[:, 0], d[:, 1])
        return lengths

    def nodes(self, i: int) -> tuple[Node, Node]:
        return (
            self.piece.node(int(self.enter[i]), float(self.enter_at[i])),
            self.piece.node(int(self.leave[i]), float(self.leave_at[i])),
        )


def find(piece: Piece, normals: Array, offsets: Array, wells: bool = False) -> Chords:
    """Every chord of every line, in the order of the lines; ``wells``: those between wells, too."""
    xy = piece.xy
    side = xy @ normals.T - offsets
    side[np.abs(side) < ON_LINE_MM] = 0.0
    zero = side == 0.0
    touched = np.flatnonzero(zero.any(axis=0))
    lines = np.concatenate((np.arange(len(offsets)), touched))
    positive = np.concatenate((side >= 0, (side > 0)[:, touched]), axis=1)
    after = positive[piece.follows]
    going_in = _crossings(piece, side, lines, positive & ~after, normals)
    going_out = _crossings(piece, side, lines, ~positive & after, normals)
    run, edge_in, at_in, u_in, start = going_in
    _, edge_out, at_out, u_out, end = going_out
    line = lines[run]
    keep = u_out - u_in > SHORTEST_MM
    starts = np.array(piece.ring_starts)
    ring_in = np.searchsorted(starts, edge_in, side="right") - 1
    ring_out = np.searchsorted(starts, edge_out, side="right") - 1
    if not wells:
        keep &= (ring_in == 0) | (ring_out == 0)
    keep &= edge_in != edge_out
    if len(touched):
        along = np.column_stack((normals[:, 1], -normals[:, 0]))
        flags = np.zeros(len(offsets), dtype=bool)
        flags[touched] = True
        for k in np.flatnonzero(keep & flags[line]):
            on = zero[:, line[k]]
            u = xy @ along[line[k]]
            middle = (u_in[k] + u_out[k]) / 2
            edge = on & on[piece.follows]
            beside = edge & ((u < middle) != (u[piece.follows] < middle))
            keep[k] = not (np.any(on & (u > u_in[k] + 1e-3) & (u < u_out[k] - 1e-3)) or beside.any())
    chords = Chords(piece, line, edge_in, at_in, edge_out, at_out, start, end).pick(keep)
    return chords.pick(np.argsort(chords.line, kind="stable"))


def _crossings(
    piece: Piece, side: Array, lines: Index, where: Any, normals: Array
) -> tuple[Index, Index, Array, Array, Array]:
    """Crossings sorted by run of a line and then along it: run, edge, fraction, place along, point."""
    run, edge = np.nonzero(where.T)
    line = lines[run]
    s0, s1 = side[edge, line], side[piece.follows[edge], line]
    at = s0 / (s0 - s1)
    a, b = piece.xy[edge], piece.xy[piece.follows[edge]]
    point = a + at[:, None] * (b - a)
    u = point[:, 0] * normals[line, 1] - point[:, 1] * normals[line, 0]
    order = np.lexsort((u, run))
    return run[order], edge[order], at[order], u[order], point[order]
