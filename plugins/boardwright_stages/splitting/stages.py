"""The splitting stages: track plan → boards and joints → each board's part of the plan."""

from __future__ import annotations

from msgspec.structs import replace

from boardwright import NO_MEMO, Items, Memo, Notes, stage
from boardwright.plan.model import TrackPlan
from boardwright_timber.model import Board, BoardPlan, Splitting
from boardwright_timber.model.made import HeldJoints

from ..joints.settings import JointSettings
from .settings import SplittingSettings

JOINTS = JointSettings()
NONE_HELD = HeldJoints()


@stage()
def split(
    plan: TrackPlan,
    settings: SplittingSettings,
    notes: Notes,
    joints: JointSettings = JOINTS,
    held: HeldJoints = NONE_HELD,
    memo: Memo = NO_MEMO,
) -> Splitting:
    """Split every outline of the plan into boards. Raises InputError when an outline is no area.

    Joints that must stay are where the plan by itself has them, as long as it has not changed near them: then
    all others stay too. Only else is it cut along them first (``held``), and the others searched anew, unless
    they may stay as well; made boards stay whole (``as_made``).
    """
    from .as_made import has_held, is_sawn, with_grown
    from .held import tell_lost
    from .still_held import all_there, at_heights_now, no_worse, not_held, without_moved
    from .whole import split_plan

    if not held.joints and not held.boards:
        return split_plan(plan, settings, notes, joints, memo)
    held = at_heights_now(held, plan)
    wanted = without_moved(with_grown(plan, held, settings.settled(joints)), plan, settings, notes)
    held = replace(held, joints=tuple(j for j in held.joints if j in wanted.joints))
    alone, names = Notes(), HeldJoints((), held.file, held.boards)
    found = split_plan(plan, settings, alone, joints, memo, names)
    if not has_held(found, wanted, plan) or is_sawn(found, wanted):
        alone = Notes()
        found = split_plan(plan, settings, alone, joints, memo, wanted)
        others = without_moved(replace(wanted, joints=held.others), plan, settings, Notes()).joints
        if others:
            still = Notes()
            every = replace(wanted, joints=(*wanted.joints, *others))
            kept = split_plan(plan, settings, still, joints, memo, every)
            if all_there(kept, others) and no_worse(kept, still.findings, found, alone.findings):
                found, alone = not_held(kept, others), still
    notes.findings.extend(alone.findings)
    tell_lost(held, found, notes)
    return found


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
                replace(j, held=False, crossings=(), nearest_turnout_mm=None, nearest_device_mm=None, why="")
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
