"""Joists that hold a well past which none can run (``trimmers``): without them its sides would hang between
those that happen to meet it.

Claim: such a well that is long enough gets a joist to each side of its middle, half its length apart (less
only where devices want it so), from its own sides out to the frame or the next well; one that is too short
for two gets one through its middle. A joist that is there already serves. A well with more than four corners
gets a strip along the board too, from its left and from its right to what stands next: its many short sides
would fold. Where none is allowed, none is set, and ``strength`` tells what the well does then.

Glossary
    tie     a strip from a well's side to what stands beyond it: a joist, or along the board
    middle  of a well's extent along the board

What this does not know: loads.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from boardwright.plan.model import Device, Ring
from boardwright_timber.model import Board, Member, MemberRole

from .noggins import Bays
from .pieces import pieces_at
from .places import Legal
from .region import Region
from .trimmers import CORNERS
from .trimmers import middle as middle_of

if TYPE_CHECKING:
    from shapely import Polygon

NEAR_MM = 0.1
STEP_MM = 2.0
STEEP = 0.8  # of half a well's length from its middle: beyond, a round well's side is too slanted to butt on


def ties(
    region: Region, wells: Sequence[Ring], like: Member, there: Sequence[Member], free: Legal, gap_mm: float
) -> list[Member]:
    """Joists more, well by well. ``wells``: each its hole and its sides; ``there``: joists and noggins."""
    import shapely

    t = like.thickness_mm
    found: list[Member] = []
    for well in wells:
        shape = shapely.Polygon(well)
        low, _, high, _ = shape.bounds
        middle, half = (low + high) / 2, (high - low) / 2
        off = max(half, t + gap_mm) / 2
        holding = [middle_of(m) for m in there if m.role is MemberRole.JOIST and _touches(m, shape)]
        halves = ((low, middle), (middle, high)) if off <= STEEP * half else ((low, high),)
        for a, b in halves:
            if any(a < x < b for x in holding):
                continue
            near = [middle_of(m) for m in (*there, *found) if m.role is MemberRole.JOIST]
            wanted = middle + (0 if len(halves) == 1 else off if a == middle else -off)
            room = min(abs(wanted - middle) - t / 2, STEEP * half - abs(wanted - middle))
            room = STEEP * half if len(halves) == 1 else room
            for n in range(int(room / STEP_MM) + 1):
                tie = [
                    held
                    for x in (wanted - n * STEP_MM, wanted + n * STEP_MM)
                    if free.holds(x) and all(abs(x - other) >= t + gap_mm for other in near)
                    for held in [[m for m in _at(region, x, like) if _touches(m, shape)]]
                    if len(held) > 1 and not any(_crosses(m, there) for m in held)
                ]
                if tie:
                    found += tie[0]
                    break
    return found


def side_ties(
    board: Board,
    region: Region,
    wells: Sequence[Ring],
    like: Member,
    there: Sequence[Member],
    devices: Sequence[Device],
) -> list[Member]:
    """Strips along the board that hold the left and the right of wells with many sides."""
    import shapely

    found: list[Member] = []
    for well in (w for w in wells if len(w) > CORNERS):
        shape = shapely.Polygon(well)
        bays = Bays(board, region, (*there, *found), devices)
        edges = zip(well, (*well[1:], well[0]), strict=True)
        sides = sorted(edges, key=lambda e: round(e[0][0] + e[1][0], 3))
        for ((ax, ay), (bx, by)), way in ((sides[0], -1), (sides[-1], 1)):
            at = ((ax + bx) / 2 + way * like.thickness_mm, (ay + by) / 2)
            bay = bays.at(at, like.thickness_mm)
            most = max(abs(by - ay) / 2 - like.thickness_mm, 0.0)
            tie = None if bay is None else bays.near(bay, at, like, most)
            if tie is not None and _touches(tie, shape) and not _crosses(tie, there):
                found.append(tie)
    return found


def _at(region: Region, x: float, like: Member) -> list[Member]:
    return [p.member("", like) for p in pieces_at(region, x, like.thickness_mm)]


def _touches(tie: Member, well: Polygon) -> bool:
    import shapely

    return bool(shapely.Polygon(tie.outline).distance(well) < NEAR_MM)


def _crosses(tie: Member, there: Sequence[Member]) -> bool:
    """Whether it runs through other wood, more than touching it."""
    import shapely

    own = shapely.Polygon(tie.outline)
    return any(own.intersection(shapely.Polygon(m.outline)).area > NEAR_MM for m in there)
