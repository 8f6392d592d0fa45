"""Lines of supports across a board: one trestle or bracket under each, and which way they run.

Claim: lines run across the longer way of the frame. The arms of brackets come from a wall, and no wall
stands where another board is met: they run the other way where more of the two edges there are free. So the
boards of a shelf deeper than they are wide have their arms from its long edge, those at its ends as well.
Girders run along a board and carry all of it, so lines run across them whatever is met.

What this does not know: where the walls are.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright_timber.model import Board, Frame, MemberRole, SupportPoint

SAME_MM = 1.0  # places so near each other along the board stand in one line
TAKEN_MM = 2.0  # an edge this near a joint meets the board beyond: a lift-out stands back by a little
SHARES = (0.25, 0.5, 0.75)  # where along the board it is looked whether its edge is free


def way(board: Board, frame: Frame, kind: str) -> int:
    """The axis of the board (0: along it, 1: across) in which the lines follow each other."""
    if any(m.role is MemberRole.GIRDER for m in frame.members):
        return 0
    xs, ys = zip(*frame.outer, strict=True)
    longer = 0 if max(xs) - min(xs) >= max(ys) - min(ys) else 1
    if kind != "brackets" or free_edges(board, longer) >= free_edges(board, 1 - longer):
        return longer
    return 1 - longer


def free_edges(board: Board, along: int) -> int:
    """At how many of the two edges that lines across run between, lines that follow each other along this
    axis, there is a place where no board is met."""
    import shapely

    ring = [board.to_local(p) for p in board.ring]
    edge = shapely.Polygon(ring)
    seams = shapely.MultiLineString([[board.to_local(p) for p in (j.start, j.end)] for j in board.joints])
    low, high = (f(p[along] for p in ring) for f in (min, max))
    near, far = (f(p[1 - along] for p in ring) for f in (min, max))
    free = set()
    for share in SHARES:
        at = low + share * (high - low)
        ends = ((at, near), (at, far)) if along == 0 else ((near, at), (far, at))
        met = shapely.LineString(ends).intersection(edge).bounds
        for side, end in enumerate((met[:2], met[2:])):
            if seams.is_empty or seams.distance(shapely.Point(end)) > TAKEN_MM:
                free.add(side)
    return len(free)


def rows_of(points: Iterable[SupportPoint], along: int) -> list[tuple[SupportPoint, ...]]:
    """Places in lines across, in order along the axis."""

    def at(p: SupportPoint) -> float:
        return p.x_mm if along == 0 else p.y_mm

    rows: list[list[SupportPoint]] = []
    for p in sorted(points, key=at):
        if rows and at(p) - at(rows[-1][0]) <= SAME_MM:
            rows[-1].append(p)
        else:
            rows.append([p])
    return [tuple(row) for row in rows]
