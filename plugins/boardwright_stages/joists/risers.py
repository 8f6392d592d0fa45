"""Risers: uprights on the faces of joists and cross sides that carry a deck above them.

Claim: wherever the middle line of a joist, a noggin or a side passes under a panel of the deck, a riser
stands on its face as far as the panel and the wood both reach, inside the frame and clear of every device's
keep-out; of two faces it takes the one that gives the panel more, where less than half below it counts for
less. It laps the wood by ``lap_mm`` from its top down. A long stretch along a side gets posts instead of one
long riser.

Where a keep-out parts it there are two; pieces shorter than SHORTEST_MM are left out.

Under a deck that climbs each riser is as high as the deck is there, its top cut to the deck's slope; square
where that is less than SQUARE_MM over all of it. None stands in a deck that passes below. An end that reaches
up to a deck at the board's level carries higher ones on risers, too.

What this does not know: wires between tracks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from msgspec import UNSET

from boardwright.plan.model import Device, Point
from boardwright_timber.geometry import snap, snap_point
from boardwright_timber.model import Board, Member, MemberRole, Panel
from boardwright_timber.rising import bears, on_way, underside_mm, way_at

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

SHORTEST_MM = 15.0
POST_MM = 60.0
CLEAR_MM = 0.01
TOUCH_MM2 = 1e-3
SQUARE_MM = 0.1
type Span = tuple[float, float]  # stations from the member's outer start


def risers(
    board: Board,
    room: Geometry,
    holders: Sequence[Member],
    deck: Sequence[Panel],
    devices: Sequence[Device],
    lap_mm: float,
    apart_mm: float,
    gauge_mm: float = 0.0,
    least_under: float = 0.0,
) -> tuple[tuple[Member, ...], tuple[Member, ...], tuple[Member, ...]]:
    """Risers, numbered holder by holder in its direction; the holders under a panel that got none there for
    devices; and noggins that got none at all. ``gauge_mm``: what trains on a deck below take to each side;
    ``least_under``: as a share of a riser, what of it lies below its panel at least."""
    import shapely

    panels = [shapely.Polygon(p.ring, p.wells) for p in deck]
    kept_off = [shapely.Polygon([board.to_local(p) for p in d.keepout()]) for d in devices]
    taken = list(kept_off)
    below = [_passed_over(n, deck, panels, gauge_mm) for n in range(len(deck))]
    woods = [(m, shapely.Polygon(m.outline)) for m in holders]
    made: list[Member] = []
    bare: list[Member] = []
    idle: list[Member] = []
    for holder in holders:
        before = len(made)
        crossing = holder.role in (MemberRole.JOIST, MemberRole.HEADER)

        def under(span: Span, k: int, inner: bool, holder: Member = holder) -> bool:
            if not least_under:
                return True
            shape = _footprint(holder, span, inner=inner)
            return bool(shape.intersection(panels[k]).area >= least_under * shape.area - TOUCH_MM2)

        faces = (False, True) if crossing else (True,)
        for k, span in _wanted(holder, deck, panels, apart_mm, crossing=crossing):
            others = taken + [wood for m, wood in woods if m is not holder] + below[k]
            found = [
                ([s for s in _free(holder, span, room, others, inner=inner) if under(s, k, inner)], inner)
                for inner in faces
            ]
            spans, inner = max(found, key=lambda f: round(_carrying(holder, f[0], panels[k], inner=f[1]), 2))
            fresh = [
                _riser(holder, free, lap_mm, f"{board.id}-R{len(made) + n}", deck[k], inner=inner)
                for n, free in enumerate(spans, 1)
                if _height_mm(holder, free, deck[k]) + lap_mm > 0
            ]
            made += fresh
            taken += [shapely.Polygon(r.outline) for r in fresh]
            # in a corner, or where another riser takes the place, the neighbour carries the deck
            clear, past = (
                any(_free(holder, span, room, others, inner=inner) for inner in faces)
                for others in ([], kept_off)
            )
            if not spans and clear and not past:
                bare.append(holder)
        if holder.role is MemberRole.HEADER and len(made) == before:
            idle.append(holder)
    return tuple(made), tuple(dict.fromkeys(bare)), tuple(idle)


def _wanted(
    holder: Member, deck: Sequence[Panel], panels: Sequence[Polygon], apart_mm: float, *, crossing: bool
) -> Iterator[tuple[int, Span]]:
    """Which panels want risers on a member, and where along it; along a side in posts."""
    for k, panel in enumerate(panels):
        for span in _under(panel, holder):
            at = _at(holder, (span[0] + span[1]) / 2, holder.thickness_mm / 2)
            if not crossing and bears(holder, deck[k], at):
                continue
            if crossing or _runs_across(holder):
                yield k, span
            else:
                yield from ((k, post) for post in _posts(span, apart_mm))


def _passed_over(k: int, deck: Sequence[Panel], panels: Sequence[Polygon], gauge_mm: float) -> list[Polygon]:
    """Panels that lie below one, and the room of trains on them: its risers do not go through either."""
    import shapely

    found = []
    for n, other in enumerate(panels):
        over = panels[k].intersection(other)
        if n != k and over.area > TOUCH_MM2:
            at = (over.centroid.x, over.centroid.y)
            if underside_mm(deck[n], at) < underside_mm(deck[k], at):
                lines = [shapely.LineString([p[:2] for p in way]) for way in deck[n].ways or ()]
                found += [other, *(line.buffer(gauge_mm, cap_style="flat") for line in lines)]
    return found


def _height_mm(holder: Member, span: Span, panel: Panel) -> float:
    """How high a panel lies above a member in the middle of a stretch."""
    at = _at(holder, (span[0] + span[1]) / 2, holder.thickness_mm / 2)
    return underside_mm(panel, at) - holder.top_mm


def _posts(span: Span, apart_mm: float) -> list[Span]:
    """A stretch along a side in posts of POST_MM no farther apart than ``apart_mm``; a short one whole."""
    low, high = span
    if high - low <= apart_mm:
        return [span]
    gaps = math.ceil((high - low - POST_MM) / apart_mm - 1e-9)
    step = (high - low - POST_MM) / gaps
    return [(low + step * n, low + step * n + POST_MM) for n in range(gaps + 1)]


def _runs_across(member: Member) -> bool:
    return abs(member.direction[1]) > abs(member.direction[0])


def _carrying(holder: Member, spans: Iterable[Span], panel: Polygon, *, inner: bool) -> float:
    """How much of the panel risers on this face carry; one less than half under it, along an edge of
    it, counts for less than its length."""
    found = 0.0
    for span in spans:
        wood = _footprint(holder, span, inner=inner)
        found += (span[1] - span[0]) * min(1.0, 2 * panel.intersection(wood).area / wood.area)
    return found


def _at(member: Member, station: float, behind: float) -> Point:
    """The point ``station`` along a member's outer face and ``behind`` it, towards the inner face."""
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    return (ox + station * dx - behind * dy, oy + station * dy + behind * dx)


