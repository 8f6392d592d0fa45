"""Turnouts, drawn joints, obstacles and lift-out marks from what lies on their layers."""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from ..findings import Notes, Place
from . import rings
from .drawn import Block, Curve, Drawn, Mark
from .model import DrawnJoint, LiftOut, Obstacle, Point, Turnout
from .names import next_free, number_rest

_SHORTEST_MM = 20.0
"""A closed outline shorter than this is no turnout's in any scale sold. Common practice, no source."""


def _by_place(curves: Sequence[Curve]) -> list[tuple[tuple[Point, ...], Curve]]:
    """Curves as snapped runs (closed ones back at their start), in order of place, empty ones dropped."""
    runs = [(rings.run((*c.points, c.points[0]) if c.closed and c.points else c.points), c) for c in curves]
    return sorted(((r, c) for r, c in runs if len(r) > 1), key=lambda rc: (min(rc[0][0], rc[0][-1]), rc[0]))


def turnouts(drawn: Drawn, blocks: Sequence[Block], strays: int, notes: Notes) -> tuple[Turnout, ...]:
    """One turnout a block insert; its ring is the convex hull of all that is drawn in the block."""
    import shapely

    if strays:
        notes.caution(
            "BW-READ-023",
            f"{strays} loose line{'s' if strays > 1 else ''} on the turnout layers: "
            "block inserts and closed outlines are read as turnouts",
            Place(file=drawn.file),
            "Make a block of each turnout, draw a closed line round it, or move the lines away.",
        )
    made: dict[str, Turnout] = {}
    for block, given in number_rest(blocks, "T"):
        place = msgspec.structs.replace(drawn.place(block), item=given)
        name, again = given, 2
        while name in made:
            name, again = f"{given}-{again}", again + 1
        if name != given:
            notes.mended("BW-READ-030", f"another turnout is called {given}; this one becomes {name}", place)
        hull = shapely.convex_hull(shapely.MultiPoint([p for c in block.curves for p in c.points]))
        ring = rings.ring(hull.exterior.coords) if isinstance(hull, shapely.Polygon) else ()
        if not ring:
            notes.caution(
                "BW-READ-031",
                f"block {block.name!r} on a turnout layer holds no drawing with an area and is left out",
                place,
                "Draw the turnout's rails or sleepers in the block.",
            )
            continue
        x, y = rings.snap(block.x_mm, block.y_mm)
        made[name] = Turnout(id=name, x_mm=x, y_mm=y, ring=ring, place=place)
    return tuple(t for _, t in sorted(made.items()))


def outlined(
    drawn: Drawn,
    curves: Sequence[Curve],
    turnouts: Sequence[Turnout],
    partings: Sequence[Point],
    notes: Notes,
) -> tuple[Turnout, ...]:
    """The turnouts, and one more for each closed outline that is drawn round no turnout yet.

    Outlines that overlap are of one turnout (its rails or sleepers). Its place is where tracks part in it,
    else its middle.
    """
    import shapely

    closed = [(ring, c) for c in curves if c.closed and (ring := rings.ring(c.points))]
    areas = [shapely.Polygon(ring) for ring, _ in closed]
    if not closed:
        return tuple(turnouts)
    standing = shapely.unary_union([shapely.Polygon(t.ring) for t in turnouts])
    whole = [
        shapely.convex_hull(g) for g in shapely.get_parts(shapely.union_all([a.buffer(0) for a in areas]))
    ]
    used, made, n = {t.id for t in turnouts}, [], 0
    for hull in sorted(whole, key=lambda h: rings.ring(h.exterior.coords)):
        if (
            hull.intersects(standing)
            or max(hull.bounds[2] - hull.bounds[0], hull.bounds[3] - hull.bounds[1]) < _SHORTEST_MM
        ):
            continue
        inside = sorted(p for p in partings if hull.intersects(shapely.Point(p)))
        x, y = inside[0] if inside else rings.snap(hull.centroid.x, hull.centroid.y)
        n = next_free(used, "T", n + 1)
        curve = next(c for (_, c), a in zip(closed, areas, strict=True) if a.intersects(hull))
        place = msgspec.structs.replace(drawn.place(curve), item=f"T{n:02d}")
        made.append(
            Turnout(id=f"T{n:02d}", x_mm=x, y_mm=y, ring=rings.ring(hull.exterior.coords), place=place)
        )
    if made:
        notes.note(
            "BW-READ-086",
            f"{len(made)} closed outline{'s' if len(made) > 1 else ''} on the turnout layers "
            f"{'are' if len(made) > 1 else 'is'} read as the ground of turnouts",
            [t.place for t in made[:5]],
            "Nothing, if they are. Blocks tell more: their insertion point is where the motor goes.",
        )
    return tuple(sorted((*turnouts, *made), key=lambda t: t.id))


