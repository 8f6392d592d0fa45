"""Tracks that climb, over all boards: where a deck cannot follow them, and what is clear where one passes
over another.

Claim: clear height is from the rails' top below to the underside of the deck above, where the two centrelines
cross in plan. A track drawn at its board's level lies on a deck whose underside is at that level; rails lie
NEM 122's h above the deck.

Sources: NEM 122 (2007), height of the rails' top above the formation, h = 10 in H0, 6 in N, 16 in 0 (read);
NMRA S-7, HO, 3 in above the rails (read, on a page that quotes the gauge), in other scales in proportion.

What this does not know: catenary, bridges of other make than the deck, trains wider than their track's deck.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardParts, BoardPlan, Frame
from boardwright_timber.rising import Way, on_way

from ..checks.climbing import on_line
from ..framing.climbing import H0_RATIO, ways_of
from ..framing.runs import TOGETHER_MM

LEVEL_MM = 5.0
KINK = 0.01  # between two decks; common practice, no source
OVER_MM = 100.0
NEAR_MM = 1.0
RAILS_MM = 870.0  # of the prototype: 10 mm in 1:87
CLEAR_MM = 6620.0  # of the prototype: 3 in (76.2 mm) in 1:87, rounded down
DECK = "deck"


class Over(NamedTuple):
    """One track above another: boards and tracks, lower first; where, in plan, and what is clear there."""

    boards: tuple[str, str]
    tracks: tuple[str, str]
    x_mm: float
    y_mm: float
    clear_mm: float


def about_climbs(
    boards: Mapping[str, Board],
    plans: Mapping[str, BoardPlan],
    frames: Mapping[str, Frame],
    parts: Mapping[str, BoardParts],
    notes: Notes,
) -> None:
    """Level decks under tracks that climb, and one track over another, where any track climbs."""
    ways = {n: ways_of(boards[n], plans[n]) for n in boards}
    if not any(ways.values()):
        return
    for name in boards:
        _tell_level(boards[name], plans[name], frames[name], ways[name], notes)
    _tell_kinks(boards, plans, notes)
    ratio = max((plans[n].scale_ratio for n in boards), default=0.0) or H0_RATIO
    wanted = CLEAR_MM / ratio
    pairs: dict[tuple[str, str], list[Over]] = {}
    for over in passes(boards, plans, parts, ratio):
        pairs.setdefault(over.tracks, []).append(over)
    for (lower, upper), found in pairs.items():
        over = min(found, key=lambda o: o.clear_mm)
        says = (
            f"Track {upper} passes over {lower} with {over.clear_mm:.0f} mm clear above the rails; "
            f"{wanted:.0f} mm are usual at this scale (NMRA S-7)."
        )
        if len(found) > 1:
            says += f" It does so at {len(found)} places; this is the lowest."
        place = [
            Place(board=b, item=t, x_mm=over.x_mm, y_mm=over.y_mm)
            for b, t in zip(over.boards, over.tracks, strict=True)
        ]
        if over.clear_mm < wanted:
            mend = "Draw the upper track higher or the lower one lower there, or cross farther up the climb."
            notes.caution("BW-SPACE-003", says, place, mend)
        else:
            notes.note("BW-SPACE-004", says, place, "Nothing; more where there is catenary.")


def _tell_level(board: Board, plan: BoardPlan, frame: Frame, ways: tuple[Way, ...], notes: Notes) -> None:
    if frame.climbs:
        return
    tracks = [t.id for t in plan.tracks if len(t.points) > 1]
    off = {
        t: max((p[2] for p in way), key=abs)
        for t, way in zip(tracks, ways, strict=bool(ways))
        if any(abs(p[2]) > LEVEL_MM for p in way)
    }
    if off:
        said = ", ".join(f"{t} by {z:+.0f} mm" for t, z in off.items())
        notes.caution(
            "BW-SPACE-002",
            f"Board {board.id}: its deck is level ({frame.style}), and tracks are drawn above or "
            f"below it: {said}.",
            [Place(board=board.id, item=t) for t in off],
            'Build the climb on the deck (wedges or ready-made inclines), or set framing.style = "open-top" '
            'or "l-girder-open": their decks follow the track.',
        )


def _tell_kinks(boards: Mapping[str, Board], plans: Mapping[str, BoardPlan], notes: Notes) -> None:
    """Tracks whose gradient changes right at a joint, where no sheet bends from one to the other."""
    runs: dict[tuple[str, str], list[tuple[str, Point, float]]] = {}
    for name, board in boards.items():
        for joint in board.joints:
            for track in plans[name].tracks:
                spots = list(zip(track.points, track.heights_mm, strict=bool(track.heights_mm)))
                for way in (spots, spots[::-1]):
                    if len(way) > 1 and on_line(way[0][0], *board.face(joint)):
                        grade = _towards(way)
                        runs.setdefault((joint.id, track.id), []).append((name, way[0][0], grade))
    for (joint_id, track_id), found in sorted(runs.items()):
        for n, (one, at, up) in enumerate(found):
            for other, there, down in found[n + 1 :]:
                kink = abs(up + down)
                if other != one and math.dist(at, there) <= NEAR_MM and kink > KINK:
                    notes.caution(
                        "BW-SPACE-005",
                        f"Track {track_id} changes its gradient by {100 * kink:.1f} % right at joint "
                        f"{joint_id}: two decks meet there at an angle, and no sheet bends over it.",
                        [
                            Place(board=b, item=joint_id, x_mm=round(at[0], 1), y_mm=round(at[1], 1))
                            for b in (one, other)
                        ],
                        f"Draw foot or top of the climb {OVER_MM:.0f} mm or more away from the joint.",
                    )


def _towards(way: Sequence[tuple[Point, float]]) -> float:
    """The gradient of a track over OVER_MM up to its beginning."""
    high, far = way[0][1], 0.0
    for (a, z), (b, w) in pairwise(way):
        long = math.dist(a, b)
        if far + long >= OVER_MM:
            share = (OVER_MM - far) / long
            return (high - (z + share * (w - z))) / OVER_MM
        far += long
    return (high - way[-1][1]) / far if far else 0.0


def passes(
    boards: Mapping[str, Board],
    plans: Mapping[str, BoardPlan],
    parts: Mapping[str, BoardParts],
    ratio: float,
) -> list[Over]:
    """Every place where one track crosses another in plan, above it."""
    import shapely

    drawn = []
    for name, board in boards.items():
        plan = plans[name]
        deck = max((p.thickness_mm for p in parts[name].parts if p.role == DECK), default=0.0)
        for track in (t for t in plan.tracks if len(t.points) > 1):
            told = track.heights_mm or (board.level_mm,) * len(track.points)
            way = tuple((x, y, z) for (x, y), z in zip(track.points, told, strict=True))
            drawn.append((name, track.id, way, shapely.LineString(track.points), deck))
    found = []
    for n, (board_a, id_a, way_a, line_a, deck_a) in enumerate(drawn):
        for board_b, id_b, way_b, line_b, deck_b in drawn[n + 1 :]:
            for point in shapely.get_parts(line_a.intersection(line_b)):
                if point.is_empty or (id_a == id_b and point.length > 0):  # one track on boards of two levels
                    continue
                at = (float(point.centroid.x), float(point.centroid.y))
                a, b = on_way(way_a, at)[1], on_way(way_b, at)[1]
                if abs(a - b) <= TOGETHER_MM:
                    continue
                low_first = a < b
                boards_, tracks = (board_a, board_b), (id_a, id_b)
                clear = abs(a - b) - (deck_a if low_first else deck_b) - RAILS_MM / ratio
                found.append(
                    Over(
                        boards_ if low_first else boards_[::-1],
                        tracks if low_first else tracks[::-1],
                        round(at[0], 1),
                        round(at[1], 1),
                        round(clear, 3),
                    )
                )
    return found
