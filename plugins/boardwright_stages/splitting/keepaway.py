"""What a joint must keep away from: turnouts, devices with their clearance, obstacles.

Limits: seen in plan only; who asks gives the plan of one level (``TrackPlan.at_level``).
"""

from __future__ import annotations

import copy
from typing import Any

import msgspec
import numpy as np
import shapely
from msgspec.structs import replace

from boardwright.findings import Place
from boardwright.plan.model import Point, Ring, TrackPlan

from .chords import Index
from .directions import Array
from .piece import Piece
from .settings import SplittingSettings


class Blocker(msgspec.Struct, frozen=True, eq=False):
    kind: str  # "turnout", "device" or "obstacle"
    id: str
    clear_mm: float
    ring: Array
    place: Place


class KeepAway:
    def __init__(self, plan: TrackPlan, settings: SplittingSettings) -> None:
        near, far = settings.device_clear_mm, settings.turnout_clear_mm
        self._over(
            *(Blocker("turnout", t.id, far, _array(t.ring), t.place) for t in plan.turnouts),
            *(Blocker("device", d.id, near, _array(d.keepout()), d.place) for d in plan.devices),
            *(Blocker("obstacle", o.id, near, _array(o.ring), o.place) for o in plan.obstacles),
        )

    def moved(self, by: dict[Blocker, Array]) -> KeepAway:
        """The same with some blockers elsewhere."""
        made = copy.copy(self)
        made._over(*(replace(b, ring=b.ring + by[b]) if b in by else b for b in self.blockers))
        return made

    def _over(self, *blockers: Blocker) -> None:
        self.blockers = blockers
        self.shapes = np.array([_shape(b.ring) for b in self.blockers], dtype=object)
        self._groups = []
        for clear in sorted({b.clear_mm for b in self.blockers}):
            which = [i for i, b in enumerate(self.blockers) if b.clear_mm == clear]
            self._groups.append((clear, np.array(which), shapely.STRtree(self.shapes[which])))
        self._kinds = {}
        for kind in ("turnout", "device", "obstacle"):
            which = [i for i, b in enumerate(self.blockers) if b.kind == kind]
            if which:
                self._kinds[kind] = (which, shapely.STRtree(self.shapes[which]))
        self._clear = np.array([b.clear_mm for b in self.blockers])
        self._low = np.array([b.ring.min(axis=0) for b in self.blockers]).reshape(-1, 2)
        self._high = np.array([b.ring.max(axis=0) for b in self.blockers]).reshape(-1, 2)

    def near(self, piece: Piece, more_mm: float = 0.0) -> list[Blocker]:
        """The blockers whose surroundings, and ``more_mm`` round them, touch the piece's extent."""
        low, high = piece.xy.min(axis=0), piece.xy.max(axis=0)
        clear = self._clear[:, None] + more_mm
        touch = np.all((self._low - clear < high) & (self._high + clear > low), axis=1)
        return [self.blockers[i] for i in np.flatnonzero(touch)]

    def kept_whole(self, less_mm: float) -> Any:
        """The area no joint may enter: everything with its free distance around it, less ``less_mm``."""
        grown = [
            shapely.buffer(shape, b.clear_mm - less_mm) if b.clear_mm > less_mm else shape
            for shape, b in zip(self.shapes, self.blockers, strict=True)
        ]
        return shapely.union_all(grown)

    def breached(self, start: Array, end: Array) -> Any:
        """For many chords: does it come nearer to a blocker than allowed?"""
        bad = np.zeros(len(start), dtype=bool)
        chords = shapely.linestrings(np.stack((start, end), axis=1))
        for clear, _, tree in self._groups:
            bad[_nearer(tree, chords, clear)[0]] = True
        return bad

    def taken(self, start: Array, end: Array) -> tuple[Index, Index]:
        """Every pair of a chord and a blocker it comes nearer to than allowed, by their numbers."""
        chords = shapely.linestrings(np.stack((start, end), axis=1))
        hits = [(_nearer(tree, chords, clear), which) for clear, which, tree in self._groups]
        none = np.empty(0, dtype=np.intp)
        return (
            np.concatenate([none, *(hit[0] for hit, _ in hits)]),
            np.concatenate([none, *(which[hit[1]] for hit, which in hits)]),
        )

    def slack(self, start: Array, end: Array, within_mm: float) -> Array:
        """Distance beyond the allowed one to the nearest blocker, at most ``within_mm``."""
        slack = np.full(len(start), within_mm)
        chords = shapely.linestrings(np.stack((start, end), axis=1))
        for clear, _, tree in self._groups:
            pairs = tree.query(chords, predicate="dwithin", distance=clear + within_mm)
            if pairs.shape[1]:
                gap = shapely.distance(chords[pairs[0]], tree.geometries[pairs[1]]) - clear
                np.minimum.at(slack, pairs[0], np.maximum(gap, 0.0))
        return slack

    def nearest(self, kind: str, start: Point, end: Point) -> tuple[Blocker, float] | None:
        """The blocker of a kind nearest to one joint, and how far it is; None: there is none."""
        if kind not in self._kinds:
            return None
        which, tree = self._kinds[kind]
        found, gaps = tree.query_nearest(shapely.linestrings([start, end]), return_distance=True)
        return self.blockers[which[int(found.min())]], float(gaps[0])

    def too_near(self, start: Point, end: Point) -> list[tuple[Blocker, float]]:
        """The blockers nearer to one joint than allowed, nearest first."""
        line = shapely.linestrings([start, end])
        found = [
            (self.blockers[which[i]], float(shapely.distance(line, tree.geometries[i])))
            for which, tree in self._kinds.values()
            for i in sorted(tree.query(line, predicate="dwithin", distance=float(self._clear.max())))
        ]
        near = [(b, gap) for b, gap in found if gap < b.clear_mm - 1e-3]
        return sorted(near, key=lambda n: round(n[1], 6))

    def distances(self, start: Point, end: Point) -> list[tuple[Blocker, float]]:
        """Every blocker with its distance from one joint, nearest first."""
        if not self.blockers:
            return []
        gaps = shapely.distance(shapely.linestrings([start, end]), self.shapes)
        order = np.lexsort((np.arange(len(gaps)), np.round(gaps, 6)))
        return [(self.blockers[i], float(gaps[i])) for i in order]


def _nearer(tree: shapely.STRtree, chords: Any, clear: float) -> Any:
    """Pairs of a chord and a shape of the tree that are nearer to each other than wanted."""
    return tree.query(chords, predicate="dwithin", distance=max(0.0, clear - 1e-4))


def _array(ring: Ring) -> Array:
    return np.array(ring, dtype=float).reshape(-1, 2)


def _shape(ring: Array) -> Any:
    """The ring as a polygon; a ring that crosses itself or has no area counts with its hull."""
    if len(ring) >= 3:
        polygon = shapely.polygons(ring)
        if shapely.is_valid(polygon):
            return polygon
    return shapely.convex_hull(shapely.multipoints(ring))
