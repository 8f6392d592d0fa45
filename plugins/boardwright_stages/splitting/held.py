"""Joints of boards that are made stay: a layout is cut along them first, whatever has become of its edges.

Claim: a joint that is held lies on the line it had. It ends where it ended, at an edge or at another held
joint; where the edge has moved it goes on along its line to where the edge is now, or ends there. The joints
of a made board need not be straight lines through the layout: they are cut together, however they meet.

What this does not know: why they are held, and whether what lies between them may be cut again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely

from boardwright.findings import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.model import Splitting
from boardwright_timber.model.made import HeldJoints

from .directions import Array
from .drawn import Drawn
from .healing import healed
from .piece import Cut, Piece, rounded, tidy

MEETS_MM = 0.01  # ends this near one another, or this near a line, meet there
SAME_MM = 1e-3  # places this near one another are one
LEAST_MM = 1.0  # a shorter stretch of a held joint within a piece is none

type Line = tuple[Point, Point]


def hold(done: Drawn, lines: Sequence[Line]) -> Drawn:
    """Cut what drawn joints left along lines that are held."""
    if not lines:
        return done
    held = Drawn([], [])
    for pieces, cuts in zip(done.pieces, done.cuts, strict=True):
        parted = [_parted(p, lines) for p in pieces]
        held.pieces.append([p for parts, _ in parted for p in parts])
        held.cuts.append([*cuts, *(c for _, made in parted for c in made)])
    return held


def tell_lost(held: HeldJoints, splitting: Splitting, notes: Notes) -> None:
    """Say which held joints are no more: no two boards meet on their lines."""
    level_of = {b.id: b.level_mm for b in splitting.boards}
    there = [(level_of[name], (j.start, j.end)) for j in splitting.joints for name in j.boards]
    for one in held.joints:
        if not any(level == one.level_mm and _shared((one.start, one.end), line) for level, line in there):
            x, y = (rounded((a + b) / 2) for a, b in zip(one.start, one.end, strict=True))
            notes.caution(
                "BW-SPLIT-022",
                f"Joint {one.id} must stay for the sake of what is made, but no two boards meet there now",
                Place(file=held.file, item=one.id, x_mm=x, y_mm=y),
                "Take the change of the edge back, or look which made parts no longer fit and take them off "
                "the list: boardwright made --undo PART.",
            )


def _shared(a: Line, b: Line) -> bool:
    """Does one line run along the other for a stretch?"""
    p, length = np.array(a[0]), math.dist(*a)
    d = (np.array(a[1]) - p) / length
    if len(_near(np.array(b), p, d)) < 2:
        return False
    low, high = sorted(((np.array(b) - p) @ d).tolist())
    return bool(min(high, length) - max(low, 0.0) > LEAST_MM)


def _parted(whole: Piece, lines: Sequence[Line]) -> tuple[list[Piece], list[Cut]]:
    """The parts of a piece between held lines, and the cuts; where they part nothing, the piece as it is."""
    near = [line for line in lines if whole.may_meet(*line, LEAST_MM)]
    if not near:
        return [whole], []
    piece = healed(whole)[0]
    web = _Web(piece)
    stretches = sorted({s for line in near for s in web.stretches(line, near)})
    if not stretches:
        return [whole], []
    faces = web.faces(stretches)
    if len(faces) < 2 or abs(sum(f.area for f in faces) - piece.area) > 1.0:
        return [whole], []
    return faces, [Cut(*s, held=True) for s in stretches if _between(faces, s)]


class _Web:
    """A piece's edge with the places where held lines meet it."""

    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        self.area = shapely.Polygon(piece.rings[0], piece.rings[1:])
        self.edge = shapely.boundary(self.area)
        shapely.prepare(self.area)
        self.added: list[Point] = []  # places that are no corners of the piece

    def stretches(self, line: Line, lines: Sequence[Line]) -> list[Line]:
        """Where a line runs within the piece, from one place where it meets something to the next."""
        p, q = np.array(line[0]), np.array(line[1])
        length = math.dist(p, q)
        d = (q - p) / length
        x, y, right, top = self.piece.extent
        far = math.hypot(right - x, top - y) + length
        endless = shapely.LineString((p - far * d, q + far * d))
        met = [shapely.get_coordinates(shapely.intersection(endless, self.edge)), _near(self.piece.xy, p, d)]
        for other in lines:
            ends = _near(np.array(other), p, d)
            if len(ends) < 2:  # else it lies on the same line
                cross = shapely.intersection(endless, shapely.LineString(other))
                met += [shapely.get_coordinates(cross), ends]
        at = sorted(((np.concatenate(met) - p) @ d).tolist())
        found = []
        for low, high in pairwise(at):
            middle = shapely.Point(p + (low + high) / 2 * d)
            if min(high, length) - max(low, 0.0) > LEAST_MM and self._within(middle):
                found.append(self._told(p + low * d, p + high * d))
        return [s for s in found if s[0] != s[1]]

    def _within(self, point: shapely.Point) -> bool:
        return bool(self.area.contains(point)) and shapely.distance(point, self.edge) > MEETS_MM

    def _told(self, a: Array, b: Array) -> Line:
        one, other = sorted((self._place(a), self._place(b)))
        return one, other

    def _place(self, p: Array) -> Point:
        """A point as a corner of the piece, as a place found before, or as a new one."""
        corners = self.piece.xy
        off = np.hypot(*(corners - p).T)
        if off.min() < SAME_MM:
            x, y = corners[int(off.argmin())].tolist()
            return x, y
        for known in self.added:
            if math.dist(known, p) < SAME_MM:
                return known
        new = (rounded(p[0]), rounded(p[1]))
        self.added.append(new)
        return new

    def faces(self, stretches: Iterable[Line]) -> list[Piece]:
        """What lies between the piece's edge and stretches that meet it and one another at their ends."""
        edges = _noded(self.piece, self.added)
        lines = shapely.linestrings([*edges, *stretches])
        found = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.unary_union(lines))))
        inner = [f for f in found if self.area.contains(shapely.point_on_surface(f))]
        return [self._piece(f) for f in sorted(inner, key=lambda f: f.bounds)]

    def _piece(self, face: shapely.Polygon) -> Piece:
        turned = shapely.orient_polygons(face)
        rings = [turned.exterior, *turned.interiors]
        return Piece(tuple(self._straightened(shapely.get_coordinates(r)[:-1]) for r in rings))

    def _straightened(self, ring: Array) -> Array:
        """A ring without places where this face only runs straight on."""
        added = set(self.added)
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        kept = [
            p
            for a, p, b in zip(before, ring, after, strict=True)
            if (float(p[0]), float(p[1])) not in added or not _straight(a, p, b)
        ]
        return tidy(kept)


