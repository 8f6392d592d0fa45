"""Wood in paint: the faces of prisms that look towards the viewer, ordered from the farthest to the nearest.

Claim: painted in this order, and with any of them left out, what is nearer covers what is behind it, because
the order holds for every pair: of two prisms that do not go through each other some upright or level plane
parts one from the other, and the one on the viewer's side of it is painted later. Three that hide each other
in a ring have no such order; the farther middle then goes first.

Glossary
    prism   a convex plan shape between two heights (a member), or a deck, which lies above all members, or a
            strip bent round some of them: of it and another the one that covers more of the other comes later

What this does not know: holes, bevels of saw cuts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import line_through, sides, signed_area, snap_point, turn_rad
from boardwright_timber.model import SeenBody, SeenFace, Tone

from ..viewing.slabs import Prism
from ..viewing.solids import ISOMETRIC, SMOOTH_DEG

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

TOUCH_MM = 0.05
STRAIGHT_RAD = 1e-6
type Vector = tuple[float, float, float]


class Body(msgspec.Struct, frozen=True):
    part: str
    prism: Prism
    of: str = ""


def painted(bodies: Sequence[Body]) -> tuple[SeenBody, ...]:
    """Their faces on paper, farthest first."""
    return tuple(_seen(bodies[n]) for n in back_to_front([b.prism for b in bodies]))


def back_to_front(prisms: Sequence[Prism]) -> list[int]:
    """Places of the prisms in the order they are painted; of those free to go, the farthest first."""
    boxes = [_paper_box(p) for p in prisms]
    behind: list[set[int]] = [set() for _ in prisms]  # who must be painted before
    for i, a in enumerate(prisms):
        for j in range(i + 1, len(prisms)):
            if not _overlap(boxes[i], boxes[j]):
                continue
            nearer = _which_is_nearer(a, prisms[j])
            if nearer:
                first, later = (i, j) if nearer > 0 else (j, i)
                behind[later].add(first)
    far = [_nearness(p) for p in prisms]
    left, order = sorted(range(len(prisms)), key=lambda n: (far[n], n)), []
    while left:
        n = next((n for n in left if not behind[n]), left[0])
        left.remove(n)
        order.append(n)
        for others in behind:
            others.discard(n)
    return order


def _which_is_nearer(a: Prism, b: Prism) -> int:
    """1: ``b`` may cover ``a``; -1: ``a`` may cover ``b``; 0: neither, or they go through each other."""
    if (a.deck and a.slabs) or (b.deck and b.slabs):
        return _beside_a_climb(a, b)
    if a.high <= b.low + TOUCH_MM:
        return 1
    if b.high <= a.low + TOUCH_MM:
        return -1
    tx, ty, _ = ISOMETRIC.towards
    for first, second, sign in ((a, b, 1), (b, a, -1)):
        if not _is_convex(first.ring):
            continue
        turned = 1.0 if signed_area(first.ring) > 0 else -1.0
        for p, q in sides(first.ring):
            length = math.dist(p, q)
            if length < TOUCH_MM:
                continue
            nx, ny = turned * (q[1] - p[1]) / length, -turned * (q[0] - p[0]) / length  # out of ``first``
            if all((x - p[0]) * nx + (y - p[1]) * ny >= -TOUCH_MM for x, y in second.ring):
                facing = nx * tx + ny * ty
                return 0 if abs(facing) < 1e-9 else sign if facing > 0 else -sign
    return _round_each_other(a, b)


def _is_convex(ring: Ring) -> bool:
    turns = [turn_rad(*corner) for corner in zip(ring, ring[1:] + ring[:1], ring[2:] + ring[:2], strict=True)]
    return min(turns) >= -STRAIGHT_RAD or max(turns) <= STRAIGHT_RAD


def _round_each_other(a: Prism, b: Prism) -> int:
    """The same of two that no plane parts, as a strip bent round another: the nearer one is met by more of
    the other's plan on its way towards the viewer."""
    import shapely

    one, two = shapely.Polygon(a.ring), shapely.Polygon(b.ring)
    if not (one.is_valid and two.is_valid):
        return 0
    left, low, right, high = shapely.union(one, two).bounds
    far = right - left + high - low
    tx, ty, _ = ISOMETRIC.towards
    way = far * tx, far * ty
    covers = two.intersection(_swept(one, way)).area - one.intersection(_swept(two, way)).area
    return 0 if abs(covers) < TOUCH_MM else 1 if covers > 0 else -1