def _station(member: Member, p: Point) -> float:
    (dx, dy), (ox, oy) = member.direction, member.outer_start
    return (p[0] - ox) * dx + (p[1] - oy) * dy


def _under(panel: Polygon, holder: Member) -> list[Span]:
    """Stretches of the holder's middle line under the panel, kept to where both its faces are."""
    import shapely

    ends = [_station(holder, p) for p in (holder.inner_start, holder.outer_end, holder.inner_end)]
    low, high = max(0.0, ends[0]), min(ends[1], ends[2])
    if high - low < SHORTEST_MM:
        return []
    half = holder.thickness_mm / 2
    line = shapely.LineString((_at(holder, low, half), _at(holder, high, half)))
    parts = [p for p in shapely.get_parts(panel.intersection(line)) if p.length >= SHORTEST_MM]
    return sorted(_reach(holder, p) for p in parts)


def _reach(holder: Member, shape: Polygon) -> Span:
    import shapely

    stations = [_station(holder, (x, y)) for x, y in shapely.get_coordinates(shape).tolist()]
    return (min(stations), max(stations))


def _free(holder: Member, span: Span, room: Geometry, others: list[Polygon], *, inner: bool) -> list[Span]:
    """What of the stretch lies inside the room on this face, clear of keep-outs and other wood."""
    import shapely

    low, high = span
    shape = _footprint(holder, span, inner=inner)
    # The face lies on the room's edge: without a hair more, a sliver of rounding would take all of it.
    lost = [*(o.intersection(shape) for o in others), shape.difference(room.buffer(CLEAR_MM))]
    taken = [_reach(holder, p) for each in lost for p in shapely.get_parts(each) if p.area > TOUCH_MM2]
    spans, at = [], low
    for a, b in sorted((a - CLEAR_MM, b + CLEAR_MM) for a, b in taken):
        spans.append((at, a))
        at = max(at, b)
    spans.append((at, high))
    return [(a, b) for a, b in spans if b - a >= SHORTEST_MM]


def _footprint(holder: Member, span: Span, *, inner: bool) -> Polygon:
    """The plan shape of a riser over a stretch of a member."""
    import shapely

    (low, high), (near, far) = span, _depths(holder, inner=inner)
    return shapely.Polygon(
        (_at(holder, low, near), _at(holder, high, near), _at(holder, high, far), _at(holder, low, far))
    )


def _depths(holder: Member, *, inner: bool) -> Span:
    """Where a riser begins and ends, behind the holder's outer face."""
    t, own = holder.thickness_mm, _own_mm(holder)
    return (t, t + own) if inner else (-own, 0.0)


def _own_mm(holder: Member) -> float:
    """A riser is as thick as what it stands on; on a sandwich, as the blocks in it."""
    return holder.thickness_mm - (holder.bending_mm if holder.sandwich else 0.0)


def _riser(holder: Member, span: Span, lap_mm: float, name: str, panel: Panel, *, inner: bool) -> Member:
    low, high = span
    near, far = _depths(holder, inner=inner)
    tops = _tops(holder, span, (near, far), panel)
    top = snap(max(tops))
    square = top - min(tops) <= SQUARE_MM
    if square:
        top = snap(sum(tops) / 4)
    return Member(
        id=name,
        role=MemberRole.RISER,
        outer_start=snap_point(_at(holder, low, near)),
        outer_end=snap_point(_at(holder, high, near)),
        inner_start=snap_point(_at(holder, low, far)),
        inner_end=snap_point(_at(holder, high, far)),
        thickness_mm=_own_mm(holder),
        depth_mm=top + lap_mm - holder.top_mm,
        material=holder.sandwich.block_material if holder.sandwich else holder.material,
        top_mm=top,
        tops_mm=UNSET if square else tops,
    )


def _tops(holder: Member, span: Span, depths: Span, panel: Panel) -> tuple[float, float, float, float]:
    """The deck's underside over the corners of a riser: the plane through it along its middle, and across."""
    if panel.ways is UNSET:
        return (0.0, 0.0, 0.0, 0.0)
    (low, high), (near, far) = span, depths
    middle, half = (low + high) / 2, (near + far) / 2
    way = way_at(panel, _at(holder, middle, half))
    start, end = (on_way(way, _at(holder, station, half))[1] for station in span)
    outer, inner = (on_way(way, _at(holder, middle, behind))[1] for behind in depths)
    lean = (outer - inner) / 2
    return (snap(start + lean), snap(end + lean), snap(end - lean), snap(start - lean))
