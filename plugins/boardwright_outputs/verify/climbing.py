"""Decks that climb: risers as they are drawn and placed against the heights of the drawn tracks.

Claim: every riser's top, as drawn, bevelled and placed, is at the deck's underside as the plan's own tracks
tell it, worked out anew from them (less what the track itself bends over the riser's length);
where a deck's height is told it is that of its track; and two boards' decks meet at a joint.

What this does not know: which of two tracks that pass over each other a riser carries; either will do, as
will any track on the piece of deck there.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from shapely import LineString, Point, Polygon

from . import shapes
from .opened import Opened, many
from .profiles import CUT
from .record import Board, Part, Track

CLIMBS_MM = 5.0  # a plan in which no track's heights differ by more is level
REACH_MM = 0.1
CORNER_MM = 0.2
ON_MM = 0.01
AT_ONCE = 4  # points of a track that are looked at as one line
AROUND_MM = 250.0  # and so far before and after
NEAR_MM = 1.0
type Spot = tuple[float, float, float]


def check_climbing(opened: Opened) -> Iterator[str]:
    plan = opened.pack.plan
    if not any(t.heights_mm and max(t.heights_mm) - min(t.heights_mm) > CLIMBS_MM for t in plan.tracks):
        return
    beside = float(opened.pack.settings.get("open_top", {}).get("beside_track_mm", 0.0))
    counted, worst, corner, told = 0, 0.0, 0.0, 0
    meeting: dict[str, list[tuple[str, float, float, float]]] = {}
    for board in opened.pack.boards:
        if not any(panel.ways for panel in board.frame.deck):
            continue
        here = [t for t in plan.tracks if t.level_mm in (None, board.level_mm) and len(t.points) > 1]
        lines = [line for track in here for line in _lines(track)]
        pieces = list(_pieces(board, lines))
        for part in (p for p in board.parts if p.role == "riser"):
            found = _top(opened, board, part)
            if found is None:
                continue
            counted += 1
            (x, y, z), corners = found[0], found[1:]
            reach = beside + part.thickness_mm + NEAR_MM  # one along the deck's edge
            near = _near(lines, pieces, x, y, reach)
            heights = [line.height(x, y, board.level_mm) for line in near]
            line, there = min(zip(near, heights, strict=True), key=lambda f: abs(f[1] - z))
            ends = [
                line.height((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, board.level_mm)
                for a, b in ((corners[0], corners[3]), (corners[1], corners[2]))
            ]
            bends = abs(there - sum(ends) / 2)  # where a climb begins or ends below a long riser
            off = max(abs(there - z) - bends - line.slack(x, y), 0.0)
            tilted = max(abs(line.height(x, y, board.level_mm) - z) - line.slack(x, y) for x, y, z in corners)
            lean = max(tilted - bends, 0.0)
            worst, corner = max(worst, off), max(corner, lean)
            if off > REACH_MM or lean > CORNER_MM:
                opened.fault(
                    "BW-VERIFY-039",
                    f"board {board.id}: riser {part.id} as drawn and placed ends {off:.2f} mm off the "
                    f"deck that it carries, {lean:.2f} mm at a corner",
                    board=board.id,
                    item=part.id,
                )
        for panel in board.frame.deck:
            for x, y, z in (p for way in panel.ways for p in way):
                told += 1
                at = shapes.to_plan(board, x, y)
                apart = [
                    abs(line.height(*at, board.level_mm) - board.level_mm - z)
                    for line in lines
                    if line.away(*at) <= ON_MM
                ]
                if min(apart, default=math.inf) > ON_MM:
                    opened.fault(
                        "BW-VERIFY-049",
                        f"board {board.id}: a deck is told to be {z:.2f} mm above the board's level at "
                        f"({at[0]:.1f}, {at[1]:.1f}) mm, where no track is so high",
                        board=board.id,
                    )
                for joint in opened.pack.joints:
                    if (
                        board.id in joint.boards
                        and LineString((joint.start, joint.end)).distance(Point(at)) <= ON_MM
                    ):
                        meeting.setdefault(joint.id, []).append((board.id, *at, board.level_mm + z))
    yield (
        f"{many(counted, 'riser')} reach the decks that climb, as their tracks are drawn: the worst "
        f"{worst:.3f} mm off in its middle, {corner:.3f} mm at a corner; {many(told, 'height')} told of "
        f"decks are those of tracks, and decks meet at {many(_met(opened, meeting), 'place')} on joints."
    )


def _met(opened: Opened, meeting: dict[str, list[tuple[str, float, float, float]]]) -> int:
    """How many places on joints have a deck on both sides, at one height."""
    met = 0
    for joint, found in sorted(meeting.items()):
        for n, (board, x, y, z) in enumerate(found):
            others = [o for o in found[n + 1 :] if o[0] != board and math.dist(o[1:3], (x, y)) <= NEAR_MM]
            for other in others:
                met += 1
                if abs(other[3] - z) > REACH_MM:
                    opened.fault(
                        "BW-VERIFY-049",
                        f"joint {joint}: the decks of {board} and {other[0]} differ by "
                        f"{abs(other[3] - z):.2f} mm in height at ({x:.1f}, {y:.1f}) mm",
                        board=board,
                        item=joint,
                    )
    return met


def _near(
    lines: Sequence[_Line], pieces: Sequence[tuple[Polygon, list[_Line]]], x: float, y: float, reach: float
) -> list[_Line]:
    """The stretches of track that a deck over a place may follow: beside it, or nearest on its piece."""
    found = [line for line in lines if line.away(x, y) <= reach and line.is_beside(x, y)]
    over = [own for shape, own in pieces if own and shape.distance(Point(x, y)) <= NEAR_MM]
    nearest = [min(own, key=lambda line: (line.away(x, y), not line.is_beside(x, y))) for own in over]
    found += [line for line in nearest if line not in found]
    return found or [min(lines, key=lambda line: line.away(x, y))]


def _pieces(board: Board, lines: Sequence[_Line]) -> Iterator[tuple[Polygon, list[_Line]]]:
    """The pieces of a deck and the stretches of track on each: under a turnout or a device a piece may be
    far from its own track, and nearer to another."""
    for panel in board.frame.deck:
        rings = [[shapes.to_plan(board, *p) for p in ring] for ring in (panel.ring, *panel.wells)]
        told = [shapes.to_plan(board, u, v) for way in panel.ways for u, v, _ in way]
        own = [line for line in lines if any(line.away(*p) <= ON_MM for p in told)]
        yield Polygon(rings[0], rings[1:]), own


class _Line:
    """A stretch of a drawn track: its line, and its height at a place beside it; past the track's ends it
    goes straight on."""

    def __init__(self, spots: Sequence[Spot], told: bool, first: int, last: int) -> None:
        self.told = told
        begin, end = _along(spots, first, -1), _along(spots, last - 1, 1) + 1
        self.spots = spots[begin:end]
        self.core = LineString([s[:2] for s in spots[first:last]])
        self.line = LineString([s[:2] for s in self.spots])
        self.far = [0.0, *accumulate(math.dist(a[:2], b[:2]) for a, b in pairwise(self.spots))]
        self.own = self.far[first - begin], self.far[last - 1 - begin]
        self.opens, self.closes = begin == 0, end == len(spots)

    def away(self, x: float, y: float) -> float:
        return float(self.core.distance(Point(x, y)))

    def is_beside(self, x: float, y: float) -> bool:
        """Whether a place is beside the stretch itself, not what goes before or follows."""
        return self.own[0] - ON_MM <= float(self.line.project(Point(x, y))) <= self.own[1] + ON_MM

    def height(self, x: float, y: float, level: float) -> float:
        """Above the drawing's zero; ``level`` where the drawing tells none."""
        if not self.told:
            return level
        k, at = self._at(x, y)
        (_, _, low), (_, _, high) = self.spots[k - 1 : k + 1]
        return low + (at - self.far[k - 1]) / (self.far[k] - self.far[k - 1]) * (high - low)

    def slack(self, x: float, y: float) -> float:
        """What a curve that is drawn in pieces leaves open beside it: nothing is nearest to either of two
        pieces over 2 · tan(half the turn) · distance."""
        if not self.told:
            return 0.0
        k, _ = self._at(x, y)
        found = 0.0
        for n in range(max(k - 1, 1), min(k + 1, len(self.spots) - 1)):
            a, b, c = self.spots[n - 1 : n + 2]
            turn = math.atan2(b[1] - a[1], b[0] - a[0]) - math.atan2(c[1] - b[1], c[0] - b[0])
            turn = abs((turn + math.pi) % (2 * math.pi) - math.pi)
            grade = max(abs(q[2] - p[2]) / math.dist(p[:2], q[:2]) for p, q in ((a, b), (b, c)))
            open_mm = 2 * math.tan(min(turn, 1.5) / 2) * self.line.distance(Point(x, y))
            found = max(found, open_mm * grade)
        return found

    def _at(self, x: float, y: float) -> tuple[int, float]:
        at = float(self.line.project(Point(x, y)))
        k = min(max(bisect.bisect_right(self.far, at), 1), len(self.far) - 1)
        (ax, ay, _), (bx, by, _) = self.spots[k - 1 : k + 1]
        along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / math.dist((ax, ay), (bx, by))
        if (self.opens and at <= ON_MM) or (self.closes and at >= self.far[-1] - ON_MM):
            at = self.far[k - 1] + along
        return k, at


