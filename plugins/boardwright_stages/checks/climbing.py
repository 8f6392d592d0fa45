"""Measures of decks that climb: risers up to them, and one board's deck to the next one's.

Claim: a riser's top is measured on its part in its place (profile and bevel), in its middle and at its
corners, against the panel that it is nearest to in height; what the track itself bends over the riser's
length, where a climb begins or ends, is taken off. A deck's height at a joint is that of the panel there.

What this does not know: how a sheet bends between risers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import combinations

from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardPlan, Frame, MemberRole, Part
from boardwright_timber.rising import on_way, underside_mm, way_at

from ..framing.on_deck import nearest_panel
from .geometry import Worst, worst
from .reassembly import Solid

ON_LINE_MM = 0.05
NEAR_MM = 1.0


def reached(frames: Mapping[str, Frame], solids: Mapping[str, Sequence[Solid]]) -> tuple[Worst, Worst]:
    """How far a riser's top is from the deck above it, in its middle and at its corners, at worst."""
    import shapely

    woods = {n: [shapely.Polygon(p.ring, p.wells) for p in frame.deck] for n, frame in frames.items()}
    middles, corners = [], []
    for name, frame in frames.items():
        for part in (s.part for s in solids[name] if s.part.role == MemberRole.RISER):
            top = riser_top(part)
            (u, v, z), around = top[0], top[1:]
            away = [round(shape.distance(shapely.Point(u, v)), 3) for shape in woods[name]]
            near = [p for p, a in zip(frame.deck, away, strict=True) if a <= min(away) + NEAR_MM]
            panel = min(near, key=lambda p: abs(underside_mm(p, (u, v)) - z))
            way = way_at(panel, (u, v))
            off = [abs(on_way(way, p[:2])[1] - p[2]) for p in top]
            ends = [
                on_way(way, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))[1]
                for a, b in ((around[0], around[3]), (around[1], around[2]))
            ]
            bends = abs(on_way(way, (u, v))[1] - sum(ends) / 2)
            middles.append((max(off[0] - bends, 0.0), f"riser {part.id}"))
            corners.append((max(max(off[1:]) - bends, 0.0), f"riser {part.id}"))
    return worst(middles), worst(corners)


def passed_over(frame: Frame, decks: Sequence[Solid]) -> float:
    """Area (mm²) on which one panel of a deck passes over another, with room for the lower one between."""
    import shapely

    if not frame.climbs:
        return 0.0
    thick = max(deck.part.thickness_mm for deck in decks)
    woods = [(p, shapely.Polygon(p.ring, p.wells)) for p in frame.deck]
    found = 0.0
    for (one, a), (two, b) in combinations(woods, 2):
        for both in shapely.get_parts(a.intersection(b)):
            at = (both.centroid.x, both.centroid.y) if both.area else (0.0, 0.0)
            if both.area and abs(underside_mm(one, at) - underside_mm(two, at)) > thick:
                found += both.area
    return found


def riser_top(part: Part) -> list[tuple[float, float, float]]:
    """Middle and corners of a riser's top in the board's axes: outer face from left to right, then inner."""
    place = part.placement
    (_, right), (_, left) = part.ring[2:]
    long, t = part.length_mm, part.thickness_mm
    lean = t * math.tan(math.radians(part.top_tilt_deg))
    outer, inner = min(lean, 0.0), min(-lean, 0.0)  # the profile is as high as the higher face
    c, s = math.cos(math.radians(place.angle_deg)), math.sin(math.radians(place.angle_deg))
    return [
        (place.x_mm + x * c - behind * s, place.y_mm + x * s + behind * c, place.z_mm + z)
        for x, behind, z in (
            (long / 2, t / 2, (left + right + outer + inner) / 2),
            (0.0, 0.0, left + outer),
            (long, 0.0, right + outer),
            (long, t, right + inner),
            (0.0, t, left + inner),
        )
    ]


def met(boards: Mapping[str, Board], plans: Mapping[str, BoardPlan], frames: Mapping[str, Frame]) -> Worst:
    """How far the decks under one track are apart in height on the line of a joint, at worst."""
    found = []
    ends: dict[str, list[tuple[str, str, tuple[float, float], float]]] = {}
    for name, board in boards.items():
        if name not in frames or name not in plans:
            continue
        for joint in board.joints:
            start, end = board.face(joint)
            for track in plans[name].tracks:
                for p in (track.points[0], track.points[-1]):
                    if on_line(p, start, end):
                        height = board.level_mm + _deck_mm(board, frames[name], p)
                        ends.setdefault(joint.id, []).append((name, track.id, p, height))
    for joint_id, each in sorted(ends.items()):
        for n, (name, track_id, p, height) in enumerate(each):
            for other, same, q, level in each[n + 1 :]:
                if other != name and same == track_id and math.dist(p, q) <= NEAR_MM:
                    found.append((abs(height - level), f"joint {joint_id}, track {track_id}"))
    return worst(found)


def _deck_mm(board: Board, frame: Frame, p: tuple[float, float]) -> float:
    """Height of the deck's underside at a place, above the board's level."""
    if not frame.climbs:
        return 0.0
    local = board.to_local(p)
    return underside_mm(frame.deck[nearest_panel(frame.deck, local)], local)


def on_line(p: Point, a: Point, b: Point) -> bool:
    """Whether a track's end lies on the line of a joint."""
    off = abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / math.dist(a, b)
    return off <= ON_LINE_MM
