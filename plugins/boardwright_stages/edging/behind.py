"""What stands behind a strip: members whose face or end lies against it, and where the deck is.

Glossary
    face   of a member that runs along the strip, within STEEP_DEG: a side, an end, a bent strip
    tip    the end of one that runs up to it: a joist's
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.model import Frame, Joists

from ..hardware.blocking import BLOCK_MM

if TYPE_CHECKING:
    from shapely import LineString, Polygon

STEEP_DEG = 45.0
AGAINST_MM = 0.5
LEAST_LAP_MM = 15.0  # a member must stand so high behind the strip to take a screw
INTO_DECK_MM = 5.0
STEP_MM = 1.0


class Wood(NamedTuple):
    """A member of the strip's height, wherever it stands: from and to in height, ``thick_mm`` what a screw
    finds in its face; ``way``: where it leads (a bent strip: none, it follows the edge)."""

    name: str
    shape: Polygon
    bottom_mm: float
    top_mm: float
    thick_mm: float
    way: Point | None


class Against(NamedTuple):
    """A member that touches the strip or ends ``gap_mm`` behind it, from and to along it."""

    wood: Wood
    low_mm: float
    high_mm: float
    is_face: bool
    gap_mm: float

    @property
    def middle_mm(self) -> float:
        return (self.low_mm + self.high_mm) / 2


class Behind(NamedTuple):
    against: tuple[Against, ...]
    wood: tuple[Wood, ...]
    line: LineString
    deck: Polygon | None

    def face_at(self, at_mm: float, clear_mm: float) -> Wood | None:
        """The face at a place and so far to either side of it."""
        return next(
            (
                a.wood
                for a in self.against
                if a.is_face and a.low_mm + clear_mm <= at_mm <= a.high_mm - clear_mm
            ),
            None,
        )

    def tip_near(self, at_mm: float, within_mm: float) -> Against | None:
        """The nearest end of a member near a place, those that touch the strip before those that do not."""
        tips = [a for a in self.against if not a.is_face and abs(a.middle_mm - at_mm) <= within_mm]
        return min(
            tips, key=lambda a: (a.gap_mm > AGAINST_MM, abs(a.middle_mm - at_mm), a.low_mm), default=None
        )

    def set_back(self, at_mm: float, within_mm: float) -> tuple[Wood, float] | None:
        """The nearest member along the strip that stands so far back from it at most there, and how far."""
        import shapely

        (x, y), (dx, dy) = self.line.interpolate(at_mm).coords[0], _way(self.line, at_mm)
        into = shapely.LineString([(x, y), (x - dy * within_mm, y + dx * within_mm)])
        spot = shapely.Point(x, y)
        hit = [w for w in self.wood if w.shape.intersects(into) and _runs_along(self.line, at_mm, w.way)]
        away = [(round(float(w.shape.intersection(into).distance(spot)), 6), n) for n, w in enumerate(hit)]
        return (hit[min(away)[1]], min(away)[0]) if away else None

    def has_deck(self, at_mm: float) -> bool:
        """Whether a block can be glued below the deck there."""
        if self.deck is None:
            return True
        return bool(self.deck.dwithin(self.line.interpolate(at_mm), INTO_DECK_MM))


def behind(inner: Sequence[Point], bottom_mm: float, top_mm: float, frame: Frame, joists: Joists) -> Behind:
    import shapely

    line = shapely.LineString(inner)
    members = (*frame.members, *joists.members)
    straight = [(m.id, m.outline, m.bottom_mm, m.top_mm, m.thickness_mm, m.direction) for m in members]
    bent = [(b.id, b.outline, -b.depth_mm, 0.0, b.thickness_mm, None) for b in frame.bent]
    found, every = [], []
    for name, outline, low, high, thick, way in (*straight, *bent):
        low, high = round(max(low, bottom_mm), 6), round(min(high, top_mm), 6)
        if high - low < LEAST_LAP_MM:
            continue
        every.append(Wood(name, shapely.Polygon(outline), low, high, thick, way))
        wood = every[-1]
        gap = round(float(wood.shape.distance(line)), 6)
        if gap <= BLOCK_MM and not _runs_along(line, line.project(wood.shape.centroid), way):
            near = [p for p in map(shapely.Point, outline) if p.distance(line) <= gap + AGAINST_MM]
            along = sorted(s for s in (round(line.project(p), 3) for p in near) if 0 < s < line.length)
            if along:  # else it only stands beside the strip's end
                found.append(Against(wood, along[0], along[-1], False, gap))
            continue
        touching = line.intersection(wood.shape.buffer(AGAINST_MM, join_style="mitre"))
        for piece in shapely.get_parts(touching):
            along = [line.project(shapely.Point(p)) for p in shapely.get_coordinates(piece).tolist()]
            if along and max(along) - min(along) > 2 * AGAINST_MM:
                found.append(Against(wood, round(min(along), 3), round(max(along), 3), True, gap))
    deck = shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in frame.deck]) if frame.deck else None
    found.sort(key=lambda a: (a.low_mm, a.wood.name))
    return Behind(tuple(found), tuple(every), line, deck)


def _way(line: LineString, at_mm: float) -> Point:
    """Where the strip leads at a place, length 1."""
    ahead = min(at_mm + STEP_MM, line.length)
    (ax, ay), (bx, by) = (line.interpolate(s).coords[0] for s in (ahead - STEP_MM, ahead))
    long = math.dist((ax, ay), (bx, by))
    return (bx - ax) / long, (by - ay) / long


def _runs_along(line: LineString, at_mm: float, way: Point | None) -> bool:
    if way is None:
        return True
    dx, dy = _way(line, at_mm)
    return abs(dx * way[0] + dy * way[1]) > math.cos(math.radians(STEEP_DEG))


def seams_behind(frame: Frame, joists: Joists, wood: Behind) -> dict[str, list[float]]:
    """Where members of several lengths are butted, along the strip in front of them."""
    import shapely

    by_id = {m.id: m for m in frame.members}
    found: dict[str, list[float]] = {}
    for name, seams in joists.seams_along.items():
        if name in by_id:
            (dx, dy), (x, y) = by_id[name].direction, by_id[name].datum
            at = [wood.line.project(shapely.Point(x + dx * s, y + dy * s)) for s in seams]
            found[name] = at
    return found
