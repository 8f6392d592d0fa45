"""Risers: uprights on the faces of joists and cross sides that carry a deck above them.

Claim: wherever the middle line of a joist, a noggin or a side passes under a panel of the deck, a riser
stands on its face as far as its own middle line lies under the panel and the wood reaches, inside the frame
and clear of every device's keep-out; of two faces it takes the one that gives the panel more to lie on. It
laps the wood by ``lap_mm`` from its top down. A long stretch along a side gets posts instead of one riser.

Where it can stand, and how wide: ``stands``. One narrower than ``least_mm`` is made only where devices or
lower decks leave no room for a wider one on either face, and is told; other wood in its place carries the
deck itself.

Under a deck that climbs each riser is as high as the deck is there, its top cut to the deck's slope; square
where that is less than SQUARE_MM over all of it. None stands in a deck that passes below. An end that reaches
up to a deck at the board's level carries higher ones on risers, too.

What this does not know: wires between tracks.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from msgspec import UNSET

from boardwright.plan.model import Device
from boardwright_timber.geometry import snap, snap_point
from boardwright_timber.model import Board, Member, MemberRole, Panel
from boardwright_timber.rising import on_way, underside_mm, way_at

from .stands import (
    CLEAR_MM,
    SHORTEST_MM,
    Span,
    Stand,
    at_station,
    depths,
    footprint,
    hair_more,
    own_mm,
    wanted,
)

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

TOUCH_MM, TOUCH_MM2 = 0.1, 1e-3
SQUARE_MM = 0.1
PLATE_MM = 5.0  # between a riser and a plate beside it (see ``lengths``)


class Stood(NamedTuple):
    """Risers, numbered holder by holder in its direction; those narrower than wanted; the holders under a
    panel that got none there for devices; noggins that got none at all; and whether squeezing would have
    made any difference."""

    risers: tuple[Member, ...]
    narrow: tuple[Member, ...]
    bare: tuple[Member, ...]
    idle: tuple[Member, ...]
    pinched: bool = False


def risers(
    board: Board,
    room: Geometry,
    holders: Sequence[Member],
    deck: Sequence[Panel],
    devices: Sequence[Device],
    lap_mm: float,
    apart_mm: float,
    least_mm: float,
    gauge_mm: float = 0.0,
    plates: Sequence[Member] = (),
    *,
    squeezed: bool = False,
) -> Stood:
    """``least_mm``: how wide a riser should be; ``gauge_mm``: what trains on a deck below take aside;
    ``plates``: no riser stands in them; ``squeezed``: narrow ones stand between other wood, too."""
    import shapely

    panels = [shapely.Polygon(p.ring, p.wells) for p in deck]
    kept_off = [shapely.Polygon([board.to_local(p) for p in d.keepout()]) for d in devices]
    taken = list(kept_off)
    below = [_lower(n, deck, panels, gauge_mm, least_mm) for n in range(len(deck))]
    woods = [(m, shapely.Polygon(m.outline)) for m in holders]
    laid = [shapely.Polygon(p.outline).buffer(PLATE_MM - CLEAR_MM) for p in plates]
    roomy = hair_more(room)
    made: list[Member] = []
    narrow: list[Member] = []
    bare: list[Member] = []
    idle: list[Member] = []
    pinched = False
    for holder in holders:
        before = len(made)
        crossing = holder.role in (MemberRole.JOIST, MemberRole.NOGGIN)
        for k, faces in wanted(holder, deck, panels, apart_mm, crossing=crossing):
            place = Stand(holder, panels[k], roomy)
            others = taken + [wood for m, wood in woods if m is not holder] + below[k]
            others += laid if crossing else []
            shortest_mm = min(SHORTEST_MM, least_mm)
            inner, spans = place.best(faces, others, least_mm, least_mm)
            alone = kept_off + below[k]
            pressed = not spans and not squeezed and bool(place.best(faces, alone, least_mm, least_mm).spans)
            if not spans and not (pressed and pinched):
                tight = place.best(faces, others, shortest_mm, least_mm)
                pinched = pinched or (pressed and bool(tight.spans))
                inner, spans = (inner, spans) if pressed else tight
            if not crossing:  # a post in a plate's way is left away whole
                spans = [s for s in spans if not any(footprint(holder, s, inner).intersects(p) for p in laid)]
            fresh = [
                _riser(holder, free, lap_mm, f"{board.id}-R{len(made) + n}", deck[k], inner=inner)
                for n, free in enumerate(spans, 1)
                if _height_mm(holder, free, deck[k]) + lap_mm > 0
            ]
            made += fresh
            narrow += [r for r in fresh if r.length_mm < least_mm - CLEAR_MM]
            taken += [shapely.Polygon(r.outline) for r in fresh]
            # in a corner, or where another riser takes the place, the neighbour carries the deck
            if not spans:
                clear, past = (place.best(faces, o, shortest_mm, least_mm).spans for o in ([], kept_off))
                if clear and not past:
                    bare.append(holder)
        if holder.role is MemberRole.NOGGIN and len(made) == before:
            idle.append(holder)
    return Stood(tuple(made), tuple(narrow), tuple(dict.fromkeys(bare)), tuple(idle), pinched)


def _lower(
    k: int, deck: Sequence[Panel], panels: Sequence[Polygon], gauge_mm: float, near_mm: float
) -> list[Polygon]:
    """Panels lower than one, below it or near it, and the room of trains on those it passes over: its
    risers do not go through either."""
    import shapely
    from shapely.ops import nearest_points

    found = []
    for n, other in enumerate(panels):
        if n == k or panels[k].distance(other) > near_mm:
            continue
        over = panels[k].intersection(other)
        passes = over.area > TOUCH_MM2
        here, there = (over.centroid,) * 2 if passes else nearest_points(panels[k], other)
        if underside_mm(deck[n], (there.x, there.y)) < underside_mm(deck[k], (here.x, here.y)) - TOUCH_MM:
            lines = [shapely.LineString([p[:2] for p in way]) for way in deck[n].ways or ()] if passes else []
            found += [other, *(line.buffer(gauge_mm, cap_style="flat") for line in lines)]
    return found


def _height_mm(holder: Member, span: Span, panel: Panel) -> float:
    """How high a panel lies above a member in the middle of a stretch."""
    at = at_station(holder, (span[0] + span[1]) / 2, holder.thickness_mm / 2)
    return underside_mm(panel, at) - holder.top_mm


def _riser(holder: Member, span: Span, lap_mm: float, name: str, panel: Panel, *, inner: bool) -> Member:
    low, high = span
    near, far = depths(holder, inner)
    tops = _tops(holder, span, (near, far), panel)
    top = snap(max(tops))
    square = top - min(tops) <= SQUARE_MM
    if square:
        top = snap(sum(tops) / 4)
    return Member(
        id=name,
        role=MemberRole.RISER,
        outer_start=snap_point(at_station(holder, low, near)),
        outer_end=snap_point(at_station(holder, high, near)),
        inner_start=snap_point(at_station(holder, low, far)),
        inner_end=snap_point(at_station(holder, high, far)),
        thickness_mm=own_mm(holder),
        depth_mm=top + lap_mm - holder.top_mm,
        material=holder.sandwich.block_material if holder.sandwich else holder.material,
        top_mm=top,
        tops_mm=UNSET if square else tops,
    )


def _tops(holder: Member, span: Span, behind: Span, panel: Panel) -> tuple[float, float, float, float]:
    """The deck's underside over the corners of a riser: the plane as steep as it is along and across the
    riser, in the middle as high."""
    if panel.ways is UNSET:
        return (0.0, 0.0, 0.0, 0.0)
    (low, high), (near, far) = span, behind
    middle, half = (low + high) / 2, (near + far) / 2
    way = way_at(panel, at_station(holder, middle, half))
    start, end = (on_way(way, at_station(holder, station, half))[1] for station in span)
    outer, inner = (on_way(way, at_station(holder, middle, deep))[1] for deep in behind)
    lean = (outer - inner) / 2
    more = on_way(way, at_station(holder, middle, half))[1] - (start + end) / 2  # between two sharp bends
    start, end = start + more, end + more
    return (snap(start + lean), snap(end + lean), snap(end - lean), snap(start - lean))
