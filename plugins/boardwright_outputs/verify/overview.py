"""Drawings of boards and of the whole layout: the right ones, at full size.

Claim: each board's drawing says its name and shows its edge in its own axes; the general arrangement shows
every board's edge, in plan axes where the layout has one level.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely import Polygon

from ..drawings import names
from . import shapes
from .dxf import Drawn
from .opened import Opened, many
from .record import Board

AREA_MM2 = 1.0
PLACE_MM = 0.01


def check_overviews(opened: Opened) -> Iterator[str]:
    boards = opened.pack.boards
    for board in boards:
        path = names.board_path(board.id)
        drawn = opened.drawing(path, f"board {board.id}")
        if drawn is None:
            continue
        if not any(t.text.startswith(f"Board {board.id}, ") for t in drawn.texts):
            opened.fault(
                "BW-VERIFY-029",
                f"board {board.id}: its drawing does not say its name: it may be another board's",
                file=path,
                board=board.id,
            )
        ring = Polygon([_local(board, p) for p in board.ring])
        _shown(opened, drawn, board, ring, path, exactly=True)
    drawn = opened.drawing(names.GENERAL_ARRANGEMENT, "the general arrangement")
    for board in boards if drawn else ():
        assert drawn is not None
        alone = len({o.level_mm for o in opened.pack.plan.outlines}) == 1
        _shown(opened, drawn, board, Polygon(board.ring), names.GENERAL_ARRANGEMENT, exactly=alone)
    yield (f"{many(len(boards), 'board drawing')} and the general arrangement show each edge at full size.")


def _shown(opened: Opened, drawn: Drawn, board: Board, ring: Polygon, path: str, *, exactly: bool) -> None:
    wanted = ring.bounds
    for run in drawn.runs:
        if run.layer != "OUTLINE" or not run.closed or len(run.corners) < 3:
            continue
        seen = Polygon(shapes.bulged(run))
        b = seen.bounds
        near = (
            max(abs(p - q) for p, q in zip(b, wanted, strict=True))
            if exactly
            else max(abs((b[n + 2] - b[n]) - (wanted[n + 2] - wanted[n])) for n in (0, 1))
        )
        if near <= PLACE_MM and abs(seen.area - ring.area) <= AREA_MM2:
            return
    opened.fault(
        "BW-VERIFY-065",
        f"{path} does not show the edge of board {board.id} at its size and in its place",
        file=path,
        board=board.id,
    )


def _local(board: Board, p: tuple[float, float]) -> tuple[float, float]:
    a = math.radians(board.angle_deg)
    c, s = math.cos(a), math.sin(a)
    dx, dy = p[0] - board.origin[0], p[1] - board.origin[1]
    return dx * c + dy * s, -dx * s + dy * c
