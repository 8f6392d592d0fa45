"""The splitting stages: track plan → boards and joints → each board's part of the plan."""

from __future__ import annotations

from msgspec.structs import replace

from boardwright import Items, Notes, stage
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import Board, BoardPlan, Splitting

from ..joints.settings import JointSettings
from .settings import SplittingSettings

JOINTS = JointSettings()


@stage()
def split(
    plan: TrackPlan, settings: SplittingSettings, notes: Notes, joints: JointSettings = JOINTS
) -> Splitting:
    """Split every outline of the plan into boards. Raises InputError when an outline is no area."""
    from .whole import split_plan

    return split_plan(plan, settings, notes, joints)


@stage(items=True)
def boards(splitting: Splitting) -> Items[Board]:
    """The boards by name.

    They leave out the margins, reasons and crossings that ``Splitting`` tells: a board is built the same
    whether a motor stands 90 mm or 95 mm from its joint, so moving one must not build it anew.
    """
    return {
        b.id: replace(
            b,
            joints=tuple(
                replace(j, crossings=(), nearest_turnout_mm=None, nearest_device_mm=None, why="")
                for j in b.joints
            ),
            margins="",
        )
        for b in splitting.boards
    }


@stage(each=True)
def board_plan(board: Board, plan: TrackPlan) -> BoardPlan:
    """What of the track plan concerns one board."""
    from .share import share_of

    return share_of(board, plan)
