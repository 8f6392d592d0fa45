"""Where on the faces of a member risers can stand, and how wide.

Claim: a riser is wanted as far as its own middle line lies under the panel, so that half of its thickness at
least carries it everywhere, and stands where that is free. A stretch less than ``least_mm`` wide is widened
evenly, beside the panel if need be, as long as LEAST_UNDER of the riser stays below it. One from SHORTEST_MM
on can be had too: better than nothing, but it splits easily.

Glossary
    station   a distance along a member from its outer start
    behind    a distance from a member's outer face towards its inner one

What this does not know: how high a riser is.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from boardwright.plan.model import Point
from boardwright_timber.model import Member, Panel
from boardwright_timber.rising import LEAST_UNDER, bears

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

SHORTEST_MM = 15.0
POST_MM = 60.0
CLEAR_MM = 0.01
TOUCH_MM2 = 1e-3
type Span = tuple[float, float]  # stations


class Face(NamedTuple):
    """Risers wanted, or standing, on one face of a member."""

    inner: bool
    spans: list[Span]


class Stand(NamedTuple):
    """A member that risers may stand on, under one panel of the deck, in a room (see ``hair_more``)."""

    holder: Member
    panel: Polygon
    room: Geometry

    def best(self, faces: Sequence[Face], others: list[Polygon], least_mm: float, wanted_mm: float) -> Face:
        """The face that gives the panel most wood to lie on, clear of ``others``, and the stretches on it,
        made ``wanted_mm`` wide where there is room, ``least_mm`` at least."""
        found = [Face(f.inner, self._stretches(f, others, least_mm, wanted_mm)) for f in faces]
        return max(found, key=lambda f: round(self._carrying_mm2(f) / own_mm(self.holder)))

    def _stretches(self, face: Face, others: list[Polygon], least_mm: float, wanted_mm: float) -> list[Span]:
        free = [s for span in face.spans for s in self._free(span, others, face.inner)]
        free = [s for s in free if s[1] - s[0] >= SHORTEST_MM]
        stood: list[Span] = []
        for n, span in enumerate(free):
            beside = [*stood, *free[n + 1 :]]
            wide = self._widened(span, others, beside, face.inner, wanted_mm)
            if under := next((s for s in (wide, span) if self._is_under(s, face.inner)), None):
                stood.append(under)
        return [s for s in stood if s[1] - s[0] >= least_mm - CLEAR_MM]

    def _carrying_mm2(self, face: Face) -> float:
        woods = [footprint(self.holder, s, face.inner) for s in face.spans]
        return sum(float(self.panel.intersection(wood).area) for wood in woods)

    def _is_under(self, span: Span, inner: bool) -> bool:
        wood = footprint(self.holder, span, inner)
        return bool(self.panel.intersection(wood).area >= LEAST_UNDER * wood.area - TOUCH_MM2)

    def _free(self, span: Span, others: list[Polygon], inner: bool) -> list[Span]:
        """What of the stretch lies inside the room on this face, clear of keep-outs and other wood."""
        import shapely

        low, high = span
        shape = footprint(self.holder, span, inner)
        lost = [*(o.intersection(shape) for o in _around(shape, others)), shape.difference(self.room)]
        taken = [_reach(self.holder, p) for one in lost for p in shapely.get_parts(one) if p.area > TOUCH_MM2]
        spans, at = [], low
        for a, b in sorted((a - CLEAR_MM, b + CLEAR_MM) for a, b in taken):
            spans.append((at, a))
            at = max(at, b)
        spans.append((at, high))
        return [(a, b) for a, b in spans if b > a]

    def _widened(
        self, span: Span, others: list[Polygon], beside: Sequence[Span], inner: bool, wanted_mm: float
    ) -> Span:
        """The stretch made as wide as wanted, evenly to both sides, as far as there is room and enough of it
        stays below the panel; ``beside``: other stretches on this face."""
        (low, high), (first, last) = span, _ends(self.holder)
        more = min(wanted_mm, (high - low) / LEAST_UNDER) - (high - low)
        if more <= 0:
            return span
        around = (max(first, low - more), min(last, high + more))
        others = others + [footprint(self.holder, s, inner) for s in beside]
        for a, b in self._free(around, others, inner):
            if a <= low + CLEAR_MM and b >= high - CLEAR_MM:
                wide = min(high - low + more, b - a)
                start = min(max((low + high - wide) / 2, a), b - wide)
                return (start, start + wide)
        return span


def hair_more(room: Geometry) -> Geometry:
    """The room a hair larger: faces lie on its edge, and a sliver of rounding would take all of one."""
    return room.buffer(CLEAR_MM)


def _around(shape: Polygon, others: Sequence[Polygon]) -> list[Polygon]:
    """Those that may touch a shape."""
    import shapely

    x0, y0, x1, y1 = shape.bounds
    low_x, low_y, high_x, high_y = shapely.bounds(others).reshape(-1, 4).T
    near = (low_x <= x1) & (high_x >= x0) & (low_y <= y1) & (high_y >= y0)
    return [others[n] for n in near.nonzero()[0]]


def wanted(
    holder: Member, deck: Sequence[Panel], panels: Sequence[Polygon], apart_mm: float, *, crossing: bool
) -> Iterator[tuple[int, list[Face]]]:
    """Which panels want risers on a member, and where along its faces; along a side in posts."""
    for k, panel in enumerate(panels):
        own = [(i, _under(panel, holder, sum(depths(holder, i)) / 2)) for i in (False, True)]
        for low, high in _under(panel, holder, holder.thickness_mm / 2):
            at = at_station(holder, (low + high) / 2, holder.thickness_mm / 2)
            if not crossing and bears(holder, deck[k], at):
                continue
            outer, inner = (Face(i, [s for s in spans if s[0] < high and s[1] > low]) for i, spans in own)
            if crossing:
                yield k, [outer, inner]
            elif abs(holder.direction[1]) > abs(holder.direction[0]):
                yield k, [inner]
            else:
                each = (post for span in inner.spans for post in posts(span, apart_mm))
                yield from ((k, [Face(True, [post])]) for post in each)


def posts(span: Span, apart_mm: float) -> list[Span]:
    """A stretch along a side in posts of POST_MM no farther apart than ``apart_mm``; a short one whole."""
    low, high = span
    if high - low <= apart_mm:
        return [span]
    gaps = math.ceil((high - low - POST_MM) / apart_mm - 1e-9)
    step = (high - low - POST_MM) / gaps
    return [(low + step * n, low + step * n + POST_MM) for n in range(gaps + 1)]


def footprint(holder: Member, span: Span, inner: bool) -> Polygon:
    """The plan shape of a riser over a stretch of a member."""
    import shapely

    (low, high), (near, far) = span, depths(holder, inner)
    corners = ((low, near), (high, near), (high, far), (low, far))
    return shapely.Polygon([at_station(holder, station, behind) for station, behind in corners])


def depths(holder: Member, inner: bool) -> Span:
    """Where a riser begins and ends, behind the holder's outer face."""
    t, own = holder.thickness_mm, own_mm(holder)
    return (t, t + own) if inner else (-own, 0.0)


