"""Tracks as segments: where and how they cross a joint.

Glossary
    off square   angle between a track and the normal of a joint; 0 is a right angle crossing
    riding       a track that runs along a joint: its rails need room to be fixed beside it
    breach       a hard rule broken: a crossing too far off square, a rail at a joint's end or beside a joint
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely

from boardwright import canon
from boardwright.plan.model import Point, Track, TrackPlan
from boardwright.plan.way import circles_of
from boardwright_timber.model import Crossing

from .chords import Index
from .directions import Array, distinct
from .piece import Piece, rounded
from .settings import SplittingSettings

RIDE_MM = 40.0  # a track along a joint costs from here on; nearer than its free distance it is a breach
RIDES_DEG = 60.0  # from which angle off square a track counts as running along a joint
BREACH_BOARDS = 20.0  # cost in boards of each breach: taken only when nothing else is left
CLOSE_MM, CLOSE_DEG = 1e-3, 1e-3  # a limit kept but for this is kept
ON_EDGE_MM = 0.5  # a track this near the edge of the layout counts as on it, not off it
ON_LINE_MM, END_MM = 1e-5, 1e-4  # a track's point is on a joint's line, and within its ends
CURVE_SPAN_MM = 60.0
STRIDE_MM = 20.0
TOGETHER = 256  # chords looked at in one go: neighbours, so that most tracks are far from all of them
KINK_MM = 2.0  # a crossing this near the end of a segment also counts with the next segment


class _Met:
    """Where so many chords meet the tracks: what they cost is a matter of weights."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.ends: list[Index] = []  # chords whose start, and whose end, lies too near to rails
        self.cut = self.beside = self.tight = np.empty(0, dtype=int)  # chords: of each crossing, each ride
        self.curve = self.off = self.shared = np.empty(0)

    def cost(self, settings: SplittingSettings) -> Array:
        total = np.zeros(self.count)
        for chords in self.ends:
            total[self._among(chords)] += BREACH_BOARDS
        cost = settings.track_weight + settings.curve_weight * np.minimum(self.curve * 500.0, 3.0)
        cost = cost + settings.off_square_weight * (self.off / settings.max_off_square_deg) ** 2
        cost = cost + BREACH_BOARDS * (self.off > settings.max_off_square_deg + CLOSE_DEG)
        np.add.at(total, self.cut, cost)
        np.add.at(total, self.beside, self.shared * settings.beside_weight / 1000.0)
        total[self._among(self.tight)] += BREACH_BOARDS
        return total

    def _among(self, chords: Index) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        met = np.zeros(self.count, dtype=bool)
        met[chords] = True
        return met