def _swept(shape: Polygon, way: Point) -> BaseGeometry:
    """All that a shape passes over on its way."""
    import shapely

    dx, dy = way
    edge = shape.exterior.coords
    passed = [
        shapely.Polygon([(ax, ay), (bx, by), (bx + dx, by + dy), (ax + dx, ay + dy)])
        for (ax, ay), (bx, by) in pairwise(edge)
        if abs((bx - ax) * dy - (by - ay) * dx) > TOUCH_MM
    ]
    return shapely.union_all([shape, *passed])


def _beside_a_climb(a: Prism, b: Prism) -> int:
    """The same where one is a deck that climbs: where both are, the upper one is nearer; else the one that
    is nearer in plan."""
    import shapely

    one, two = (shapely.Polygon(p.ring, p.wells) for p in (a, b))
    over = one.intersection(two)
    if over.area > TOUCH_MM:
        at = over.representative_point()
        return 1 if sum(a.heights((at.x, at.y))) < sum(b.heights((at.x, at.y))) else -1
    here, there = shapely.get_coordinates(shapely.shortest_line(one, two)).tolist()
    tx, ty, _ = ISOMETRIC.towards
    ahead = (there[0] - here[0]) * tx + (there[1] - here[1]) * ty
    return 0 if abs(ahead) < TOUCH_MM else 1 if ahead > 0 else -1


def _seen(body: Body) -> SeenBody:
    prism = body.prism
    faces = [SeenFace(Tone.TOP, tuple(_on_paper(r, prism, 1) for r in (prism.ring, *prism.wells)))]
    faces += [
        SeenFace(tone, ((*_on_paper(run, prism, 0), *_on_paper(run[::-1], prism, 1)),))
        for tone, run in _upright_faces(prism)
    ]
    largest = max(faces, key=lambda f: (round(abs(signed_area(f.rings[0])), 3), f.tone))
    xs, ys = [p[0] for p in largest.rings[0]], [p[1] for p in largest.rings[0]]
    at = _on(largest.rings[0], ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2))
    return SeenBody(part=body.part, faces=tuple(faces), at=at, of=body.of)


def _on(ring: Ring, wanted: Point) -> Point:
    """The point wanted, or one on the face where it is bent round that."""
    import shapely

    face = shapely.Polygon(ring)
    spot = shapely.Point(wanted)
    if not face.is_valid or face.contains(spot):
        return snap_point(wanted)
    on = face.representative_point()
    return snap_point((on.x, on.y))


def _upright_faces(prism: Prism) -> list[tuple[Tone, Ring]]:
    """Runs of plan sides that look towards the viewer, those of one smooth curve together."""
    tx, ty, _ = ISOMETRIC.towards
    found: list[tuple[Tone, Ring]] = []
    for n, ring in enumerate((prism.ring, *prism.wells)):
        outward = 1.0 if (signed_area(ring) > 0) == (n == 0) else -1.0
        runs: list[tuple[Tone, list[Point]]] = []
        for a, b in sides(ring):
            nx, ny = outward * (b[1] - a[1]), -outward * (b[0] - a[0])
            if nx * tx + ny * ty <= 1e-9 * math.dist(a, b):
                continue
            tone = Tone.LEFT if -ny >= nx else Tone.RIGHT  # the front is to the left on paper
            last = runs[-1][1] if runs else None
            if (
                last
                and runs[-1][0] is tone
                and last[-1] == a
                and abs(line_through(last[-2], a).turn_to(line_through(a, b))) < SMOOTH_DEG
            ):
                last.append(b)
            else:
                runs.append((tone, [a, b]))
        found += [(tone, tuple(run)) for tone, run in runs]
    return found


def _on_paper(ring: Ring, prism: Prism, end: int) -> Ring:
    """A run round a prism on paper, at its bottom (0) or its top (1)."""
    return tuple(snap_point(ISOMETRIC.on_paper((*p, prism.heights(p)[end]))) for p in ring)


def _nearness(prism: Prism) -> float:
    """How near the viewer the middle of a prism is, mm."""
    x = sum(p[0] for p in prism.ring) / len(prism.ring)
    y = sum(p[1] for p in prism.ring) / len(prism.ring)
    tx, ty, tz = ISOMETRIC.towards
    return round(x * tx + y * ty + (prism.low + prism.high) / 2 * tz, 6)


def _paper_box(prism: Prism) -> tuple[float, float, float, float]:
    points = [ISOMETRIC.on_paper((x, y, z)) for x, y in prism.ring for z in (prism.low, prism.high)]
    us, vs = [p[0] for p in points], [p[1] for p in points]
    return min(us), min(vs), max(us), max(vs)


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