def _near(points: Array, p: Array, d: Array) -> Array:
    """Those of some points that lie on the endless line through p along d."""
    off = np.abs((points - p) @ np.array((-d[1], d[0])))
    on: Array = points[off < MEETS_MM]
    return on


def _noded(piece: Piece, places: Iterable[Point]) -> list[Line]:
    """The edges of a piece, each parted at the places that lie on it and on no other nearer."""
    starts, ends = piece.xy, piece.xy[piece.follows]
    ways = ends - starts
    length = np.hypot(*ways.T)
    on: dict[int, list[tuple[float, Point]]] = {}
    for place in places:
        along = np.clip(np.sum((np.array(place) - starts) * ways, axis=1) / length**2, 0.0, 1.0)
        off = np.hypot(*(starts + along[:, None] * ways - np.array(place)).T)
        k = int(off.argmin())
        if off[k] < MEETS_MM:
            on.setdefault(k, []).append((float(along[k]), place))
    found: list[Line] = []
    for k, (a, b) in enumerate(zip(starts, ends, strict=True)):
        found += pairwise((_point(a), *(place for _, place in sorted(on.get(k, ()))), _point(b)))
    return found


def _straight(a: Array, p: Array, b: Array) -> bool:
    off = abs((p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])) / math.dist(a, b)
    return bool(off < 1e-5)


def _between(faces: Sequence[Piece], line: Line) -> bool:
    """Do two faces meet along a line?"""
    (x, y), (u, v) = line
    middle = shapely.Point((x + u) / 2, (y + v) / 2)
    edges = [shapely.LinearRing(ring) for f in faces for ring in f.rings]
    return sum(bool(shapely.distance(e, middle) < MEETS_MM) for e in edges) > 1


def _point(p: Array) -> Point:
    return float(p[0]), float(p[1])
