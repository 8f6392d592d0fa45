"""The polygon of a frame's outer faces: straight edges brought to corners, then proved against the deck.

Claim: an outline that ``fits`` lies inside the deck to within INSIDE_MM and leaves no point of the deck's
edge further than the overhang allowed from it. When the fewest edges do not meet well, more are tried.

What this does not know: the thickness of members, and whether two of them collide (see ``band``).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import corners_of, lower_left_first, sides, snap_point

from .edges import Edge, Limits, Traced, edge_over, fewest_edges
from .round_wells import round_edges

if TYPE_CHECKING:
    from shapely import Polygon

INSIDE_MM = 0.001
TRIES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.35, 0.2, 0.1, 0.0)  # parts of the overhang allowed


class FrameOutline(msgspec.Struct, frozen=True):
    """Edge k runs from corner k to the next one. ``wrong_at``: where it does not fit (None: it fits)."""

    corners: Ring
    edges: tuple[Edge, ...]
    overhang_mm: float
    wrong_at: Point | None = None

    @property
    def fits(self) -> bool:
        return self.wrong_at is None

    @property
    def lengths(self) -> tuple[float, ...]:
        return tuple(math.dist(a, b) for a, b in sides(self.corners))


def frame_outline(traced: Traced, overhang_mm: float, shortest_mm: float, *, well: bool) -> FrameOutline:
    """The straight outline of one ring; the least wrong one when none fits.

    Less overhang is tried only where more gives no outline that fits or one with edges too short for members;
    of those that fit, the one with the fewest short edges is taken, then the one whose shortest is longest.
    """
    if well and (edges := round_edges(traced.ring, overhang_mm, shortest_mm)):
        tried = _proved(traced.ring, edges, overhang_mm, well=True)
        if tried is not None and tried.fits:
            return tried
    spare: FrameOutline | None = None
    best: FrameOutline | None = None
    best_rank = (len(traced.ring), 0.0)
    limits = Limits(overhang_mm, shortest_mm)
    for every_vertex, part in ((every, part) for every in (False, True) for part in TRIES):
        if every_vertex and best is not None:
            break
        edges = fewest_edges(traced, overhang_mm * part, limits, every_vertex=every_vertex)
        tried = _proved(traced.ring, edges, overhang_mm, well=well)
        if tried is None:
            continue
        if not tried.fits:
            spare = spare or tried
            continue
        short = sum(length < shortest_mm for length in tried.lengths)
        rank = (short, -round(min(tried.lengths), 3))
        if best is None or rank < best_rank:
            best, best_rank = tried, rank
        if short == 0:
            break
    if best is not None:
        return best
    if spare is not None:
        return spare
    pieces = tuple(e for k in range(len(traced.ring)) if (e := edge_over(traced, k, 1, 0.0, 0.0)) is not None)
    return FrameOutline(traced.ring, pieces, 0.0, wrong_at=traced.ring[0])


def _proved(ring: Ring, edges: list[Edge], overhang_mm: float, *, well: bool) -> FrameOutline | None:
    """The outline of these edges with its faults measured; None when it is no outline at all."""
    import shapely

    found = corners_of([e.line for e in edges])
    corners = tuple(snap_point(p) for p in found if p is not None)
    if len(corners) < 3 or len(corners) != len(found):
        return None
    for edge, (a, b) in zip(edges, sides(corners), strict=True):
        if edge.line.along(b) - edge.line.along(a) <= INSIDE_MM:
            return None
    frame, deck = shapely.Polygon(corners), shapely.Polygon(ring)
    if not (frame.is_valid and deck.is_valid):
        return None
    edge_points = shapely.points([*ring, *(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in sides(ring))])
    stray = shapely.distance(edge_points, frame.exterior)
    overhang = float(stray.max())
    wrong_at = _farthest(deck, frame) if well else _farthest(frame, deck)
    if wrong_at is None and overhang > overhang_mm + INSIDE_MM:
        worst = edge_points[int(stray.argmax())]
        wrong_at = (worst.x, worst.y)
    first = corners.index(lower_left_first(corners)[0])
    return FrameOutline(
        corners[first:] + corners[:first], (*edges[first:], *edges[:first]), overhang, wrong_at
    )


def _farthest(inside: Polygon, around: Polygon) -> Point | None:
    """Where ``inside`` reaches farthest out of ``around``; None when by no more than INSIDE_MM.

    A straight edge can leave a shape only past one of its own ends or past an inward corner of the shape, so
    the corners of both are measured: theirs outside ``around``, and ``around``'s within ``inside``.
    """
    import shapely

    corners = shapely.points(shapely.get_coordinates(inside.exterior))
    inward = shapely.points(shapely.get_coordinates(around.exterior))
    within = shapely.contains(inside, inward)
    points = [*corners, *inward]
    out = [*shapely.distance(corners, around), *(within * shapely.distance(inward, inside.exterior))]
    worst = max(range(len(out)), key=lambda n: float(out[n]))
    if out[worst] <= INSIDE_MM:
        return None
    return (points[worst].x, points[worst].y)
