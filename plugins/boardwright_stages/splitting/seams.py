"""Where boards meet: stretches of a cut with one board on its left and one on its right.

A cut may be shared by several pairs of boards (a T-junction), so each cut is walked from end to end.
Stretches of one pair that follow one another on one line are one joint.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from msgspec.structs import replace

from boardwright.plan.model import Point

from .directions import Array
from .piece import Cut, Piece, rounded

ON_CUT_MM = 1e-3
SHORTEST_MM = 0.01


class Seam(msgspec.Struct, frozen=True):
    """``left`` and ``right`` are indices of pieces, seen from ``start`` to ``end``."""

    left: int
    right: int
    start: Point
    end: Point
    drawn: str
    held: bool = False


def seams(pieces: list[Piece], cuts: list[Cut]) -> list[Seam]:
    """Every stretch where two different pieces meet, in the order of the cuts and along them."""
    edges = [(p.rings[0], np.roll(p.rings[0], -1, axis=0)) for p in pieces]
    found: list[Seam] = []
    for cut in cuts:
        near = [k for k, p in enumerate(pieces) if p.may_meet(cut.start, cut.end, 1.0)]
        found.extend(_along(cut, [(k, *edges[k]) for k in near]))
    return _joined(found)


def _along(cut: Cut, edges: list[tuple[int, Array, Array]]) -> list[Seam]:
    start, length = np.array(cut.start), math.dist(cut.start, cut.end)
    d = (np.array(cut.end) - start) / length
    n = np.array((-d[1], d[0]))
    spans: tuple[list[tuple[float, float, int]], list[tuple[float, float, int]]] = ([], [])
    for k, a, b in edges:
        on = (np.abs((a - start) @ n) < ON_CUT_MM) & (np.abs((b - start) @ n) < ON_CUT_MM)
        for i in np.flatnonzero(on):
            ua, ub = float((a[i] - start) @ d), float((b[i] - start) @ d)
            low, high = max(min(ua, ub), 0.0), min(max(ua, ub), length)
            if high - low > SHORTEST_MM:
                spans[0 if ub > ua else 1].append((low, high, k))
    found = []
    for low, high, left in sorted(spans[0]):
        for low2, high2, right in sorted(spans[1]):
            u, v = max(low, low2), min(high, high2)
            if v - u > SHORTEST_MM and left != right:
                found.append((u, v, left, right))
    found.sort()
    return [
        Seam(left, right, _at(cut, d, u), _at(cut, d, v), cut.drawn, cut.held) for u, v, left, right in found
    ]


def _at(cut: Cut, d: Array, u: float) -> Point:
    length = math.dist(cut.start, cut.end)
    if u < ON_CUT_MM:
        return cut.start
    if u > length - ON_CUT_MM:
        return cut.end
    return (rounded(cut.start[0] + u * float(d[0])), rounded(cut.start[1] + u * float(d[1])))


def _joined(found: list[Seam]) -> list[Seam]:
    """Put together stretches of one pair that follow one another on one line."""
    kept: list[Seam] = []
    for seam in found:
        for k, old in enumerate(kept):
            same = {(old.left, old.right), (old.right, old.left)} & {(seam.left, seam.right)}
            turned = seam if (seam.left, seam.right) == (old.left, old.right) else _turned(seam)
            if not same or (old.drawn, old.held) != (seam.drawn, seam.held):
                continue
            if math.dist(old.end, turned.start) < ON_CUT_MM and _straight(old.start, old.end, turned.end):
                kept[k] = replace(old, end=turned.end)
                break
            if math.dist(turned.end, old.start) < ON_CUT_MM and _straight(turned.start, old.start, old.end):
                kept[k] = replace(old, start=turned.start)
                break
        else:
            kept.append(seam)
    return kept if len(kept) == len(found) else _joined(kept)


def _turned(seam: Seam) -> Seam:
    return replace(seam, left=seam.right, right=seam.left, start=seam.end, end=seam.start)


def _straight(a: Point, b: Point, c: Point) -> bool:
    length = math.dist(a, c)
    off = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / max(length, 1e-9)
    ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]) > 0
    return ahead and off < ON_CUT_MM
