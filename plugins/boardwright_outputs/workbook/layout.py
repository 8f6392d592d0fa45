"""Boards as they lie in the plan, with the tracks and turnouts on them: a picture a level."""

from __future__ import annotations

from collections.abc import Iterable

from boardwright.plan.model import Point, TrackPlan
from boardwright_timber.model import Board

from ..drawings.drawing import box_of
from ..drawings.thinning import thinned
from .sheet import Picture

_THIN_SHARE = 0.0005  # of the longer side: what a picture across a page cannot show


def seen_from_above(plan: TrackPlan, boards: Iterable[Board]) -> tuple[Picture, ...]:
    """Boards by level, the lowest first."""
    by_level: dict[float, list[Board]] = {}
    for board in boards:
        by_level.setdefault(board.level_mm, []).append(board)
    return tuple(
        _level(plan.at_level(level), found, f", level {level:g} mm" if len(by_level) > 1 else "")
        for level, found in sorted(by_level.items())
    )


def _level(plan: TrackPlan, boards: list[Board], level: str) -> Picture:
    lines = [t.points for t in plan.tracks if len(t.points) > 1]
    lines += [(*t.ring, t.ring[0]) for t in plan.turnouts if t.ring]
    whole = box_of([p for run in (*(b.ring for b in boards), *lines) for p in run])
    fine_mm = _THIN_SHARE * max(whole.width, whole.height)

    def moved(points: Iterable[Point]) -> tuple[Point, ...]:
        here = [(x - whole.left, y - whole.bottom) for x, y in points]
        return tuple(thinned(here, fine_mm))

    boxes, shapes = [], []
    for board in boards:
        rings = tuple(moved((*ring, ring[0]))[:-1] for ring in (board.ring, *board.wells))
        box = box_of(rings[0])
        boxes.append((box.left, box.bottom, box.width, box.height, board.id))
        shapes.append(rings)
    return Picture(
        title=f"Boards from above{level}",
        says=f"Boards {', '.join(b.id for b in boards)} as they lie in the plan{level}, with its tracks.",
        width_mm=whole.width,
        height_mm=whole.height,
        boxes=tuple(boxes),
        shapes=tuple(shapes),
        lines=tuple(map(moved, lines)),
        edged=False,
    )
