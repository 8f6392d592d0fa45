"""Noggins: short strips from joist to joist that carry a narrow deck where a track runs along the joists.

Claim: wherever a track runs farther than ``apart_mm`` through one bay (less across the board), or a panel
runs so far without reaching from one side of the bay to the other, noggins stand across it, evenly; each is
moved, if need be, until it is clear of every keep-out. One near enough for another
track serves both. A panel that ends in the open, farther than TIP_MM from the only joist it reaches, gets
some below it.
Where a deck comes out over an edge along which nothing stands (on girders joists' ends are free) one stands
there.
Where none can stand within half a spacing it is left out.

Glossary
    bay       the room between two neighbouring joists, or a joist and the frame
    loose     a height at which a panel does not reach from one side of its bay to the other

What this does not know: sag. It is worked out from what stands here (see ``strength``).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from boardwright.plan.model import Device, Point, Track
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import Board, Member, MemberRole, Panel

from .pieces import Piece, pieces_at
from .region import Region, as_region

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

CLEAR_MM = 0.01
STEP_MM = 5.0
SAMPLE_MM = 10.0
REACH_MM = 1.0
TOUCH_MM = 0.05
TIP_MM = 80.0
EDGE_MM = 15.0  # a shorter stretch of deck over an edge holds itself
SCRAP_MM2 = 400.0
ACROSS = 0.8  # a deck's grain runs along the board: across it ply is weaker (see reference.strengths)
SLACK = 0.15
ROUNDS = 2  # one that had to be moved may leave a gap for another
NEAR_ENOUGH = 0.25  # of a spacing: a noggin so near to where another is wanted serves both


class Bays:
    """The bays of a board from left to right, and what is taken in them: keep-outs, and noggins placed."""

    def __init__(
        self,
        board: Board,
        room: Region,
        wood: Sequence[Member],
        devices: Sequence[Device],
        around: Sequence[Member] | None = None,
    ) -> None:
        """``wood``: the joists there are; ``around``: what else noggins may end on, where not all of the
        room's edge is wood."""
        import shapely

        cut = []
        for joist in wood:
            (x0, y0), (x1, y1), (x2, y2), (x3, y3) = joist.outline
            up = CLEAR_MM
            cut.append(shapely.Polygon(((x0, y0 - up), (x1, y1 + up), (x2, y2 + up), (x3, y3 - up))))
        parts = shapely.get_parts(room.shape.difference(shapely.union_all(cut)))
        turned = [
            (bay, as_region(shapely.transform(bay, lambda points: points[:, ::-1])))
            for bay in sorted(parts, key=lambda b: b.bounds)
        ]
        self.bays = [(bay, region) for bay, region in turned if region is not None]
        self._held = None
        if around is not None:
            faces = shapely.union_all([shapely.Polygon(m.outline) for m in (*wood, *around)])
            self._held = faces.buffer(TOUCH_MM)
        self._taken = [shapely.Polygon([board.to_local(p) for p in d.keepout()]) for d in devices]
        self._full: set[tuple[int, Point, float, float]] = (
            set()
        )  # looked for in vain: nothing is ever given up

    def near(self, bay: int, at: Point, like: Member, most: float) -> Member | None:
        """A noggin across the bay as near to a place as is free, at most so far from it. It is taken then."""
        import shapely

        asked = (bay, at, like.thickness_mm, most)
        if asked in self._full:
            return None
        noggin = _near(self.bays[bay][1], at, like, self._taken, self._held, most)
        if noggin is None:
            self._full.add(asked)
        else:
            (x0, y0), (x1, y1), (x2, y2), (x3, y3) = noggin.outline
            up = 0.0 if self._held is None else 2 * like.thickness_mm  # a riser beside each of two
            self._taken.append(shapely.Polygon(((x0, y0 - up), (x1, y1 - up), (x2, y2 + up), (x3, y3 + up))))
        return noggin

    def bare_edges(self, bay: int, panels: Sequence[Polygon], like: Member) -> list[Point]:
        """Where panels come out over an edge of the bay along which nothing stands: the middle of each such
        stretch, half a noggin inside."""
        import shapely

        if self._held is None:
            return []
        shape, inward = self.bays[bay][0], like.thickness_mm / 2 + CLEAR_MM
        bare = shape.boundary.difference(self._held)
        found = []
        for panel in panels:
            for part in shapely.get_parts(shapely.line_merge(panel.intersection(bare))):
                if part.length > EDGE_MM:
                    at = part.interpolate(0.5, normalized=True)
                    below = shape.contains(shapely.Point(at.x, at.y - REACH_MM))
                    found.append((at.x, at.y - inward if below else at.y + inward))
        return found

    def at(self, place: Point, most: float) -> int | None:
        """The bay nearest to a place."""
        import shapely

        far = shapely.distance([bay for bay, _ in self.bays], shapely.Point(place)).tolist()
        return far.index(min(far)) if far and min(far) <= most else None

    def ordered(self, found: Sequence[Member]) -> list[Member]:
        """Noggins bay by bay, upwards."""

        def place(noggin: Member) -> tuple[int, float]:
            (x0, y0), (x1, y1) = noggin.outer_start, noggin.inner_end
            return (self.at(((x0 + x1) / 2, (y0 + y1) / 2), math.inf) or 0, noggin.outer_start[1])

        return sorted(found, key=place)