TWICE_MM = 1.0
"""Two joints on one layer whose ends lie this near to each other are one, drawn twice."""


def joints(drawn: Drawn, curves: Sequence[Curve], notes: Notes) -> tuple[DrawnJoint, ...]:
    """Straight lines, numbered by place."""
    made: list[DrawnJoint] = []
    for run, curve in _by_place(curves):
        straight = _straight(run)
        if curve.closed or not straight:
            notes.caution(
                "BW-READ-021",
                "a drawn joint must be one straight line; this is left out",
                drawn.place(curve),
                "Draw one line from edge to edge.",
            )
            continue
        start, end = sorted((run[0], run[-1]))
        alike = (j for j in made if j.place.layer == curve.layer and _ends_apart(j, start, end) <= TWICE_MM)
        if twin := next(alike, None):
            notes.mended(
                "BW-READ-098",
                f"joint {twin.id} is drawn twice; one is used",
                (twin.place, drawn.place(curve)),
                "Delete one of the two, when convenient.",
            )
            continue
        made.append(DrawnJoint(id=f"J{len(made) + 1}", start=start, end=end, place=drawn.place(curve)))
    return tuple(made)


def _ends_apart(joint: DrawnJoint, start: Point, end: Point) -> float:
    """How far the ends of a joint lie from two points, either way round."""
    return min(
        max(math.dist(joint.start, a), math.dist(joint.end, b)) for a, b in ((start, end), (end, start))
    )


def _straight(run: tuple[Point, ...]) -> bool:
    """Whether all points lie on the line from first to last, to 0.01 mm."""
    import shapely

    line = shapely.LineString((run[0], run[-1]))
    return run[0] != run[-1] and all(line.distance(shapely.Point(p)) <= 0.01 for p in run[1:-1])


def obstacles(drawn: Drawn, curves: Sequence[Curve], gap_mm: float, notes: Notes) -> tuple[Obstacle, ...]:
    """Closed shapes, or loose pieces that close, in order of their lowest-left point."""
    from .chains import assemble
    from .outline import self_crossings

    pieces = [c for c in curves if not c.closed]
    assembled = assemble([c.points for c in pieces], gap_mm)
    shapes = [(c.points, c) for c in curves if c.closed]
    shapes += [(chain.points, pieces[chain.members[0]]) for chain in assembled.rings]
    found = sorted(((rings.ring(p), c) for p, c in shapes), key=lambda rc: rc[0])
    open_ones = [pieces[chain.members[0]] for chain in assembled.loose]
    for curve in [*open_ones, *(c for r, c in found if not r or self_crossings(r))]:
        notes.caution(
            "BW-READ-022",
            "an obstacle must be a closed shape that does not cross itself; this is left out",
            drawn.place(curve),
            "Close it, or move it to another layer.",
        )
    sound = [(r, c) for r, c in found if r and not self_crossings(r)]
    return tuple(Obstacle(id=f"X{n}", ring=r, place=drawn.place(c)) for n, (r, c) in enumerate(sound, 1))


def lift_outs(
    drawn: Drawn, blocks: Sequence[Block], marks: Sequence[Mark], curves: Sequence[Curve]
) -> tuple[LiftOut, ...]:
    """Inserts, points, and the middles of closed shapes, in order of place."""
    spots = [(rings.snap(b.x_mm, b.y_mm), drawn.place(b)) for b in blocks]
    spots += [(rings.snap(m.x_mm, m.y_mm), drawn.place(m)) for m in marks]
    for curve in curves:
        ring = rings.ring(curve.points) if curve.closed else ()
        if ring:
            spots.append((_middle(ring), drawn.place(curve)))
    return tuple(
        LiftOut(id=f"L{n}", x_mm=at[0], y_mm=at[1], place=place)
        for n, (at, place) in enumerate(sorted(spots, key=lambda s: s[0]), 1)
    )


def _middle(ring: tuple[Point, ...]) -> Point:
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    return rings.snap((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