class Tracks:
    def __init__(self, plan: TrackPlan, settings: SplittingSettings) -> None:
        rail = settings.rail_mm(plan.scale_ratio)
        end, beside = settings.rail_end_clear_mm, settings.rail_beside_clear_mm
        self.rail_mm = rail
        self.end_mm = rail + end if end else 0.0  # centre line to a joint's end; 0: not asked
        self.beside_mm = rail + beside if beside else 0.0  # centre line to a joint it runs along
        self.ids = [t.id for t in plan.tracks]
        self.digest = canon.digest(canon.encode((plan.tracks, plan.scale_ratio)))
        starts, ends, owners, curves, centres = [], [], [], [], []
        for k, track in enumerate(plan.tracks):
            p = np.array(track.points, dtype=float).reshape(-1, 2)
            if len(p) < 2:
                continue
            keep = np.concatenate(([True], np.hypot(*np.diff(p, axis=0).T) > 1e-9))
            p = p[keep]
            if len(p) < 2:
                continue
            starts.append(p[:-1])
            ends.append(p[1:])
            owners.append(np.full(len(p) - 1, k))
            curves.append(_curvature(p))
            centres.append(_centres(p, track))
        none = np.empty((0, 2))
        self.start = np.concatenate(starts) if starts else none
        self.end = np.concatenate(ends) if ends else none
        self.owner = np.concatenate(owners) if owners else np.empty(0, dtype=int)
        self.curve = np.concatenate(curves) if curves else np.empty(0)
        self.centre = np.concatenate(centres) if centres else none
        d = self.end - self.start
        self.length = np.hypot(d[:, 0], d[:, 1])
        self.direction = d / np.maximum(self.length, 1e-9)[:, None]
        self._tree = shapely.STRtree(shapely.linestrings(np.stack((self.start, self.end), axis=1)))
        count = np.arange(len(self.owner))
        before, after = np.maximum(count - 1, 0), np.minimum(count + 1, max(len(count) - 1, 0))
        self._before = np.where(self.owner[before] == self.owner, before, count)
        self._after = np.where(self.owner[after] == self.owner, after, count)

    def samples(self, piece: Piece, every_mm: float) -> tuple[Array, Array]:
        """Points about ``every_mm`` apart along the tracks near the piece, and directions there.

        A point within ``ON_EDGE_MM`` of the piece's extent is on it, so that a track drawn along the very
        edge counts the same however the plan lies.
        """
        at, along = self._marks(every_mm)
        low, high = piece.xy.min(axis=0) - ON_EDGE_MM, piece.xy.max(axis=0) + ON_EDGE_MM
        near = np.all((at > low) & (at < high), axis=1)
        return at[near], along[near]

    def _marks(self, every_mm: float) -> tuple[Array, Array]:
        """The same along all tracks: each is marked off from its own start, a short one in its middle."""
        points, ways = [np.empty((0, 2))], [np.empty((0, 2))]
        for track in distinct(self.owner):
            mine = np.flatnonzero(self.owner == track)
            reached = np.cumsum(self.length[mine])
            marks = np.arange(min(every_mm, reached[-1]) / 2, reached[-1], every_mm)
            which = np.searchsorted(reached, marks - CLOSE_MM)
            segment = mine[which]
            back = (reached[which] - marks)[:, None]
            points.append(self.end[segment] - self.direction[segment] * back)
            ways.append(self.direction[segment])
        return np.concatenate(points), np.concatenate(ways)

    def cuts_at_least(self, piece: Piece, reach_mm: float) -> int:
        """How often boards that reach no farther than this must cut the tracks on a piece, at least.

        Two points of a track farther apart lie on two boards, and the stretch between them is cut. What runs
        along the very edge is left out.
        """
        whole = shapely.Polygon(piece.rings[0], piece.rings[1:])
        if not whole.is_valid or not len(self.start):
            return 0
        shape = shapely.buffer(whole, -ON_EDGE_MM, join_style="mitre")
        count = 0
        for track in distinct(self.owner):
            mine = self.owner == track
            line = shapely.linestrings(np.concatenate((self.start[mine], self.end[mine][-1:])))
            for part in shapely.get_parts(shapely.intersection(line, shape)):
                count += _strides(shapely.get_coordinates(shapely.segmentize(part, STRIDE_MM)), reach_mm)
        return count

    def cost(self, start: Array, end: Array, settings: SplittingSettings) -> Array:
        """What the tracks make each chord cost, in boards."""
        return self.costs(start, end, settings, (settings,))[0]

    def costs(
        self, start: Array, end: Array, settings: SplittingSettings, weighed: Sequence[SplittingSettings]
    ) -> list[Array]:
        """The same by each of several ``weighed``, which differ from ``settings`` in their weights alone."""
        blocks = range(0, len(start), TOGETHER)
        parts = [self._met(start[k : k + TOGETHER], end[k : k + TOGETHER], settings) for k in blocks]
        return [np.concatenate([p.cost(w) for p in parts]) if parts else np.zeros(0) for w in weighed]

    def _met(self, start: Array, end: Array, settings: SplittingSettings) -> _Met:
        """Where chords meet the tracks."""
        met = _Met(len(start))
        if not len(self.start):
            return met
        for ends in (start, end) if self.end_mm else ():
            within = self._tree.query(shapely.points(ends), "dwithin", distance=self.end_mm - CLOSE_MM)
            met.ends.append(within[0])
        wide = max(RIDE_MM, self.beside_mm)
        low = np.minimum(start.min(axis=0), end.min(axis=0)) - wide
        high = np.maximum(start.max(axis=0), end.max(axis=0)) + wide
        near = np.all(np.maximum(self.start, self.end) > low, axis=1)
        near &= np.all(np.minimum(self.start, self.end) < high, axis=1)
        if not near.any():
            return met
        which = np.flatnonzero(near)
        a, b, along, curve = self.start[near], self.end[near], self.direction[near], self.curve[near]
        d = end - start
        length = np.hypot(d[:, 0], d[:, 1])
        d = d / length[:, None]
        n = np.column_stack((-d[:, 1], d[:, 0]))
        c = np.sum(n * start, axis=1)
        side_a, side_b = _settled(a @ n.T - c), _settled(b @ n.T - c)
        u0 = np.sum(d * start, axis=1)
        seg, chord = np.nonzero((side_a >= 0) != (side_b >= 0))
        t = side_a[seg, chord] / (side_a[seg, chord] - side_b[seg, chord])
        hit = a[seg] + t[:, None] * (b[seg] - a[seg])
        u = np.sum(hit * d[chord], axis=1) - u0[chord]
        on = (u >= -END_MM) & (u <= length[chord] + END_MM)
        seg, chord, t = seg[on], chord[on], t[on]
        met.cut, met.curve = chord, curve[seg]
        met.off = self._crossing_angle(which[seg], t, n[chord])
        away = np.maximum(np.abs(side_a), np.abs(side_b))
        seg, chord = np.nonzero(away < wide)
        flat = _off_square(along[seg], n[chord]) > RIDES_DEG + CLOSE_DEG
        seg, chord = seg[flat], chord[flat]
        ua = np.sum(a[seg] * d[chord], axis=1) - u0[chord]
        ub = np.sum(b[seg] * d[chord], axis=1) - u0[chord]
        shared = np.minimum(np.maximum(ua, ub), length[chord]) - np.maximum(np.minimum(ua, ub), 0.0)
        shared = np.maximum(shared, 0.0)
        far = away[seg, chord]
        met.beside, met.shared = chord, shared * (far < RIDE_MM - CLOSE_MM)
        met.tight = chord[(shared > CLOSE_MM) & (far < self.beside_mm - CLOSE_MM)]
        return met

    def _crossing_angle(self, segment: Index, fraction: Array, normal: Array) -> Array:
        """Degrees off square where tracks cross; at a kink, of the worse of the two sides."""
        off = _off_square(self._tangent(segment, fraction), normal)
        done = fraction * self.length[segment]
        for beside, is_near, facing in (
            (self._before, done < KINK_MM, 1.0),
            (self._after, self.length[segment] - done < KINK_MM, 0.0),
        ):
            next_one = beside[segment]
            runs_on = np.all(self.centre[next_one] == self.centre[segment], axis=1) | (next_one == segment)
            other = _off_square(self._tangent(next_one, np.full(len(segment), facing)), normal)
            off = np.where(is_near & ~runs_on, np.maximum(off, other), off)
        worst: Array = off
        return worst

    def _tangent(self, segment: Index, fraction: Array) -> Array:
        """Directions at fractions of segments: square to the radius where the track follows a circle."""
        a, b, centre = self.start[segment], self.end[segment], self.centre[segment]
        radial = a + fraction[:, None] * (b - a) - centre
        far = np.hypot(radial[:, 0], radial[:, 1])
        across = np.column_stack((-radial[:, 1], radial[:, 0])) / far[:, None]
        found: Array = np.where(np.isnan(far)[:, None], self.direction[segment], across)
        return found

    def crossings(self, start: Point, end: Point) -> tuple[Crossing, ...]:
        """Every crossing of one joint, in order from its start."""
        if not len(self.start):
            return ()
        p, q = np.array(start), np.array(end)
        length = math.dist(start, end)
        d = (q - p) / length
        n = np.array((-d[1], d[0]))
        side_a, side_b = _settled((self.start - p) @ n), _settled((self.end - p) @ n)
        found = []
        for i in np.flatnonzero((side_a >= 0) != (side_b >= 0)):
            t = side_a[i] / (side_a[i] - side_b[i])
            hit = self.start[i] + t * (self.end[i] - self.start[i])
            u = float((hit - p) @ d)
            if -END_MM <= u <= length + END_MM:
                off = float(self._crossing_angle(np.array([i]), np.array([t]), n[None, :])[0])
                found.append((round(u, 6), self.ids[self.owner[i]], hit, off))
        found.sort(key=lambda f: (f[0], f[1]))
        return tuple(
            Crossing(track=t, x_mm=rounded(h[0]), y_mm=rounded(h[1]), off_square_deg=rounded(off))
            for _, t, h, off in found
        )

    def riding(self, start: Point, end: Point) -> list[tuple[str, float]]:
        """Tracks whose rails run along a joint nearer than allowed: id and length in mm."""
        if not len(self.start) or not self.beside_mm:
            return []
        p, length = np.array(start), math.dist(start, end)
        d = (np.array(end) - p) / length
        n = np.array((-d[1], d[0]))
        limit = self.beside_mm - CLOSE_MM
        near = (np.abs((self.start - p) @ n) < limit) & (np.abs((self.end - p) @ n) < limit)
        near &= _off_square(self.direction, n[None, :]) > RIDES_DEG + CLOSE_DEG
        total: dict[str, float] = {}
        for i in np.flatnonzero(near):
            u = sorted((float((self.start[i] - p) @ d), float((self.end[i] - p) @ d)))
            shared = min(u[1], length) - max(u[0], 0.0)
            if shared > 0:
                track = self.ids[self.owner[i]]
                total[track] = total.get(track, 0.0) + shared
        return [(t, total[t]) for t in sorted(total) if total[t] > CLOSE_MM]

    def at_ends(self, start: Point, end: Point) -> list[tuple[str, Point, float]]:
        """Rails nearer to a joint's end than allowed: track, that end, distance (0: between the rails)."""
        if not len(self.start) or not self.end_mm:
            return []
        found: dict[tuple[str, Point], float] = {}
        for at in (start, end):
            point = shapely.points(at)
            for i in self._tree.query(point, "dwithin", distance=self.end_mm - CLOSE_MM):
                away = max(0.0, float(shapely.distance(point, self._tree.geometries[i])) - self.rail_mm)
                key = (self.ids[self.owner[i]], at)
                found[key] = min(away, found.get(key, away))
        return [(track, at, away) for (track, at), away in sorted(found.items())]


