"""Hardware of one board, each line with what it was counted from.

Claim: a joint's bolts and dowels are counted once, by the first of its two boards in name order; a screw in a
butt joint is counted from its drilled pilot hole, so the list agrees with the drilling. Two ends that mate
with the next module share one set.

What this does not know: catches; spares (buy the box).
"""

from __future__ import annotations

from boardwright import Notes, stage
from boardwright_timber.model import (
    Board,
    BoardEdging,
    BoardFixings,
    BoardHardware,
    BoardParts,
    BoardPosts,
    BoardStrength,
    EndPattern,
    Frame,
    HardwareLine,
    Joists,
    WireHardware,
)

from ..edging.screws import edging_lines
from ..strength.keep_off import NOTHING, KeepOff
from ..strength.levels import AS_ALL, BoardSupports
from ..strength.settings import SupportSettings
from .blocking import block_lines
from .bolting import joint_lines
from .finishing import finish_lines
from .glueing import glue_lines
from .legs import NO_POSTS
from .railing import rail_lines
from .screwing import screw_lines
from .settings import HardwareSettings
from .supporting import support_lines

NO_EDGING = BoardEdging()


@stage(each=True)
def hardware(
    board: Board,
    frame: Frame,
    joists: Joists,
    fixings: BoardFixings,
    parts: BoardParts,
    strength: BoardStrength,
    settings: HardwareSettings,
    supports: SupportSettings,
    notes: Notes,
    wires: WireHardware = WireHardware(),
    ends: EndPattern = EndPattern(),
    level: BoardSupports = AS_ALL,
    posts: BoardPosts = NO_POSTS,
    keep: KeepOff = NOTHING,
    edging: BoardEdging = NO_EDGING,
) -> BoardHardware:
    """Screws, what holds the joints and rails, blocks, glue, supports, wiring, consumables."""
    own = {j.id for j in board.joints if j.boards[0] == board.id} | ends.counted
    lines: list[HardwareLine] = [
        *screw_lines(frame, joists, parts, settings),
        *joint_lines(board, frame, [f for f in fixings.fixings if f.joint in own], settings, notes),
        *rail_lines(fixings, settings),
        *block_lines(frame, joists, parts),
        *edging_lines(edging),
        *glue_lines(frame, joists, parts, settings, edging),
        *support_lines(
            board, frame, joists, strength, fixings.anchors, level.over(supports), notes, posts, keep
        ),
        *wires.lines,
        *finish_lines(parts, settings),
    ]
    return BoardHardware(board=board.id, lines=tuple(lines))