def _lines(track: Track) -> Iterator[_Line]:
    """A track in stretches, each with what follows and goes before: one that comes back over itself is at a
    place twice, at two heights."""
    heights = track.heights_mm or (0.0,) * len(track.points)
    spots: list[Spot] = [(*track.points[0], heights[0])]
    for (x, y), z in zip(track.points, heights, strict=True):
        if math.dist(spots[-1][:2], (x, y)) > 0:
            spots.append((x, y, z))
    for first in range(0, len(spots) - 1, AT_ONCE):
        yield _Line(spots, bool(track.heights_mm), first, min(first + AT_ONCE + 1, len(spots)))


def _along(spots: Sequence[Spot], n: int, way: int) -> int:
    """The point AROUND_MM further along, or the last one that way."""
    far = 0.0
    while far < AROUND_MM and 0 <= n + way < len(spots):
        far += math.dist(spots[n][:2], spots[n + way][:2])
        n += way
    return n


def _top(opened: Opened, board: Board, part: Part) -> list[tuple[float, float, float]] | None:
    """The middle of a riser's top, then its corners: plan axes and height."""
    drawn = opened.part_drawing(part)
    runs = [r for r in (drawn.runs if drawn else ()) if r.layer == CUT and r.closed and len(r.corners) == 4]
    if not runs:
        return None
    corners = sorted((x, y) for x, y, _ in runs[0].corners)
    left, right = max(y for _, y in corners[:2]), max(y for _, y in corners[2:])
    long, t = corners[-1][0], part.thickness_mm
    lean = t * math.tan(math.radians(part.top_bevel_deg))
    outer, inner = min(lean, 0.0), min(-lean, 0.0)  # the profile is as high as the higher face
    a = math.radians(part.placement.angle_deg)
    found = []
    for x, behind, z in (
        (long / 2, t / 2, (left + right + outer + inner) / 2),
        (0.0, 0.0, left + outer),
        (long, 0.0, right + outer),
        (long, t, right + inner),
        (0.0, t, left + inner),
    ):
        u = part.placement.x_mm + x * math.cos(a) - behind * math.sin(a)
        v = part.placement.y_mm + x * math.sin(a) + behind * math.cos(a)
        found.append((*shapes.to_plan(board, u, v), board.level_mm + part.placement.z_mm + z))
    return found
