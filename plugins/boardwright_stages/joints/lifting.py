"""A lift-out that its own dowels would hold fast is told.

A pattern-maker's dowel stands out of one end by more than the working clearance and lies level: it goes in
along the board alone. A board with such dowels at two joints or more goes in neither from above nor from the
side while its neighbours stand. Common practice, no source: shallow rounded dowels, ledges, or one neighbour
that slides away.

What this does not know: how far the dowels bought stand out.
"""

from __future__ import annotations

from collections.abc import Iterable

from boardwright import Notes, Place
from boardwright_timber.model import Board, Fixing, FixingKind


def tell_held_fast(board: Board, fixings: Iterable[Fixing], notes: Notes) -> None:
    """A caution for a lift-out with dowels at two joints or more."""
    joints = sorted({f.joint for f in fixings if f.kind is FixingKind.DOWEL})
    if not board.lift_out or len(joints) < 2:
        return
    notes.caution(
        "BW-JOINT-016",
        f"Board {board.id} lifts out, and the dowels of {', '.join(joints[:-1])} and {joints[-1]} lie level: "
        "it goes in neither from above nor from the side while its neighbours stand.",
        Place(board=board.id),
        "Before you glue them in: take dowels that stand out no farther than the board stands back "
        f"(splitting.lift_out_clear_mm, {board.clear_mm:g} mm); or leave them out and screw a ledge under "
        "both neighbours' ends for it to rest on; or let one neighbour slide away by its length. "
        "Try it dry.",
    )