def _settled(side: Array) -> Array:
    """Distances from a line, with those of points on it exactly 0."""
    settled: Array = np.where(np.abs(side) < ON_LINE_MM, 0.0, side)
    return settled


def _off_square(direction: Array, normal: Array) -> Array:
    cosine = np.abs(np.sum(direction * normal, axis=1))
    off: Array = np.degrees(np.arccos(np.clip(cosine, 0.0, 1.0)))
    return off


def _centres(p: Array, track: Track) -> Array:
    """Centres of the circles that a track's segments follow; not a number where they are straight."""
    points = [(float(x), float(y)) for x, y in p]
    found = circles_of(points, track.circles)
    return np.array([(c.x_mm, c.y_mm) if c else (math.nan, math.nan) for c in found])


def _curvature(p: Array) -> Array:
    """1/radius (1/mm) at each segment: the turn within CURVE_SPAN_MM about its middle."""
    d = np.diff(p, axis=0)
    length = np.hypot(d[:, 0], d[:, 1])
    heading = np.unwrap(np.arctan2(d[:, 1], d[:, 0]))
    middle = np.cumsum(length) - length / 2
    if len(middle) < 2:
        return np.zeros(len(middle))
    ahead = np.interp(middle + CURVE_SPAN_MM / 2, middle, heading)
    behind = np.interp(middle - CURVE_SPAN_MM / 2, middle, heading)
    curve: Array = np.abs(ahead - behind) / CURVE_SPAN_MM
    return curve


def _strides(points: Array, reach_mm: float) -> int:
    """How many strides longer than the reach lead along a line."""
    count, at = 0, 0
    while at < len(points):
        far = np.hypot(*(points[at:] - points[at]).T) > reach_mm
        if not far.any():
            break
        at += int(far.argmax())
        count += 1
    return count
