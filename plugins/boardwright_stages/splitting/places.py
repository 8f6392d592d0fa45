"""What a joint costs where it is, and what the next best place would have cost, in words.

Claim: all other joints stay where they are; of every line tried across the two boards together that keeps to
the hard rules and leaves two boards that fit, the cheapest at least a step away is the next best. What this
does not know: another row of joints altogether, or another number of boards.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely

from boardwright.plan.model import Point
from boardwright_timber.model import Joint

from . import chords, terms, worth
from .chords import Chords
from .directions import Array
from .junctions import Beside
from .keepaway import KeepAway
from .piece import Cut, Piece, from_outline
from .search import Search
from .settings import SplittingSettings
from .tracks import BREACH_BOARDS, Tracks

SAME_MM = 0.01
TURNED_DEG = 3.0
CHEAPER = "A place"  # how a place that costs less is told
TOLD_FROM = 0.005  # boards; what is less reads 0.00


def told_cost(
    joint: Joint,
    sides: tuple[Piece, Piece],
    main: Array,
    keep_away: KeepAway,
    tracks: Tracks,
    settings: SplittingSettings,
    others: Sequence[Cut] = (),
) -> str:
    """One or two sentences; "" where the boards meet elsewhere, too, so that no one line parts them,
    and where one of them is larger than a board may be.

    ``sides``: the joint's boards as they were cut. ``main``: directions joints should follow. ``others``: the
    other joints of the two boards, from whose ends this one must keep.
    """
    both = together(sides)
    if both is None:
        return ""
    here = chord_of(joint.start, joint.end, both)
    if here is None or not all(bool(s.fits[0]) for s in worth.sides(here, settings)):
        return ""
    search = Search(settings, keep_away, tracks, main)
    edges = search.beside(both, tuple(others))
    cost, togo, _ = search.judge(here, edges)
    found = _others(search, both, here, edges)
    if not len(found):
        own = terms.each(here, main, settings, keep_away, tracks)[0]
        return f"{_own(cost, togo, own)} No other place between its two boards keeps to all rules."
    cost_there, togo_there, _ = search.judge(found, edges)
    all_in = worth.settled(cost_there + togo_there)
    best = int(np.lexsort((np.arange(len(found)), all_in))[0])
    next_best = found.pick([best])
    own, other = terms.each(here.and_(next_best), main, settings, keep_away, tracks)
    says, place = _own(cost, togo, own), _moved(joint, next_best)
    more = float(all_in[best] - worth.settled(cost + togo)[0])
    if abs(more) < TOLD_FROM:
        return f"{says} The next best place, {place}, costs the same."
    changed = {n: other.get(n, 0.0) - own.get(n, 0.0) for n in {**own, **other}}
    which = f"The next best place, {place}," if more > 0 else f"{CHEAPER} {place}"
    how = f"{abs(more):.2f} {'more' if more > 0 else 'less'}"
    return f"{says} {which} would cost {how}: {_listed(changed, signed=True)}."


def _own(cost: Array, togo: Array, own: dict[str, float]) -> str:
    return f"Its cost here is {cost[0] + togo[0] - 2:.2f} boards: {_listed(own)}."


def together(sides: tuple[Piece, Piece]) -> Piece | None:
    """Two boards as one piece; None where they are none."""
    shapes = [shapely.Polygon(p.rings[0], p.rings[1:]) for p in sides]
    whole = shapely.union_all(shapes, grid_size=1e-6)
    if whole.geom_type != "Polygon":
        return None
    rings = [tuple(r.coords)[:-1] for r in (whole.exterior, *whole.interiors)]
    return from_outline(rings[0], tuple(rings[1:]))


def chord_of(p: Point, q: Point, both: Piece) -> Chords | None:
    """A joint as a chord of its two boards together, seen with what lies left of p – q on its left."""
    start, end = np.array(p), np.array(q)
    d = (end - start) / math.dist(p, q)
    normal = np.array([[-d[1], d[0]]])
    found = chords.find(both, normal, normal @ start)
    for k in range(len(found)):
        ends = (found.start[k], found.end[k])
        if min(math.dist(ends[0], start), math.dist(ends[0], end)) > SAME_MM:
            continue
        if min(math.dist(ends[1], start), math.dist(ends[1], end)) > SAME_MM:
            continue
        one = found.pick([k])
        left, right = worth.sides(one, SplittingSettings())
        return one if min(float(left.area[0]), float(right.area[0])) > worth.TINY_MM2 else None
    return None


def _others(search: Search, both: Piece, here: Chords, edges: tuple[Beside, ...]) -> Chords:
    """Every place at least a step away that keeps to the rules and leaves two boards that fit."""
    found = search.allowed(both)
    if not len(found):
        return found
    left, right = worth.sides(found, search.settings)
    away = np.hypot(*((found.start + found.end - here.start - here.end) / 2).T)
    turned = np.abs(_turn(found, here)) > TURNED_DEG
    apart = (away >= search.settings.step_mm - SAME_MM) | turned
    whole = np.minimum(left.narrowest, right.narrowest) >= search.settings.min_length_mm - SAME_MM
    found = found.pick(left.fits & right.fits & apart & whole)
    if not len(found):
        return found
    cost, _, sound = search.judge(found, edges)
    return found.pick(sound & (cost < BREACH_BOARDS))


def _turn(found: Chords, here: Chords) -> Array:
    """Degrees between lines, -90 to 90."""
    angle = [np.degrees(np.arctan2(*(c.end - c.start).T[::-1])) for c in (found, here)]
    turned: Array = (angle[0] - angle[1] + 90.0) % 180.0 - 90.0
    return turned


def _moved(joint: Joint, there: Chords) -> str:
    middle = (there.start[0] + there.end[0]) / 2
    d = (np.array(joint.end) - np.array(joint.start)) / joint.length_mm
    by = middle - (np.array(joint.start) + np.array(joint.end)) / 2
    left = float(-by[0] * d[1] + by[1] * d[0])
    place = f"{abs(left):.0f} mm nearer to {joint.boards[0] if left > 0 else joint.boards[1]}"
    way = there.end[0] - there.start[0]
    turned = abs(math.degrees(math.atan2(d[0] * way[1] - d[1] * way[0], float(d @ way))))
    turned = min(turned, 180.0 - turned)
    if turned > TURNED_DEG:
        return f"turned by {turned:.0f}°" if abs(left) < 1 else f"{place} and turned by {turned:.0f}°"
    return place


def _listed(costs: dict[str, float], signed: bool = False) -> str:
    """Terms, the largest first; those too small to read are left out."""
    shown = [(n, c) for n, c in costs.items() if abs(c) >= TOLD_FROM]
    shown.sort(key=lambda t: (-round(abs(t[1]), 6), t[0]))
    sign = "+" if signed else ""
    listed = ", ".join(f"{name} {cost:{sign}.2f}" for name, cost in shown)
    return listed.replace("-", "−") or "nothing that counts"