def own_mm(holder: Member) -> float:
    """A riser is as thick as what it stands on; on a sandwich, as the blocks in it."""
    return holder.thickness_mm - (holder.bending_mm if holder.sandwich else 0.0)


def at_station(member: Member, station: float, behind: float) -> Point:
    """The point ``station`` along a member's outer face and ``behind`` it."""
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    return (ox + station * dx - behind * dy, oy + station * dy + behind * dx)


def _station(member: Member, p: Point) -> float:
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    return (p[0] - ox) * dx + (p[1] - oy) * dy


def _under(panel: Polygon, holder: Member, behind: float) -> list[Span]:
    """Stretches of a line along the holder under the panel, kept to where both the holder's faces are."""
    import shapely

    low, high = _ends(holder)
    if high - low < SHORTEST_MM:
        return []
    line = shapely.LineString((at_station(holder, low, behind), at_station(holder, high, behind)))
    parts = [p for p in shapely.get_parts(panel.intersection(line)) if p.length >= SHORTEST_MM]
    return sorted(_reach(holder, p) for p in parts)


def _ends(holder: Member) -> Span:
    """From where to where both of a member's faces are."""
    ends = [_station(holder, p) for p in (holder.inner_start, holder.outer_end, holder.inner_end)]
    return max(0.0, ends[0]), min(ends[1], ends[2])


def _reach(holder: Member, shape: Polygon) -> Span:
    import shapely

    stations = [_station(holder, (x, y)) for x, y in shapely.get_coordinates(shape).tolist()]
    return (min(stations), max(stations))
