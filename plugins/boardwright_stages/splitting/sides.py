"""Side places: wider parts of a piece that one joint along them, the foot, may part off as side boards.

Glossary
    foot     a joint that carries on an edge of the piece, at least as long as the place on it is deep
    own      joints of the rest of the piece that end on the foot: boards meet the side board there

A foot is looked at when what it parts off is no more than MOST_BOARDS boards' area and no more than half the
piece. The side place is parted by itself where it is larger than a board.

Limits: a board that meets the feet of two side places, and joints that end on joints that end on a foot.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from . import chords, healing, junctions, worth
from .chords import Index
from .directions import Array, Truths
from .piece import FIT_MM, Cut
from .slices import ROUND, Slices

if TYPE_CHECKING:
    from .row import Row
    from .search import Search

MOST_BOARDS = 6.0
MOST_FEET = 24
CARRIES_ON = 1e-5  # sine of the angle between a foot and the edge it carries on
ON_MM = 1e-3


class Foot(msgspec.Struct, frozen=True, eq=False):
    """``joint``: the foot, by its number in the piece, with the side place on its right.

    ``slices``: the boards beside it in the rest of the piece. ``own``: those of its joints that end on the
    foot; ``known``: by joint, its number in the piece, -1 for those that end on the foot.
    ``side``: how the side place is parted by joints that may end on the foot; None: it is a board or less.
    """

    joint: int
    slices: Slices
    own: Index
    known: Index
    side: Row | None = None

    def pairs(self) -> tuple[Index, Index, Array]:
        """Joints of which one or both end on the foot: outer ones, inner ones, worth of what lies between."""
        none = np.empty(0, dtype=np.intp)
        found = [(none, none, np.empty(0))]  # there may be no joint beside the foot
        ends_here = self.known < 0
        for first in range(0, len(self.slices.order), ROUND):
            place, near, between = self.slices.pairs(first)
            outer = self.slices.order[place]
            keep = ends_here[outer] | ends_here[near]
            found.append((outer[keep], near[keep], between[keep]))
        outer, near, between = (np.concatenate([f[k] for f in found]) for k in range(3))
        order = np.argsort(outer, kind="stable")
        return outer[order], near[order], between[order]


def feet(search: Search, slices: Slices, before: tuple[Cut, ...], together: bool) -> list[Foot]:
    """The feet of a piece; ``before``: cuts made round it.

    ``together``: joints that end on a foot from either side must leave room for bolts between them.
    """
    where, found = _where(slices), []
    lines = search.lines(slices.piece, fine=True) if where else (np.empty((0, 2)), np.empty(0))
    for joint in where[:MOST_FEET]:
        foot = _foot(search, slices, joint, lines, before, together)
        if foot is not None:
            found.append(foot)
    return found


def _where(slices: Slices) -> list[int]:
    """Numbers of the joints that are feet, the longest first."""
    piece, ring, n = slices.piece, slices.ring, slices.n
    long, short = slices.settings.box_mm
    way = (slices.end - slices.start) / slices.length[:, None]
    carries = np.zeros(len(way), dtype=bool)
    for edge, point in ((slices.enter, slices.start), (slices.leave, slices.end)):
        for corner in (edge, (edge + 1) % n):
            at = np.hypot(*(ring[corner] - point).T) < ON_MM
            for one, other in ((corner, (corner + 1) % n), ((corner - 1) % n, corner)):
                d = ring[other] - ring[one]
                off = np.abs(d[:, 0] * way[:, 1] - d[:, 1] * way[:, 0]) / np.hypot(d[:, 0], d[:, 1])
                carries |= at & (off < CARRIES_ON)
    small = slices.area <= min(MOST_BOARDS * long * short, piece.area / 2 + 1.0)
    small &= slices.area > worth.TINY_MM2
    shallow = slices.area <= slices.length**2 + 1.0
    which = np.flatnonzero(carries & small & shallow)
    keys = [(-round(float(slices.length[k]), 3), int(k)) for k in which]
    seen: set[tuple[float, ...]] = set()
    found = []
    for _, k in sorted(keys):
        ends = (*np.round(slices.start[k], 3).tolist(), *np.round(slices.end[k], 3).tolist())
        if ends not in seen:
            seen.add(ends)
            found.append(k)
    return found


def _foot(
    search: Search,
    slices: Slices,
    joint: int,
    lines: tuple[Array, Array],
    before: tuple[Cut, ...],
    together: bool,
) -> Foot | None:
    count = len(slices.found)
    parts, cut = slices.piece.cut(*slices.found.nodes(joint % count))
    rest, place = parts if joint < count else parts[::-1]
    if not (healing.sound(rest) and healing.sound(place)):
        return None
    side = None
    if not worth.fits(place, search.settings):
        side = search.plain_row(place, (*before, cut))
    cuts = (*before, cut, *(side.cuts if side and together else ()))
    middle = (slices.start[joint] + slices.end[joint]) / 2
    reach = float(slices.length[joint]) / 2 + math.hypot(*search.settings.box_mm)
    normals, offsets = lines
    near = np.abs(normals @ middle - offsets) <= reach
    normals, offsets = normals[near], offsets[near]
    edges = search.beside(rest, cuts)
    if side and together:
        more = junctions.through(rest, edges, slices.piece.main_directions)
        normals, offsets = np.concatenate((normals, more[0])), np.concatenate((offsets, more[1]))
    found = chords.find(rest, normals, offsets)
    on_foot = _on(found.start, cut) != _on(found.end, cut)
    numbers = {ends: k for k, ends in reversed(list(enumerate(_ends(slices.found))))}
    known = np.array([numbers.get(ends, -1) for ends in _ends(found)], dtype=int)
    close = np.hypot(*((found.start + found.end) / 2 - middle).T) <= reach
    close &= found.length <= math.hypot(*search.settings.box_mm) + FIT_MM
    outer = len(rest.rings[0])
    keep = close & ((known >= 0) | on_foot) & (found.enter < outer) & (found.leave < outer)
    found, known = found.pick(keep), known[keep]
    clear = (known >= 0) | ~search.keep_away.breached(found.start, found.end)
    found, known = found.pick(clear), known[clear]
    if not (known < 0).any():
        return None
    cost, _, sound = search.judge(found, edges)
    found, known, cost = found.pick(sound), known[sound], cost[sound]
    cost = np.where(known >= 0, slices.cost[np.maximum(known, 0)], cost)
    both = np.concatenate((known, np.where(known >= 0, known + count, -1)))
    return Foot(
        joint, Slices(found, cost, search.settings, search.memo), np.flatnonzero(both < 0), both, side
    )


def _ends(found: chords.Chords) -> list[tuple[float, ...]]:
    """Both ends of each chord, as stored."""
    rows: list[list[float]] = (np.round(np.hstack((found.start, found.end)), 6) + 0.0).tolist()
    return [tuple(row) for row in rows]


def _on(points: Array, cut: Cut) -> Truths:
    """Which points lie on the foot, not at its ends."""
    start, end = np.array(cut.start), np.array(cut.end)
    length = math.dist(cut.start, cut.end)
    along = (points - start) @ (end - start) / length
    off = np.abs((points - start) @ np.array((start[1] - end[1], end[0] - start[0]))) / length
    on: Truths = (off < ON_MM) & (along > ON_MM) & (along < length - ON_MM)
    return on