def noggins(
    bays: Bays, like: Member, tracks: Sequence[Track], deck: Sequence[Panel], apart_mm: float
) -> list[Member]:
    """Noggins that tracks and panels (in the board's own axes) want, bay by bay, upwards."""
    import shapely

    across_mm = apart_mm * ACROSS
    found: list[Member] = []
    panels = [shapely.Polygon(p.ring, p.wells) for p in deck]
    lines = [shapely.LineString(t.points) for t in tracks if len(t.points) > 1]
    for k, (bay, _) in enumerate(bays.bays):
        edge = (bays.near(k, at, like, across_mm / 2) for at in bays.bare_edges(k, panels, like))
        here: list[Member] = [m for m in edge if m is not None]
        for line in lines:
            for part in shapely.get_parts(shapely.line_merge(line.intersection(bay))):
                x0, y0, x1, y1 = part.bounds
                most = apart_mm if x1 - x0 >= y1 - y0 else across_mm
                count = math.ceil(part.length / most - 1e-6) - 1
                for n in range(1, count + 1):
                    at = part.interpolate(part.length * n / (count + 1))
                    if any(abs(m.outer_start[1] - at.y) <= across_mm * NEAR_ENOUGH for m in here):
                        continue
                    if (noggin := bays.near(k, (at.x, at.y), like, across_mm / 2)) is not None:
                        here.append(noggin)
        for panel in panels:
            for part in [p for p in shapely.get_parts(panel.intersection(bay)) for _ in range(ROUNDS)]:
                held = [m.outer_start[1] for m in here]
                for at in _loose_places(part, bay, held, across_mm):
                    if (noggin := bays.near(k, at, like, across_mm / 2)) is not None:
                        here.append(noggin)
        found += sorted(here, key=lambda m: m.outer_start[1])
    return found


def _loose_places(part: Polygon, bay: Polygon, held: list[float], apart_mm: float) -> list[Point]:
    """Where a part of a panel needs noggins more than those at the heights ``held``."""
    if part.area < SCRAP_MM2:
        return []
    low, high = part.bounds[1], part.bounds[3]
    count = max(2, math.ceil((high - low) / SAMPLE_MM))
    heights = [low + (high - low) * (n + 0.5) / count for n in range(count)]
    rows = [(y, *_extent(part, y), *_extent(bay, y)) for y in heights]
    loose = [(y, a, b) for y, a, b, left, right in rows if a > left + REACH_MM or b < right - REACH_MM]
    runs: list[list[tuple[float, float, float]]] = []
    for row in loose:
        if runs and row[0] - runs[-1][-1][0] < 1.5 * (high - low) / count:
            runs[-1].append(row)
        else:
            runs.append([row])
    wanted: list[Point] = []
    for run in runs:
        a, b = run[0][0], run[-1][0]
        inside = sorted(y for y in held if a < y < b)
        if len(run) == len(rows) and not inside:  # nothing but one side, or none, holds all of this part
            reach = max(right for _, _, right in run) - min(left for _, left, _ in run)
            count = math.ceil((b - a) / apart_mm) if reach > TIP_MM else 0
            wanted += [_middle(run, a + (b - a) * (n + 0.5) / count) for n in range(count)]
            continue
        for low_y, high_y in pairwise([a, *inside, b]):
            gaps = math.ceil((high_y - low_y) / apart_mm - SLACK)
            wanted += [_middle(run, low_y + (high_y - low_y) * n / gaps) for n in range(1, gaps)]
    return wanted


