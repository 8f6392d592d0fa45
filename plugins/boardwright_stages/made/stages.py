"""Made parts: what the builder has cut is never changed silently.

Claim: the joints of a board of which something is made stay where they were (``HeldJoints``; splitting cuts
along them first, where the plan by itself would not have them), and every board keeps its name. Every made
part serves as a part of the plan if it can, as it is or with other holes, and is then not cut again; each
that cannot is named, with what differs and what the wood costs.

A part serves in its own board first, where it stood. Those of a board all of whose parts are made, which may
be put together, serve in no other; where one would stand elsewhere now, that is told.

What this does not know: copies of a series (the list counts one of each), and which parts are glued in.
"""

from __future__ import annotations

from boardwright import All, Notes, Place, stage
from boardwright.made import MadeList
from boardwright_timber.model import Board, BoardParts
from boardwright_timber.model.made import HeldJoints, MadeParts
from boardwright_timber.series import ONE_COPY, SeriesSettings

from ..costing.settings import CostingSettings
from ..nesting.settings import StockSettings


@stage()
def held_joints(made: MadeList) -> HeldJoints:
    """Joints that must stay and boards that keep their names, for the sake of what is made."""
    from .record import opened

    record = opened(made)
    return HeldJoints(record.joints, made.file, record.boards, record.others)


@stage()
def made_parts(
    boards: All[Board],
    parts: All[BoardParts],
    made: MadeList,
    stock: StockSettings,
    money: CostingSettings,
    notes: Notes,
    series: SeriesSettings = ONE_COPY,
) -> MadeParts:
    """Which of the plan's parts are there already."""
    from .record import opened
    from .serving import serving

    if not made.parts_made:
        return MadeParts()
    if series.copies > 1:
        notes.caution(
            "BW-MADE-004",
            f"{made.file} is not looked at: {series.copies} copies are built and it counts one of each.",
            Place(file=made.file, key="[series] copies"),
            "Where whole copies are made, take them off [series] copies; leave out of the cutting what else "
            "is made, or take the list away.",
        )
        return MadeParts()
    return serving(opened(made), boards, parts, stock, money.currency, made.file, notes)
