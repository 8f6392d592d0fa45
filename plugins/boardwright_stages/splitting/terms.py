"""What a joint costs, term by term: the soft costs of ``[splitting]``, in boards.

Every weight of the settings is one term; ``words`` says what it stands for. Hard rules that are broken add a
term of their own, far above all others.
"""

from __future__ import annotations

import math

import numpy as np
from msgspec.structs import replace

from . import worth
from .chords import Chords
from .directions import Array, off_direction
from .keepaway import KeepAway
from .piece import FIT_MM
from .settings import SplittingSettings
from .tracks import BREACH_BOARDS, Tracks

HORN_MM = 40.0  # an end this near a corner, not at it, leaves a narrow horn
NEAR_MM = 30.0  # nearness costs up to this far beyond the free distance

WORDS = {
    "joint_length_weight": "length",
    "short_joint_weight": "too short for bolts and dowels",
    "edge_weight": "aslant to an edge",
    "corner_weight": "ending beside a corner",
    "skew_weight": "askew to the layout",
    "track_weight": "tracks cut",
    "off_square_weight": "tracks off square",
    "curve_weight": "tracks cut on a curve",
    "beside_weight": "tracks close beside it",
    "near_weight": "turnouts or devices close by",
    "uneven_weight": "size of the two boards",
    "shape_weight": "shape of the two boards",
    "sheet_weight": "waste of their sheets",
}
BROKEN, NARROW = "a hard rule broken", "a board narrower than wanted"
TRACK_TERMS = ("track_weight", "off_square_weight", "curve_weight", "beside_weight")
BOARD_TERMS = ("uneven_weight", "shape_weight", "sheet_weight")


def total(
    found: Chords, main: Array, settings: SplittingSettings, keep_away: KeepAway, tracks: Tracks
) -> Array:
    """What each chord costs as a joint, in boards. ``main``: directions joints should follow."""
    plain = _plain(found, main, settings, keep_away)
    near = plain.pop("near_weight")
    cost: Array = plain.pop("joint_length_weight") + plain.pop(BROKEN) + plain.pop("short_joint_weight")
    for term in plain.values():
        cost = cost + term
    cost = cost + tracks.cost(found.start, found.end, settings)
    return cost + near


def each(
    found: Chords, main: Array, settings: SplittingSettings, keep_away: KeepAway, tracks: Tracks
) -> list[dict[str, float]]:
    """For each chord, the terms of the joint and of the two boards it parts, by their words; none is 0."""
    told = _plain(found, main, settings, keep_away)
    without, *weighed = [_only(settings, names) for names in ((), *((n,) for n in TRACK_TERMS))]
    broken, *of_tracks = tracks.costs(found.start, found.end, settings, (without, *weighed))
    told |= {name: cost - broken for name, cost in zip(TRACK_TERMS, of_tracks, strict=True)}
    told[BROKEN] = told[BROKEN] + broken
    left, right = worth.sides(found, settings)
    bare = _boards(left, right, without)
    for name in BOARD_TERMS:
        told[name] = _boards(left, right, _only(settings, (name,))) - bare
    told[NARROW] = bare - 2.0
    return [
        {WORDS.get(name, name): float(term[k]) for name, term in told.items() if term[k] > 1e-9}
        for k in range(len(found))
    ]


def _plain(found: Chords, main: Array, settings: SplittingSettings, keep_away: KeepAway) -> dict[str, Array]:
    """Every term that tracks and boards have no part in, in the order in which they are summed up."""
    s = settings
    shortest = s.shortest_joint_mm or 0.0
    lacks = np.maximum(shortest - found.length, 0.0) / max(shortest, 1.0)
    d = found.end - found.start
    off_main = off_direction(np.arctan2(d[:, 1], d[:, 0])[:, None], main).min(axis=1)
    near = 1 - keep_away.slack(found.start, found.end, NEAR_MM) / NEAR_MM
    return {
        "joint_length_weight": s.joint_length_weight * found.length / 1000.0,
        BROKEN: np.where(found.length < shortest - FIT_MM, BREACH_BOARDS * (1.0 + lacks), 0.0),
        "short_joint_weight": s.short_joint_weight * (found.length < (s.roomy_joint_mm or 0.0) - FIT_MM),
        "edge_weight": s.edge_weight * (_edge_angle(found) / 45.0) ** 2,
        "corner_weight": s.corner_weight * _horns(found),
        "skew_weight": s.skew_weight * off_main / (math.pi / 4),
        "near_weight": s.near_weight * near,
    }


def _boards(left: worth.Sides, right: worth.Sides, settings: SplittingSettings) -> Array:
    return worth.value(left, settings, 1.0) + worth.value(right, settings, 1.0)


def _only(settings: SplittingSettings, names: tuple[str, ...]) -> SplittingSettings:
    """The settings with every weight off but those named."""
    weights = [n for n in SplittingSettings.__struct_fields__ if n.endswith("_weight")]
    return replace(settings, **{n: 0.0 for n in weights if n not in names})


def _horns(found: Chords) -> Array:
    """How many ends of each chord lie just beside a corner."""
    points = found.piece.corners[0]
    count = np.zeros(len(found))
    if len(points):
        for end in (found.start, found.end):
            gap = np.hypot(end[:, None, 0] - points[:, 0], end[:, None, 1] - points[:, 1]).min(axis=1)
            count += (gap > 0.01) & (gap < HORN_MM - 1e-3)
    return count


def _edge_angle(found: Chords) -> Array:
    """How far each chord is from meeting the edges squarely (or carrying one on), degrees, worse end."""
    piece = found.piece
    xy, after = piece.xy, piece.follows
    before = np.empty_like(after)
    before[after] = np.arange(len(after))
    d = found.end - found.start
    way = np.arctan2(d[:, 1], d[:, 0])
    worst = np.zeros(len(found))
    for edge, at in ((found.enter, found.enter_at), (found.leave, found.leave_at)):
        off = _off(way, xy[after[edge]] - xy[edge], carry_on=False)
        for vertex, is_there in ((edge, at < 1e-7), (after[edge], at > 1 - 1e-7)):
            one = _off(way, xy[after[vertex]] - xy[vertex], carry_on=True)
            other = _off(way, xy[vertex] - xy[before[vertex]], carry_on=True)
            off = np.where(is_there, np.minimum(off, np.minimum(one, other)), off)
        worst = np.maximum(worst, off)
    return worst


def _off(way: Array, edge: Array, carry_on: bool) -> Array:
    """Degrees off an edge's normal; with ``carry_on`` the edge's own direction will do as well."""
    angle = np.degrees(way - np.arctan2(edge[:, 1], edge[:, 0]))
    period = 90.0 if carry_on else 180.0
    off: Array = np.abs((angle + (0 if carry_on else 90.0) + period / 2) % period - period / 2)
    return off
