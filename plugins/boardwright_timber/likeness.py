"""When two parts are the same piece of wood: the one place that says so.

Claim: parts of one ``shape`` can stand for each other, whatever their numbers and wherever they go. A part
turned end for end on its drawn face is the same piece. ``work_on`` tells whether a part that is made becomes
another by drilling alone; holes it has and the other has not stay unused, if no new one comes near them.

``shape`` compares to a hundredth of a millimetre, for parts that one plan makes alike; ``work_on``, for
wood that is already cut, to a tenth: less than a careful saw cut strays (common practice, no source), and
places of its edge where it runs straight on are none: another board that comes to meet a deck's edge adds
such. Marks (pencil lines) are not looked at: they can be drawn anew.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from msgspec.structs import replace

from boardwright.plan.model import Point, Ring

from .model import Hole, Part

DIGITS = 2
CLOSE_MM = 0.1
STRAIGHT_MM = 0.001
type Sawn = tuple[str, float, tuple[Point, ...], tuple[tuple[Point, ...], ...], tuple[float, ...]]
type Drilled = tuple[str, float, float, float, float, str, float, float, float, float]


def shape(part: Part) -> tuple[Sawn, tuple[Drilled, ...]]:
    """What a part is, sawn and drilled; equal for parts that can stand for each other."""
    return min((sawn(part, t), tuple(sorted(drilled(part, t)))) for t in (False, True))


class Work(NamedTuple):
    """What makes one part another: holes to ``drill``; holes that it has and that stay ``unused``."""

    drill: int
    unused: int


NO_WORK = Work(0, 0)


def work_on(old: Part, new: Part, turned: bool | None = None) -> Work | None:
    """What makes ``old`` serve as ``new``; None when it must be sawn anew.

    Here sizes and places may differ by ``CLOSE_MM``: wood that is cut stays cut. ``turned``: end for end or
    not, for a part that is built in; None: whichever is less work.
    """
    old, new = (_by_corners(p) for p in (old, new))
    if (old.material, len(old.ring), len(old.openings)) != (new.material, len(new.ring), len(new.openings)):
        return None
    if not (_close(old.thickness_mm, new.thickness_mm) and _close(old.length_mm, new.length_mm)):
        return None
    ways = (_drilled_on(old, new, t) for t in ((False, True) if turned is None else (turned,)))
    return min((w for w in ways if w is not None), key=lambda w: (w.drill + w.unused, w), default=None)


@lru_cache(maxsize=1024)
def corners(ring: Ring) -> Ring:
    """A ring without the places where it runs straight on."""
    if len(ring) <= 3:
        return ring
    kept = []
    for n, (x, y) in enumerate(ring):
        (a, b), (c, d) = ring[n - 1], ring[(n + 1) % len(ring)]
        long = math.dist((a, b), (c, d))
        off = abs((x - a) * (d - b) - (y - b) * (c - a)) / long if long > 0.0 else math.inf
        if off > STRAIGHT_MM or (x - a) * (c - x) + (y - b) * (d - y) < 0.0:
            kept.append((x, y))
    return tuple(kept)


def _by_corners(part: Part) -> Part:
    ring, openings = corners(part.ring), tuple(corners(o) for o in part.openings)
    if (len(ring), openings) == (len(part.ring), part.openings):
        return part
    return replace(part, ring=ring, openings=openings)


def _drilled_on(old: Part, new: Part, turned: bool) -> Work | None:
    _, _, profile, openings, bevels = sawn(old, turned)
    _, _, wanted, cut, as_wanted = sawn(new, False)
    rings = zip((profile, *openings), (wanted, *cut), strict=True)
    if not all(_lies_on(a, b) for a, b in rings) or not all(map(_close, bevels, as_wanted)):
        return None
    to_drill, unused = drilled(new, False), []
    for hole in drilled(old, turned):
        at = next((n for n, other in enumerate(to_drill) if _same_hole(hole, other)), None)
        if at is None:
            unused.append(hole)
        else:
            del to_drill[at]
    if any(_too_near(a, b) for a in unused for b in to_drill):
        return None
    return Work(len(to_drill), len(unused))


def _too_near(a: Drilled, b: Drilled) -> bool:
    """Whether less wood is left between two holes than the wider is wide (common practice, no source)."""
    (_, ax, ay, across, *_), (_, bx, by, other, *_) = a, b
    wide, long = max(across, other), max(a[7], across) / 2 + max(b[7], other) / 2
    return math.dist((ax, ay), (bx, by)) - long < wide - CLOSE_MM


def _same_hole(a: Drilled, b: Drilled) -> bool:
    return all(
        _close(p, q) if isinstance(p, float) and isinstance(q, float) else p == q
        for p, q in zip(a, b, strict=True)
    )


def _lies_on(a: tuple[Point, ...], b: tuple[Point, ...]) -> bool:
    """Whether two rings are the same, from whichever corner they start."""
    if len(a) != len(b):
        return False
    starts = (n for n, p in enumerate(a) if math.dist(p, b[0]) <= CLOSE_MM)
    return any(
        all(math.dist(p, q) <= CLOSE_MM for p, q in zip((*a[n:], *a[:n]), b, strict=True)) for n in starts
    )


def _close(a: float, b: float) -> bool:
    return abs(a - b) <= CLOSE_MM


def sawn(part: Part, turned: bool) -> Sawn:
    """Material, thickness, profile, openings and bevels of a part as it lies, or turned end for end."""
    left, right = _round(part.left_bevel_deg), _round(part.right_bevel_deg)
    openings = tuple(sorted(_ring(part, o, turned) for o in part.openings))
    profile = _ring(part, part.ring, turned)
    thick_mm = _round(part.thickness_mm)
    top = _round(part.top_tilt_deg)  # turned end for end it is the foot that is cut to a slope
    bevels = (right, left, 0.0, top) if turned else (left, right, top, 0.0)
    return part.material, thick_mm, profile, openings, bevels


def drilled(part: Part, turned: bool) -> list[Drilled]:
    """Every hole, without its notes."""
    return [_hole(part, h, turned) for h in part.holes]


def _hole(part: Part, hole: Hole, turned: bool) -> Drilled:
    x, y = _point(part, (hole.x_mm, hole.y_mm), turned)
    depth = -1.0 if hole.depth_mm is None else _round(hole.depth_mm)  # right through is no depth at all
    tilt = -hole.tilt_deg if turned else hole.tilt_deg
    slot = (_round(hole.slot_mm), _round(hole.slot_deg % 180.0)) if hole.is_slot else (0.0, 0.0)
    sizes = (_round(hole.diameter_mm), depth, str(hole.face), _round(tilt), *slot, _round(hole.opened_mm))
    return str(hole.kind), x, y, *sizes


def _ring(part: Part, ring: Ring, turned: bool) -> tuple[Point, ...]:
    """The ring from its least corner on."""
    points = [_point(part, p, turned) for p in ring]
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])


def _point(part: Part, p: Point, turned: bool) -> Point:
    x, y = (part.length_mm - p[0], part.width_mm - p[1]) if turned else p
    return _round(x), _round(y)


def _round(mm: float) -> float:
    return round(mm, DIGITS) + 0.0  # no -0.0
