"""Wood seen from a distance: prisms projected onto paper along parallel rays, hidden lines left away.

Claim: true geometry. Every line drawn is an edge of a part, projected by the camera; what a nearer face hides
is not drawn. Prisms do not go through each other, so a face that covers an edge is nearer along all of it.

Glossary
    camera    three unit vectors at right angles: to the right on paper, up on paper, towards the viewer
    prism     a part's plan shape between two heights
    slab      a piece of one whose top or whole is tilted

What this does not know: holes, bevels of saw cuts, round edges (they are drawn in their chords).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import line_through, sides, signed_area, snap_point, without_repeats
from boardwright_timber.model import BoardEdging, Frame, Joists, Member, Part, SeenLine

from ..parts.members import lengths_of
from .slabs import ON_TOP, Prism, Vector, bent_along, standing

if TYPE_CHECKING:
    from shapely import Geometry, Polygon

NEARER_MM = 0.05
SHORT_MM = 0.2  # shorter pieces of line are rounding
CHORD_MM = 1.0
SMOOTH_DEG = 15.0
ACROSS = 12  # each way over a face, to find a spot that is seen
SPOTS = 5  # for the name of a body
CLEAR_MM = 1.0  # of an edge


class Camera(NamedTuple):
    right: Vector
    up: Vector
    towards: Vector

    def on_paper(self, p: Vector) -> Point:
        return (_dot(self.right, p), _dot(self.up, p))


_R2, _R3, _R6 = math.sqrt(2), math.sqrt(3), math.sqrt(6)
FRONT = Camera((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
RIGHT_END = Camera((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
#: All three axes are shortened alike; the viewer stands in front, to the right and above.
ISOMETRIC = Camera((1 / _R2, 1 / _R2, 0.0), (-1 / _R6, 1 / _R6, 2 / _R6), (1 / _R3, -1 / _R3, 1 / _R3))


def prisms(frame: Frame, joists: Joists, parts: Sequence[Part], lift_mm: float = 0.0) -> list[Prism]:
    """Members and decks of a board, the decks ``lift_mm`` above their places."""
    found = [standing(m) for m, _ in in_place(frame, joists)]
    found += [Prism(False, b.outline, (), -b.depth_mm, 0.0) for b in frame.bent]
    for part in (p for p in parts if p.role in ON_TOP):
        low = part.placement.z_mm + lift_mm
        ring, *wells = (_placed(part, r) for r in (part.ring, *part.openings))
        flat = Prism(True, ring, tuple(wells), low, low + part.thickness_mm)
        found.append(bent_along(flat, part, frame.deck, low - part.placement.z_mm))
    return found


def edge_prisms(edging: BoardEdging) -> list[Prism]:
    """Strips along the edges of a board, length by length."""
    return [
        Prism(False, piece.outline, (), strip.bottom_mm, strip.top_mm)
        for strip in edging.strips
        for piece in strip.pieces
    ]


def in_place(frame: Frame, joists: Joists) -> list[tuple[Member, str]]:
    """Every member; one of several lengths by its lengths, the later ones each with the name of the whole."""
    seams = joists.seams_along
    return [
        (piece, m.id if begins else "")
        for m in (*frame.members, *joists.members)
        for begins, piece in lengths_of(m, seams.get(m.id, ()))
    ]


def _placed(part: Part, ring: Ring) -> Ring:
    """A lying part's ring in the board's axes, in chords no finer than CHORD_MM between its outermost
    corners, which stay: what is drawn is as long and as wide as the part."""
    import shapely

    place = part.placement
    a = math.radians(place.angle_deg)
    c, s = math.cos(a), math.sin(a)
    moved = [(place.x_mm + x * c - y * s, place.y_mm + x * s + y * c) for x, y in ring]
    outermost = sorted(
        {end(range(len(moved)), key=lambda n: moved[n][k]) for end in (min, max) for k in (0, 1)}
    )
    start = outermost[0]
    moved = [*moved[start:], *moved[:start], moved[start]]
    stops = [*(n - start for n in outermost), len(moved) - 1]
    kept: list[Point] = []
    for first, last in pairwise(stops):
        kept += list(shapely.LineString(moved[first : last + 1]).simplify(CHORD_MM).coords)[:-1]
    return tuple(kept)


class _Face(NamedTuple):
    """A flat face that looks towards the viewer: its shape on paper, and its distance d = a·u + b·v + c."""

    shape: Polygon
    slope: Vector


def seen(bodies: Iterable[Prism], camera: Camera) -> tuple[SeenLine, ...]:
    """The lines one sees of them, in the order of the bodies."""
    return _looked_at(bodies, camera)[0]


def seen_with_spots(
    bodies: Iterable[Prism], camera: Camera
) -> tuple[tuple[SeenLine, ...], tuple[tuple[Point, ...], ...]]:
    """The lines, and of each body spots that one sees, the best first; none where it is hidden."""
    import shapely

    lines, faces = _looked_at(bodies, camera)
    every = [face for own in faces for face in own]
    tree = shapely.STRtree([f.shape for f in every])
    return lines, tuple(_spots(own, every, tree.query) for own in faces)


def _spots(own: list[_Face], every: list[_Face], near: Callable[[Geometry], Any]) -> tuple[Point, ...]:
    """Seen spots of a body on its largest face that shows, as near as can be to that face's middle, and
    apart from each other."""
    import shapely

    mine = {id(face) for face in own}
    for face in sorted(own, key=lambda f: -round(f.shape.area, 3)):
        left, low, right, high = face.shape.bounds
        centre, apart = ((left + right) / 2, (low + high) / 2), math.hypot(right - left, high - low) / SPOTS
        tries = [
            (left + (right - left) * (i + 0.5) / ACROSS, low + (high - low) * (j + 0.5) / ACROSS)
            for i in range(ACROSS)
            for j in range(ACROSS)
        ]
        inner = face.shape.buffer(-CLEAR_MM)
        found: list[Point] = []
        tries.sort(key=lambda p: (round(math.dist(p, centre), 6), p))
        within = shapely.contains_xy(inner, tries).tolist()
        for u, v in (p for p, is_within in zip(tries, within, strict=True) if is_within):
            if any(math.dist((u, v), other) < apart for other in found):
                continue
            spot, depth = shapely.Point(u, v), _depth(face, u, v) + NEARER_MM
            over = (every[k] for k in near(spot.buffer(CLEAR_MM)).tolist())
            if not any(
                f.shape.dwithin(spot, CLEAR_MM) and _depth(f, u, v) > depth for f in over if id(f) not in mine
            ):
                found.append(snap_point((u, v)))
        if found:
            return tuple(found[:SPOTS])
    return ()


def _depth(face: _Face, u: float, v: float) -> float:
    return face.slope[0] * u + face.slope[1] * v + face.slope[2]


def _looked_at(bodies: Iterable[Prism], camera: Camera) -> tuple[tuple[SeenLine, ...], list[list[_Face]]]:
    """The lines one sees, and the faces of each body that look this way."""
    import shapely

    by_body: list[list[_Face]] = []
    faces: list[_Face] = []
    edges: dict[tuple[Vector, Vector], bool] = {}
    for body in bodies:
        own: list[_Face] = []
        by_body.append(own)
        smooth = _smooth(body)
        turned: Counter[tuple[Vector, Vector]] = Counter()  # upright edges of curves
        for rings in _faces(body, camera):
            shape = shapely.Polygon(
                [camera.on_paper(p) for p in rings[0]], [[camera.on_paper(p) for p in r] for r in rings[1:]]
            )
            if shape.area > SHORT_MM:
                own.append(_Face(shape, _plane(rings[0], camera)))
            for ring in rings:
                for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
                    if body.inside(a[:2], b[:2]):
                        continue
                    if a[:2] != b[:2] or a[:2] not in smooth:
                        edges.setdefault((min(a, b), max(a, b)), body.deck)
                    else:
                        turned[min(a, b), max(a, b)] += 1
        faces += own
        for edge, sides_seen in turned.items():
            if sides_seen == 1:  # where the curve turns away from the viewer
                edges.setdefault(edge, body.deck)
    tree = shapely.STRtree([f.shape for f in faces])
    lines = tuple(
        SeenLine(deck, snap_point(start), snap_point(end))
        for (a, b), deck in edges.items()
        for start, end in _visible(a, b, camera, faces, tree.query)
    )
    return lines, by_body


def _smooth(body: Prism) -> set[Point]:
    """Corners that stand for a curve: no upright line is drawn there."""
    found = set()
    for ring in map(without_repeats, (body.ring, *body.wells)):
        for n, at in enumerate(ring):
            before, after = ring[n - 1], ring[(n + 1) % len(ring)]
            if abs(line_through(before, at).turn_to(line_through(at, after))) < SMOOTH_DEG:
                found.add(at)
    return found


def _faces(body: Prism, camera: Camera) -> list[list[tuple[Vector, ...]]]:
    """Corners of the faces that look towards the viewer: outline, then holes."""
    found: list[list[tuple[Vector, ...]]] = []
    for slab in body.pieces():
        rings = (slab.ring, *slab.wells)
        for plane, up in ((slab.roof, 1.0), (slab.floor, -1.0)):
            tilt = camera.towards[2] - plane[0] * camera.towards[0] - plane[1] * camera.towards[1]
            if up * tilt > 1e-9:
                found.append([tuple(_on(plane, p) for p in ring) for ring in rings])
        for n, ring in enumerate(rings):
            anticlockwise = signed_area(ring) > 0
            outward = 1.0 if anticlockwise == (n == 0) else -1.0  # wood on the left of a turned ring
            for a, b in sides(ring):
                if outward * ((b[1] - a[1]) * camera.towards[0] - (b[0] - a[0]) * camera.towards[1]) > 1e-9:
                    low, high = slab.floor, slab.roof
                    found.append([(_on(low, a), _on(low, b), _on(high, b), _on(high, a))])
    return found


def _on(plane: Vector, p: Point) -> Vector:
    """A place in plan, on a plane."""
    return (*p, plane[0] * p[0] + plane[1] * p[1] + plane[2])


def _plane(corners: tuple[Vector, ...], camera: Camera) -> Vector:
    """Distance towards the viewer as a plane over paper, from the three corners that span most."""
    points = [(*camera.on_paper(p), _dot(camera.towards, p)) for p in corners]
    best: tuple[float, Vector] = (0.0, (0.0, 0.0, points[0][2]))
    (u0, v0, d0), rest = points[0], points[1:]
    for n, (u1, v1, d1) in enumerate(rest):
        for u2, v2, d2 in rest[n + 1 :]:
            area = (u1 - u0) * (v2 - v0) - (u2 - u0) * (v1 - v0)
            if abs(area) > best[0]:
                a = ((d1 - d0) * (v2 - v0) - (d2 - d0) * (v1 - v0)) / area
                b = ((d2 - d0) * (u1 - u0) - (d1 - d0) * (u2 - u0)) / area
                best = (abs(area), (a, b, d0 - a * u0 - b * v0))
        if n > 40:  # a deck with a long curved edge: far enough
            break
    return best[1]


def _visible(
    a: Vector, b: Vector, camera: Camera, faces: list[_Face], near: Callable[[Geometry], Any]
) -> list[tuple[Point, Point]]:
    """The stretches of an edge that no nearer face covers."""
    import shapely

    start, end = camera.on_paper(a), camera.on_paper(b)
    length = math.dist(start, end)
    if length < SHORT_MM:
        return []
    line = shapely.LineString((start, end))
    from_d, to_d = _dot(camera.towards, a), _dot(camera.towards, b)
    hidden: list[tuple[float, float]] = []
    over = [faces[k] for k in sorted(near(line).tolist())]
    pieces, which = shapely.get_parts(shapely.intersection([f.shape for f in over], line), return_index=True)
    seen = shapely.length(pieces) >= SHORT_MM
    middles = shapely.get_coordinates(shapely.line_interpolate_point(pieces[seen], 0.5, normalized=True))
    for piece, k, middle in zip(pieces[seen], which[seen], middles.tolist(), strict=True):
        s, t = (math.dist(start, at) / length for at in (piece.coords[0], piece.coords[-1]))
        if _depth(over[k], *middle) > from_d + (to_d - from_d) * (s + t) / 2 + NEARER_MM:
            hidden.append((min(s, t), max(s, t)))
    found, at = [], 0.0
    for s, t in [*sorted(hidden), (1.0, 1.0)]:
        if (s - at) * length >= SHORT_MM:
            found.append((_between(start, end, at), _between(start, end, s)))
        at = max(at, t)
    return found


def _between(a: Point, b: Point, share: float) -> Point:
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
