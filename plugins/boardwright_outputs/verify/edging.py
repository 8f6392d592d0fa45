"""Strips along the edges of boards put together again from their part drawings, by the stored placements.

Claim: every length of a strip as drawn stands where the pack has it, its inner face on the edge of its own
board; none stands in a board of its level or in another strip, and those of two boards keep the gap that was
set, so that the boards come apart.

What this does not know: what the strips are screwed to; walls, legs and control panels.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import shapely
from shapely import LineString, Polygon

from . import shapes
from .boards import local
from .members import AREA_MM2, CHORD_MM, HEIGHT_MM, SIZE_MM, drawn_size
from .opened import Opened, many
from .record import Board, EdgePiece, EdgeStrip, Part

OVER_ENDS = 3.0  # so many thicknesses a strip runs past corners, at both ends together
GAP_MM = 0.05
WOOD_MM2 = 0.05
SAME_LEVEL_MM = 1.0


def check_edging(opened: Opened) -> Iterator[str]:
    found: list[tuple[Board, str, Polygon]] = []
    for board in opened.pack.boards:
        parts = {p.id: p for p in board.parts}
        for strip in board.edging:
            for piece in strip.pieces:
                solid = _as_drawn(opened, board, strip, piece, parts.get(piece.id))
                if solid is not None:
                    found.append((board, piece.id, solid))
                    _on_edge(opened, board, strip, piece)
    _apart(opened, found)
    if found:
        yield (
            f"{many(len(found), 'strip')} along edges, read from the drawings, stand on their boards' edges, "
            "in no board, a gap apart at joints."
        )


def _as_drawn(
    opened: Opened, board: Board, strip: EdgeStrip, piece: EdgePiece, part: Part | None
) -> Polygon | None:
    """The piece in plan, board axes, as its drawing and placement have it; None: it is told or unreadable."""
    if part is None:
        opened.fault("BW-VERIFY-035", f"board {board.id}: no part is cut for {piece.id}", board=board.id)
        return None
    size = drawn_size(opened, part)
    if size is None:
        return None
    slack = 0.0
    if part.placement.path:
        line = LineString(part.placement.path)
        solid = line.buffer(part.thickness_mm / 2, cap_style="flat", join_style="mitre")
        slack = abs(line.length - size[0])
    else:
        solid = shapes.strip(part, size[0])
    off = shapes.off(solid, shapes.area((*piece.outer, *reversed(piece.inner))))
    high = max(
        abs(part.placement.z_mm - (strip.top_mm - strip.depth_mm)),
        abs(part.placement.z_mm + size[1] - strip.top_mm) - SIZE_MM,
    )
    if off > AREA_MM2 or high > HEIGHT_MM or slack > SIZE_MM or not isinstance(solid, Polygon):
        opened.fault(
            "BW-VERIFY-034",
            f"board {board.id}: strip {piece.id} as drawn and placed is not where its edge has it "
            f"({off:.1f} mm² aside, {high:.2f} mm too high or low)",
            board=board.id,
            item=piece.id,
        )
        return None
    return solid


def _on_edge(opened: Opened, board: Board, strip: EdgeStrip, piece: EdgePiece) -> None:
    """Its inner face lies on the edge of the board, but for what runs past corners."""
    edge = shapely.MultiLineString(
        [[*(local(board, p) for p in ring), local(board, ring[0])] for ring in (board.ring, *board.wells)]
    )
    off = LineString(piece.inner).difference(edge.buffer(CHORD_MM)).length
    if off > OVER_ENDS * strip.thickness_mm:
        opened.fault(
            "BW-VERIFY-046",
            f"board {board.id}: {off:.1f} mm of strip {piece.id} stand off the edge of the board",
            board=board.id,
            item=piece.id,
        )


def _apart(opened: Opened, found: list[tuple[Board, str, Polygon]]) -> None:
    """In no board of the level, in no other strip, and so far from other boards and their strips that these
    come apart."""
    gaps = {
        piece.id: float(opened.pack.settings.get(strip.kind, {}).get("joint_gap_mm", 0.0))
        for board in opened.pack.boards
        for strip in board.edging
        for piece in strip.pieces
    }
    placed = [
        (board, id_, shapely.transform(solid, lambda xy, b=board: [shapes.to_plan(b, *p) for p in xy]))
        for board, id_, solid in found
    ]
    boards = [(b, shapes.area(b.ring, b.wells)) for b in opened.pack.boards] if placed else []
    for board, id_, solid in placed:
        for other, shape in boards:
            if abs(other.level_mm - board.level_mm) < SAME_LEVEL_MM:
                apart = gaps[id_] / 2 if other is not board else 0.0
                _told(opened, board, id_, f"board {other.id}", solid, shape, apart)
    for (one, a, shape_a), (two, b, shape_b) in combinations(placed, 2):
        if abs(one.level_mm - two.level_mm) < SAME_LEVEL_MM:
            apart = min(gaps[a], gaps[b]) if one is not two else 0.0
            _told(opened, one, a, f"strip {b}", shape_a, shape_b, apart)


def _told(
    opened: Opened, board: Board, id_: str, what: str, solid: Polygon, other: Polygon, apart: float
) -> None:
    near = solid.distance(other)
    area = solid.intersection(other).area if near == 0 else 0.0
    if area > WOOD_MM2:
        says = f"stands in {what} ({area:.1f} mm²)"
    elif near < apart - GAP_MM:
        says = f"stands {near:.2f} mm from {what}, wanted are {apart:g} mm"
    else:
        return
    opened.fault("BW-VERIFY-046", f"board {board.id}: strip {id_} {says}", board=board.id, item=id_)
