"""Our club's ladder frames."""

import math
from typing import Annotated

import msgspec
from boardwright import Notes, Place, Section, stage
from boardwright.plan.model import Point
from boardwright_timber.model import Board, BoardPlan, Frame, Member, MemberRole

THICK_MM = 12.0


class LadderSettings(Section, frozen=True, kw_only=True, table="ladder"):
    rung_every_mm: Annotated[
        float, msgspec.Meta(gt=50, description="Distance between the middles of two rungs, at most.")
    ] = 350.0
    depth_mm: Annotated[float, msgspec.Meta(gt=20, description="Depth of rails and rungs.")] = 80.0


def strip(board: Board, name: str, role: MemberRole, start: Point, end: Point, s: LadderSettings):
    """A member whose outer face runs from start to end; its wood lies on the left of that way."""
    long = math.dist(start, end)
    left, up = (start[1] - end[1]) / long * THICK_MM, (end[0] - start[0]) / long * THICK_MM
    return Member(
        id=f"{board.id}-{name}",
        role=role,
        thickness_mm=THICK_MM,
        depth_mm=s.depth_mm,
        material="birch ply",
        outer_start=start,
        outer_end=end,
        inner_start=(start[0] + left, start[1] + up),
        inner_end=(end[0] + left, end[1] + up),
    )


@stage(name="frame", each=True, style="ladder", chosen_by="framing.style")
def ladder(board: Board, board_plan: BoardPlan, s: LadderSettings, notes: Notes) -> Frame:
    """Rails, ends and rungs of one straight board."""
    t, long, wide = THICK_MM, board.length_mm, board.width_mm
    corners = {(round(x, 3), round(y, 3)) for x, y in map(board.to_local, board.ring)}
    if corners != {(x, y) for x in (0.0, round(long, 3)) for y in (0.0, round(wide, 3))} or board.wells:
        notes.fault("OUR-001", "A ladder fits an oblong without wells.", Place(board=board.id), "Use a box.")
    count = int((long - t) / s.rung_every_mm)
    taken = [[board.to_local(p)[0] for p in d.keepout()] for d in board_plan.devices]
    rungs = []
    for n in range(1, count + 1):
        x = t / 2 + (long - t) * n / (count + 1)
        while any(min(xs) - t / 2 < x < max(xs) + t / 2 for xs in taken):
            x += 1.0
        right = x + t / 2
        rungs.append(strip(board, f"J{n}", MemberRole.JOIST, (right, t), (right, wide - t), s))
    edge = [  # round the board with the inside on the left: outer faces stand on the joint lines
        strip(board, "S1", MemberRole.SIDE, (0, 0), (long, 0), s),
        strip(board, "E2", MemberRole.END, (long, t), (long, wide - t), s),
        strip(board, "S2", MemberRole.SIDE, (long, wide), (0, wide), s),
        strip(board, "E1", MemberRole.END, (0, wide - t), (0, t), s),
    ]
    return Frame(
        board=board.id,
        style="ladder",
        outer=((0, 0), (long, 0), (long, wide), (0, wide)),
        inner=((t, t), (long - t, t), (long - t, wide - t), (t, wide - t)),
        members=(*edge, *rungs),
        complete=True,  # the rungs are our own: no joists are added
    )
