"""Corners of boards on a round edge: where a joint meets an arc, on the arc itself and not on its chord.

An outline's arcs are searched as chords (``chord_error_mm`` off at most), so a joint ends on a chord. Left
there, both boards would be cut straight from that corner to the arc's next point, and a sliver between them
belonged to none. So each such corner is moved along its joint on to the circle, alike for both boards.
Where a joint was tried and slid away, its end is no corner any more, and is left out.

What this does not know: seams between panels of one deck.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from msgspec.structs import replace

from boardwright.plan.model import Circle, Outline, Point
from boardwright.plan.rings import follows

from .piece import Piece, rounded
from .seams import Seam

ON_CHORD_MM = 1e-4
STEEPEST_DEG = 15.0  # a joint that meets its edge flatter would carry its corner far along it


def on_true_edge(outline: Outline, pieces: list[Piece], seams: list[Seam]) -> tuple[list[Piece], list[Seam]]:
    """Pieces and seams, with every corner of a seam that lies on a chord of a circle moved on to it, and no
    other point on a chord."""
    if not outline.circles:
        return pieces, seams
    chords = [
        (a, b, circle)
        for ring in (outline.ring, *outline.wells)
        for a, b in pairwise((*ring, ring[0]))
        if (circle := next((c for c in outline.circles if follows(a, b, c)), None))
    ]
    moved: dict[Point, Point] = {}  # by its stored form
    for seam in seams:
        for corner, other in ((seam.start, seam.end), (seam.end, seam.start)):
            on = next((c for a, b, c in chords if _between(corner, a, b)), None)
            if on is not None and (true := _on_circle(corner, other, on)):
                moved[_stored(corner)] = true
    drawn = {_stored(p) for ring in (outline.ring, *outline.wells) for p in ring}
    known = drawn | {_stored(p) for s in seams for p in (s.start, s.end)}
    others = {_stored(p) for piece in pieces for ring in piece.rings for p in ring.tolist()} - known
    stray = {p for p in others if any(_between(p, a, b) for a, b, _ in chords)}
    if not moved and not stray:
        return pieces, seams
    return [_with(p, moved, stray) for p in pieces], [
        replace(s, start=moved.get(_stored(s.start), s.start), end=moved.get(_stored(s.end), s.end))
        for s in seams
    ]


def _between(p: Point, a: Point, b: Point) -> bool:
    """Does the point lie on the chord, away from its ends?"""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length
    off = abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) / length
    return off <= ON_CHORD_MM < along < length - ON_CHORD_MM


def _on_circle(corner: Point, other: Point, circle: Circle) -> Point | None:
    """Where the line of the joint meets the circle, next to the corner; nothing where it only grazes it."""
    length = math.dist(corner, other)
    dx, dy = (corner[0] - other[0]) / length, (corner[1] - other[1]) / length
    x, y = corner[0] - circle.x_mm, corner[1] - circle.y_mm
    towards = x * dx + y * dy
    if abs(towards) < circle.radius_mm * math.sin(math.radians(STEEPEST_DEG)):
        return None
    root = math.sqrt(towards**2 - (x * x + y * y - circle.radius_mm**2))
    step = min(-towards + root, -towards - root, key=abs)
    return rounded(corner[0] + step * dx), rounded(corner[1] + step * dy)


def _with(piece: Piece, moved: dict[Point, Point], stray: set[Point]) -> Piece:
    """The piece with corners moved and points left out; the same piece where none is."""
    rings = tuple(
        np.array([moved.get(_stored(p), tuple(p)) for p in r.tolist() if _stored(p) not in stray])
        for r in piece.rings
    )
    same = all(np.array_equal(new, old) for new, old in zip(rings, piece.rings, strict=True))
    return piece if same else Piece(rings)


def _stored(p: Sequence[float]) -> Point:
    return rounded(p[0]), rounded(p[1])