def _middle(rows: list[tuple[float, float, float]], y: float) -> Point:
    """The middle of the part at the looked-at height nearest to ``y``."""
    at, a, b = min(rows, key=lambda row: abs(row[0] - y))
    return (a + b) / 2, at


def _extent(shape: Polygon, y: float) -> tuple[float, float]:
    """From where to where a shape reaches at a height."""
    import shapely

    x0, _, x1, _ = shape.bounds
    cut = shape.intersection(shapely.LineString(((x0 - 1, y), (x1 + 1, y))))
    return (float(cut.bounds[0]), float(cut.bounds[2])) if not cut.is_empty else (x0, x0)


def _near(
    turned: Region, at: Point, like: Member, taken: list[Polygon], held: Geometry | None, most: float
) -> Member | None:
    """The noggin nearest to a place that is clear of all that is taken, both its ends on what is ``held``."""
    import shapely

    x, wanted = at
    steps = range(int(most / STEP_MM) + 1)
    ways = (y for n in steps for y in (wanted + n * STEP_MM, wanted - n * STEP_MM)[: 2 if n else 1])
    pieces = [p for y in ways for p in pieces_at(turned, y, like.thickness_mm) if p.left[0] < x < p.left[1]]
    for piece in _not_in(taken, pieces, like.thickness_mm / 2):
        noggin = across_bay(piece, like)
        wood = shapely.Polygon(noggin.outline).buffer(CLEAR_MM)
        if not any(wood.intersects(t) for t in taken) and (held is None or _ends_on(held, noggin)):
            return noggin
    return None


def _not_in(taken: list[Polygon], pieces: list[Piece], half: float) -> list[Piece]:
    """Those that do not reach into what is taken: all at once; each is looked at closely later."""
    import numpy as np
    import shapely

    if not taken or not pieces:
        return pieces
    rings = [
        [
            (p.left[0], p.x - half),
            (p.left[1], p.x - half),
            (p.right[1], p.x + half),
            (p.right[0], p.x + half),
        ]
        for p in pieces
    ]
    woods = shapely.polygons(np.array(rings))
    full = shapely.intersects(woods[:, None], np.array(taken)[None, :]).any(axis=1)
    return [p for p, gone in zip(pieces, full.tolist(), strict=True) if not gone]


def _ends_on(held: Geometry, noggin: Member) -> bool:
    import shapely

    ends = (noggin.outer_start, noggin.inner_start), (noggin.outer_end, noggin.inner_end)
    return all(held.covers(shapely.LineString(end)) for end in ends)


def across_bay(piece: Piece, like: Member) -> Member:
    """A strip along the board, its outer face below; ``piece`` is of the turned room."""
    half = like.thickness_mm / 2
    return Member(
        id="",
        role=MemberRole.NOGGIN,
        outer_start=snap_point((piece.left[0], piece.x - half)),
        outer_end=snap_point((piece.left[1], piece.x - half)),
        inner_start=snap_point((piece.right[0], piece.x + half)),
        inner_end=snap_point((piece.right[1], piece.x + half)),
        thickness_mm=like.thickness_mm,
        depth_mm=like.depth_mm,
        material=like.material,
        top_mm=like.top_mm,
    )
