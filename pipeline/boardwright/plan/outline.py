"""The edge of the layout: closed shapes and loose pieces on the outline layers become outlines with wells."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import msgspec

from ..findings import Notes, Place
from . import chains, noding, notches, rings, spikes
from .coincident import doubled
from .drawn import Curve, Drawn
from .model import Circle, Outline, Point, Ring

_WIDEST_GAP_MM = 50.0
"""``gap_mm`` may not be set wider than this."""
_NARROWEST_MM = 10.0
"""A surface that is nowhere as wide as this is none to build. Common practice, no source."""


def outlines(
    drawn: Drawn,
    shapes: Sequence[Curve],
    gap_mm: float,
    notes: Notes,
    problems: Notes,
    chord_error_mm: float = 0.05,
) -> tuple[Outline, ...]:
    """Outlines in order of their lowest-left point, named O1, O2, …; wells inside them.

    Two edges are one drawn twice when they stray from each other by no more than ``gap_mm`` and the error
    that curves are flattened with.
    """
    found: list[tuple[Ring, Curve]] = []
    pieces: list[Curve] = []
    for shape in shapes:
        ends_meet = math.dist(shape.points[0], shape.points[-1]) <= gap_mm if shape.points else False
        if shape.closed or (ends_meet and len(shape.points) > 3):
            found.append((rings.ring(shape.points), shape))
        else:
            pieces.append(shape)
    spikes.tell(drawn, found, notes)
    circles = [circle for shape in shapes for circle in shape.circles]
    found += _assembled(drawn, pieces, gap_mm, chord_error_mm, found, circles, notes, problems)
    sound = [(r, s) for r, s in found if r and not _crosses_itself(drawn, r, s, problems)]
    if not sound and not problems.findings:
        problems.fault(
            "BW-READ-011",
            "there is no closed outline: the outline layers hold nothing that encloses an area",
            Place(file=drawn.file),
            "Draw the edge as a closed polyline, or as lines and arcs that meet, on that layer.",
        )
    single = _once(drawn, sound, gap_mm + chord_error_mm, notes)
    return _nest(drawn, single, circles, gap_mm + chord_error_mm, notes, problems)


def _once(
    drawn: Drawn, found: list[tuple[Ring, Curve]], within_mm: float, notes: Notes
) -> list[tuple[Ring, Curve]]:
    """Every closed edge once, though it be drawn twice: rather the one whose circles are known."""
    twice = doubled([r for r, _ in found], [bool(s.circles) for _, s in found], within_mm)
    for drop, keep in sorted(twice.items()):
        notes.mended(
            "BW-READ-016",
            "a part of the edge is drawn twice; one is used",
            (drawn.place(found[keep][1]), drawn.place(found[drop][1])),
            "Delete one of the two, when convenient.",
        )
    return [pair for i, pair in enumerate(found) if i not in twice]


def _at(p: Point) -> str:
    return f"({p[0]:.2f}, {p[1]:.2f})"


def _assembled(
    drawn: Drawn,
    pieces: list[Curve],
    gap_mm: float,
    chord_error_mm: float,
    closed: list[tuple[Ring, Curve]],
    circles: list[Circle],
    notes: Notes,
    problems: Notes,
) -> list[tuple[Ring, Curve]]:
    """Edges made of pieces. ``closed`` ones are there already; to ``circles`` go those found on the way."""
    made = chains.assemble([p.points for p in pieces], gap_mm)
    for i in made.doubles:
        notes.mended("BW-READ-016", "a piece of the edge is drawn twice; one is used", drawn.place(pieces[i]))
    if made.gaps:
        widest_at, widest = max(made.gaps, key=lambda g: g[1])
        notes.mended(
            "BW-READ-017",
            f"{len(made.gaps)} gap{'s' if len(made.gaps) > 1 else ''} between pieces of the edge "
            f"closed, the widest {widest:.3f} mm",
            Place(file=drawn.file, x_mm=widest_at[0], y_mm=widest_at[1]),
        )
    found = [(rings.ring(r.points), pieces[r.members[0]]) for r in made.rings]
    whole = [r for r, _ in (*closed, *found) if r]
    made = _without_doubles(drawn, pieces, made, whole, gap_mm + chord_error_mm, notes)
    if made.branches or made.loose:
        left = [pieces[i] for chain in made.loose for i in chain.members]
        met = _noded(drawn, left, gap_mm, notes)
        found += [(ring, left[group.members[0]]) for ring, group in met]
        circles += [circle for _, group in met for circle in group.circles]
        taken = {id(left[i]) for _, group in met for i in group.members}
        still = [c for c in made.loose if not any(id(pieces[i]) in taken for i in c.members)]
        if still:
            rest = msgspec.structs.replace(made, loose=tuple(still))
            _tell_loose(drawn, pieces, rest, gap_mm, bool(closed or found), notes, problems)
    return found


def _without_doubles(
    drawn: Drawn,
    pieces: list[Curve],
    made: chains.Assembled,
    found: list[Ring],
    within_mm: float,
    notes: Notes,
) -> chains.Assembled:
    """Leave out loose chains that lie on an edge that is whole without them."""
    import shapely

    if not found or not made.loose:
        return made
    near = [shapely.buffer(shapely.LinearRing(r), within_mm) for r in found]
    loose = []
    for chain in made.loose:
        if any(band.covers(shapely.LineString(chain.points)) for band in near):
            notes.mended(
                "BW-READ-016",
                "a part of the edge is drawn twice; one is used",
                drawn.place(pieces[chain.members[0]]),
            )
        else:
            loose.append(chain)
    return msgspec.structs.replace(made, loose=tuple(loose))


def _noded(drawn: Drawn, pieces: list[Curve], gap_mm: float, notes: Notes) -> list[tuple[Ring, noding.Group]]:
    """Rings of pieces that meet other than end to end, and what was done to get them."""
    made = []
    for group in noding.groups([p.points for p in pieces], gap_mm, [p.circles for p in pieces]):
        where = drawn.place(pieces[group.members[0]])
        if group.areas > 1:
            notes.caution(
                "BW-READ-013",
                f"lines inside the edge divide it into {group.areas} areas; they are read as one surface",
                where,
                "Put lines that are not the edge on another layer (wells must not touch the outer edge).",
            )
        else:
            notes.mended(
                "BW-READ-055",
                f"{len(group.members)} pieces of the edge overlap, or meet in the middle of each other; "
                f"the outermost line is taken",
                where,
            )
        if group.overshoots:
            longest = max(length for _, length in group.overshoots)
            notes.mended(
                "BW-READ-056",
                f"{len(group.overshoots)} ends that stick out of the edge are left off, the longest "
                f"{longest:.2f} mm",
                tuple(Place(file=drawn.file, x_mm=p[0], y_mm=p[1]) for p, _ in group.overshoots[:6]),
            )
        made.append((rings.ring(group.points), group))
    return made


def _tell_loose(
    drawn: Drawn,
    pieces: list[Curve],
    made: chains.Assembled,
    gap_mm: float,
    enough: bool,
    notes: Notes,
    problems: Notes,
) -> None:
    """Name the open ends, each with the nearest other one, and what would close them."""
    says, gaps = [], []
    for apart, p, q in _pairs([(chain.points[0], chain.points[-1]) for chain in made.loose]):
        gaps.append(apart)
        says.append(f"{_at(p)} and {_at(q)} are {apart:.2f} mm apart")
    widest = max(gaps)
    pieces_word = f"{len(made.loose)} chain{'s' if len(made.loose) > 1 else ''} of pieces"
    shown = "; ".join(says[:6]) + ("; and more" if len(says) > 6 else "")
    where = tuple(drawn.place(pieces[c.members[0]]) for c in made.loose[:6])
    if enough:
        notes.caution(
            "BW-READ-012",
            f"{pieces_word} on the outline layers do not close and are left out: {shown}",
            where,
            "Close them if they belong to the edge, or move them to another layer.",
        )
        return
    mend = "Draw the missing piece, or join the ends."
    if widest <= _WIDEST_GAP_MM:
        mend = f"Join the ends, or set gap_mm = {math.ceil(widest * 100 + 1) / 100:g} under [drawing]."
    problems.fault("BW-READ-011", f"the outline does not close: ends at {shown}", where, mend)


def _pairs(loose: Sequence[tuple[Point, Point]]) -> list[tuple[float, Point, Point]]:
    """Open ends two by two, with the distance: each with the nearest free end, rather another piece's.

    Of the first hundred pieces.
    """
    ends = [(p, k) for k, own in enumerate(loose[:100]) for p in own]
    pairs = [(i, j) for j in range(len(ends)) for i in range(j)]
    pairs.sort(
        key=lambda ij: (ends[ij[0]][1] == ends[ij[1]][1], math.dist(ends[ij[0]][0], ends[ij[1]][0]), ij)
    )
    free, found = set(range(len(ends))), []
    for i, j in pairs:
        if i in free and j in free:
            free -= {i, j}
            found.append((math.dist(ends[i][0], ends[j][0]), ends[i][0], ends[j][0]))
    return sorted(found)


def _crosses_itself(drawn: Drawn, ring: Ring, shape: Curve, problems: Notes) -> bool:
    crossings = self_crossings(ring)
    if not crossings:
        return False
    problems.fault(
        "BW-READ-014",
        f"the edge crosses or touches itself at {', '.join(map(_at, crossings[:6]))}"
        + (" and elsewhere" if len(crossings) > 6 else ""),
        (
            drawn.place(shape),
            *(Place(file=drawn.file, x_mm=x, y_mm=y) for x, y in crossings[:6]),
        ),
        "Trim the edge there, so that it goes round once.",
    )
    return True


def self_crossings(ring: Ring) -> tuple[Point, ...]:
    """Points where a ring crosses or touches itself, in order of (x, y)."""
    import shapely

    if shapely.Polygon(ring).is_valid:
        return ()
    count = len(ring)
    sides = [shapely.LineString((ring[i], ring[(i + 1) % count])) for i in range(count)]
    pairs = shapely.STRtree(sides).query(sides, predicate="intersects")
    found: set[Point] = set()
    for i, j in zip(*pairs.tolist(), strict=True):
        if i < j and j - i not in (1, count - 1):
            meeting = sides[i].intersection(sides[j])
            found.update(rings.snap(x, y) for x, y in meeting.coords)
    return tuple(sorted(found)) or (ring[0],)


def _nest(
    drawn: Drawn,
    found: list[tuple[Ring, Curve]],
    circles: list[Circle],
    within_mm: float,
    notes: Notes,
    problems: Notes,
) -> tuple[Outline, ...]:
    """Rings inside rings: a ring in an outline is a well, a ring in a well is an outline again."""
    import shapely

    distinct = dict(found)
    ordered = sorted(distinct, key=lambda r: (-abs(rings.area(r)), r))
    areas = [shapely.Polygon(r) for r in ordered]
    depth: list[int] = []
    parent: list[int] = []
    for i, inner in enumerate(areas):
        around = [j for j in range(i) if _holds(areas[j], inner, within_mm)]
        depth.append(len(around))
        parent.append(around[-1] if around else -1)
        clash = [j for j in range(i) if j not in around and _overlap(areas[j], inner)]
        for j in clash:
            spot = areas[j].intersection(inner).representative_point()
            problems.fault(
                "BW-READ-015",
                f"two closed edges overlap near {_at((spot.x, spot.y))}",
                (drawn.place(distinct[ordered[j]]), drawn.place(distinct[ordered[i]])),
                "Trim them to one edge, or move one to another layer.",
            )
    shape_of = {rings.ring(r, clockwise=True): distinct[r] for r in ordered}
    pieces: list[tuple[Ring, tuple[Ring, ...], Curve]] = []
    for i, ring in enumerate(ordered):
        if depth[i] % 2:
            continue
        wells = [
            rings.ring(ordered[k], clockwise=True)
            for k in range(len(ordered))
            if parent[k] == i and depth[k] % 2
        ]
        shape = distinct[ring]
        made = notches.cut(ring, wells, within_mm)
        _tell_notches(drawn, shape, [shape_of[w] for w in made.notches], notes)
        _tell_points(drawn, shape, [shape_of[w] for w in made.points], problems)
        where = (drawn.place(shape), *(drawn.place(shape_of[w]) for w in wells))
        for outer, inner in made.left:
            _tell_sliver(outer, inner, where, problems)
            pieces.append((outer, inner, shape))
    return tuple(
        Outline(
            id=f"O{n}",
            ring=ring,
            wells=wells,
            circles=rings.followed((ring, *wells), circles),
            place=_edge_place(drawn, shape),
        )
        for n, (ring, wells, shape) in enumerate(sorted(pieces, key=lambda p: p[:2]), 1)
    )


def _tell_notches(drawn: Drawn, edge: Curve, wells: Sequence[Curve], notes: Notes) -> None:
    if wells:
        notes.mended(
            "BW-READ-081",
            f"{len(wells)} well{'s' if len(wells) > 1 else ''} on the edge: the edge now goes round",
            (*(drawn.place(well) for well in wells), drawn.place(edge)),
            "Draw the well clear of the edge if a strip is to stay there. If it is another level's edge, "
            "name its layer in [[drawing.levels]].",
        )


def _tell_points(drawn: Drawn, edge: Curve, wells: Sequence[Curve], problems: Notes) -> None:
    for well in wells:
        problems.fault(
            "BW-READ-082",
            "a well touches the edge, or another well, in a single point",
            (drawn.place(well), drawn.place(edge)),
            "Move it clear of the edge, or let it lie on the edge with a whole side.",
        )


def _tell_sliver(ring: Ring, wells: Sequence[Ring], where: tuple[Place, ...], problems: Notes) -> None:
    """A fault when wells leave too little to be a surface: often an edge drawn twice, a little apart."""
    import shapely

    if not wells or not shapely.Polygon(ring, wells).buffer(-_NARROWEST_MM / 2).is_empty:
        return
    apart = shapely.LinearRing(ring).hausdorff_distance(shapely.LinearRing(wells[0]))
    mend = "If they are one edge drawn twice, delete one of them"
    close = apart <= _WIDEST_GAP_MM
    mend += f", or set gap_mm = {math.ceil(apart * 100) / 100:g} under [drawing]." if close else "."
    says = f"the surface between two closed edges is nowhere {_NARROWEST_MM:g} mm wide"
    problems.fault("BW-READ-057", says, where, mend)


def _edge_place(drawn: Drawn, shape: Curve) -> Place:
    return Place(file=drawn.file, layer=shape.layer, handle=shape.handle or None)


def _holds(outer: Any, inner: Any, within_mm: float) -> bool:
    """Whether one area holds another, which may reach over its edge by no more than a distance."""
    if outer.contains(inner):
        return True
    if not _overlap(outer, inner):
        return False
    return bool(outer.buffer(within_mm).contains(inner))


def _overlap(a: object, b: object) -> bool:
    import shapely

    return bool(shapely.intersection(a, b).area > 1e-3)
