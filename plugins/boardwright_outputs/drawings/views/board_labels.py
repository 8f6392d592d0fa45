"""Names on the views of one board: of the board, devices, joints and parts.

Claim: a part is named without its board's name, which leaves room to set it clear of lines; but in full where
its letters also name a device or a joint of the sheet (J1 beside J01, F2 beside F02).

What this does not know: letters that only look alike.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from boardwright.display import DisplaySettings
from boardwright_timber.model import Bent, Board, BoardPlan, Member, MemberRole

from .. import placing
from ..names import short
from ..pen import Pen
from ..placing import Place, moved
from .plan_items import label_devices

LEVEL_MM = 0.05


def named_on(board: Board, plan: BoardPlan) -> Callable[[str], str]:
    """How a part of the board is called on its sheet."""
    others = [*plan.own_devices, board.id, *(j.id for j in (*board.joints, *board.ends))]
    taken = {_letters(other) for other in others}

    def named(part: str) -> str:
        brief = short(part, board.id)
        return part if _letters(brief) in taken else brief

    return named


def _letters(id_: str) -> str:
    """What stands before a name's last figures.

    >>> _letters("PM04"), _letters("J1")
    ('PM', 'J')
    """
    return re.sub(r"\d*$", "", id_).upper()


def label_board(
    pen: Pen,
    board: Board,
    plan: BoardPlan,
    members: Sequence[Member],
    bent: Sequence[Bent],
    named: Callable[[str], str],
    view: Place,
) -> None:
    h = pen.text_mm
    plan_view = placing.after(board.to_local, view)
    pen.label_inside(
        board.id,
        moved(board.ring, plan_view),
        wells=[moved(w, plan_view) for w in board.wells],
        height_mm=1.5 * h,
    )
    own = [d for d in plan.devices if d.id in plan.own_devices]
    label_devices(pen, own, plan_view, 0.8 * h)
    for joint in (*board.joints, *board.ends):
        pen.label_beside(joint.id, placing.middle(moved((joint.start, joint.end), plan_view)))
    for strip in bent:
        n = len(strip.outer) // 2
        a, b = moved((strip.outer[n - 1], strip.outer[n]), view)
        says = named(strip.id)
        pen.label_along(says, a, b, clear_mm=strip.thickness_mm, height_mm=0.7 * h)
    for member in members:
        start = placing.middle((member.outer_start, member.inner_start))
        end = placing.middle((member.outer_end, member.inner_end))
        a, b = moved((start, end), view)
        says = named(member.id) + _raised(member, pen.show)
        pen.label_along(says, a, b, clear_mm=member.thickness_mm / 2, height_mm=0.7 * h, beyond=True)
    if any(_raised(m, pen.show) for m in members):
        says = "Risers with a figure: how far the middle of the top is above the board's level (below: -)"
        pen.write(says, (0.0, pen.extent.bottom - 3 * h))


def _raised(member: Member, show: DisplaySettings) -> str:
    """How far a riser's top is from the board's level, signed; nothing where it is at that level."""
    rise = sum(member.corner_tops) / 4
    if member.role is not MemberRole.RISER or abs(rise) < LEVEL_MM:
        return ""
    return f" {'+' if rise > 0 else '-'}{show.figure(abs(rise))}"
