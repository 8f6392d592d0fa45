"""Where strips along edges go, then what each is cut of and screwed to.

Claim: ``edge_runs`` looks at all boards at once, for strips end at joints and corners beside one another;
``edging`` works board by board from the frame behind. Off by default: then both answer nothing.

What this does not know: legs, joint bolts, control panels, sockets and coupling room at the edge: cut the
strip round them; scenery above the deck; walls (name edges against them in ``not_near``).
"""

from __future__ import annotations

import math

from boardwright import All, Notes, stage
from boardwright_timber.model import (
    Board,
    BoardEdging,
    EdgeRuns,
    EdgeStrip,
    Frame,
    FrameSize,
    Joists,
)

from ..framing.settings import FramingSettings
from ..framing.sized import AS_SET, sized
from ..hardware.settings import HardwareSettings
from ..nesting.settings import CuttingSettings, StockSettings
from ..splitting.settings import SplittingSettings
from ..strength.settings import SupportSettings
from .settings import FasciaSettings

BLOCK_HIGH_MM = 80.0  # judgement
LEAST_HIGH_MM = 40.0
LETTERS = "FA"


@stage()
def edge_runs(
    boards: All[Board], fascia: FasciaSettings, supports: SupportSettings, notes: Notes
) -> All[EdgeRuns]:
    """The stretches of every board's edge that get a strip."""
    if not fascia.asked:
        return {b: EdgeRuns(board=b) for b in boards}
    from .choosing import chosen
    from .laying import laid
    from .stretches import stretches
    from .telling import about_bare

    edges = {b: stretches(board) for b, board in boards.items()}
    keys = chosen(boards, edges, fascia, supports, notes)
    found, bare = laid(boards, edges, keys, fascia.thickness_mm, fascia.joint_gap_mm)
    about_bare(boards, edges, bare, notes)
    return {
        b: EdgeRuns(board=b, runs=tuple(run for (of, _), run in found.items() if of == b)) for b in boards
    }


@stage(each=True)
def edging(
    board: Board,
    frame: Frame,
    joists: Joists,
    runs: EdgeRuns,
    fascia: FasciaSettings,
    framing: FramingSettings,
    screws: HardwareSettings,
    stock: StockSettings,
    cutting: CuttingSettings,
    splitting: SplittingSettings,
    notes: Notes,
    size: FrameSize = AS_SET,
) -> BoardEdging:
    """Strips of one board with their lengths, and what holds them."""
    if not runs.runs:
        return BoardEdging(board=board.id)
    from ..nesting.longest import longest_strip_mm
    from ..parts.materials import refuse_unknown_in
    from .behind import behind, seams_behind
    from .holding import Screwing, holds
    from .pieces import cut, seams
    from .telling import about_bends, about_climb, about_holds, about_mass, about_size

    refuse_unknown_in("fascia", [("material", fascia.material)])
    framing = sized(framing, size)
    thick = fascia.thickness_mm
    top = round(framing.deck_thickness_mm + fascia.above_mm, 6)
    bottom = round(min(-frame.depth_mm - fascia.below_mm, top - LEAST_HIGH_MM), 6)
    block = round(min(BLOCK_HIGH_MM, frame.depth_mm, -bottom), 6)
    how = Screwing(fascia.screw_spacing_mm, thick, screws.deck_screw_diameter_mm, block)
    strips = []
    for n, run in enumerate(runs.runs, 1):
        wood = behind(run.inner, bottom, top, frame, joists)
        wanted = (fascia.material, thick)
        longest = longest_strip_mm(stock, cutting, wanted, top - bottom, any_way=not run.is_straight)
        room = math.inf if longest is None else longest
        at = seams(run, thick, room, wood, seams_behind(frame, joists, wood))
        pieces = cut(f"{board.id}-{LETTERS}{n}", run, at)
        strips.append(
            EdgeStrip(
                id=pieces[0].id,
                kind=run.kind,
                material=fascia.material,
                thickness_mm=thick,
                top_mm=top,
                depth_mm=round(top - bottom, 6),
                pieces=pieces,
                holds=holds(pieces, wood, how),
            )
        )
    made = BoardEdging(board=board.id, strips=tuple(strips), block_mm=block)
    about_bends(board, made, notes)
    about_holds(board, made, fascia.screw_spacing_mm, notes)
    about_climb(board, made, frame, framing.deck_thickness_mm, notes)
    about_size(board, made, splitting, notes)
    about_mass(board, made, splitting, notes)
    return made
