"""What is said of a board's supports besides its figures."""

from __future__ import annotations

from collections.abc import Sequence

from boardwright import Notes
from boardwright import Place as Where
from boardwright.plan.model import Point
from boardwright_timber.model import Board


def about_standing(board: Board, framed: bool, notes: Notes) -> None:
    """A board that no sag can be told of: it does not rest on its supports, or has no frame."""
    notes.caution(
        "BW-STR-006",
        f"Board {board.id} does not rest on its supports: its middle of mass lies outside them, so "
        "no sag can be told."
        if framed
        else f"Board {board.id} has no frame, so no sag can be told.",
        Where(board=board.id),
        "Give this board supports of its own in [supports] points: three or more round its middle.",
    )


def about_loose(board: Board, at: Sequence[Point], notes: Notes) -> None:
    """Places of a narrow deck that no two bearers hold."""
    if at:
        (u, v), (x, y) = at[0], board.to_plan(at[0])
        notes.caution(
            "BW-STR-015",
            f"The deck of board {board.id} round x {u:.0f}, y {v:.0f} from its datum corner lies on "
            "nothing, or on one riser: what it gives there cannot be told.",
            Where(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
            "Glue and screw a block to the joist or side nearest to it, up to the deck; or move the "
            "device that leaves no room for a riser.",
        )


def about_added(board: Board, at: Sequence[Point], most: int, kind: str, turns: bool, notes: Notes) -> None:
    """Single legs (brackets, trestles) that were added, and whether that was as many as may be. ``turns``:
    the frame has more than four sides."""
    worst = at[0]
    x, y = board.to_plan(worst)
    one = "single leg" if kind == "legs" else kind.removesuffix("s")
    legs, stand = (f"{one}s", "stand") if len(at) > 1 else (one, "stands")
    notes.note(
        "BW-STR-014",
        f"{len(at)} {legs} more {stand} under board {board.id} where its frame would sag or give "
        f"too much, the first at x {worst[0]:.0f}, y {worst[1]:.0f} from its datum corner"
        + (f": all that may be added ({most})." if len(at) >= most else "."),
        Where(board=board.id, x_mm=round(x, 1), y_mm=round(y, 1)),
        (
            "Nothing; where sides turn, thicker members (member_thickness_mm under [framing]) need fewer, "
            "since they twist less, and deeper ones hardly do; "
            if turns
            else "Nothing; deeper or thicker members (depth_mm, member_thickness_mm under [framing]) need "
            "fewer, "
        )
        + "and points in [supports] gives your own places.",
    )
