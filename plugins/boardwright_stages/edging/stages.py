"""Where strips along edges go, then what each is cut of and screwed to.

Claim: ``edge_runs`` looks at all boards at once, for strips end at joints and corners beside one another;
``edging`` works board by board from the frame behind. Off by default: then both answer nothing. A fascia and
a backscene are alike but for where they go and how high they stand.

What this does not know: legs, joint bolts, control panels, sockets and coupling room at the edge: cut the
strip round them; scenery above the deck; walls (name edges against them in ``not_near``).
"""

from __future__ import annotations

import math

from boardwright import All, Notes, stage
from boardwright_timber.model import (
    Board,
    BoardEdging,
    EdgeKind,
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
from .settings import BackSettings, FasciaSettings, Tables

BLOCK_HIGH_MM = 80.0  # judgement
LEAST_HIGH_MM = 40.0
LETTERS = {EdgeKind.FASCIA: "FA", EdgeKind.BACKSCENE: "BS"}
NO_BACK = BackSettings()


@stage()
def edge_runs(
    boards: All[Board],
    fascia: FasciaSettings,
    supports: SupportSettings,
    notes: Notes,
    back: BackSettings = NO_BACK,
) -> All[EdgeRuns]:
    """The stretches of every board's edge that get a strip."""
    both: Tables = {EdgeKind.FASCIA: fascia, EdgeKind.BACKSCENE: back}
    tables = {kind: table for kind, table in both.items() if table.asked}
    for kind, table in both.items():
        if table.is_idle:
            from .telling import about_idle

            about_idle(kind, notes)
    if not tables:
        return {b: EdgeRuns(board=b) for b in boards}
    from .choosing import chosen
    from .laying import Wish, laid
    from .stretches import stretches
    from .telling import about_bare

    edges = {b: stretches(board) for b, board in boards.items()}
    kinds = chosen(boards, edges, tables, supports, notes)
    wishes = {
        key: Wish(kind, tables[kind].thickness_mm, tables[kind].joint_gap_mm) for key, kind in kinds.items()
    }
    found, bare = laid(boards, edges, wishes)
    about_bare(boards, edges, bare, kinds, notes)
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
    back: BackSettings = NO_BACK,
) -> BoardEdging:
    """Strips of one board with their lengths, and what holds them."""
    if not runs.runs:
        return BoardEdging(board=board.id)
    from ..nesting.longest import longest_strip_mm
    from ..parts.materials import refuse_unknown_in
    from .behind import behind, seams_behind
    from .holding import Screwing, holds
    from .pieces import cut, seams
    from .telling import Told

    tables: Tables = {EdgeKind.FASCIA: fascia, EdgeKind.BACKSCENE: back}
    deck_mm = sized(framing, size).deck_thickness_mm
    kinds = sorted({run.kind for run in runs.runs})
    heights = {
        kind: (
            _of_fascia(fascia, frame.depth_mm, deck_mm)
            if kind is EdgeKind.FASCIA
            else _of_back(back, frame.depth_mm, deck_mm)
        )
        for kind in kinds
    }
    for kind in kinds:
        refuse_unknown_in(kind.value, [("material", tables[kind].material)])
    block = round(min(BLOCK_HIGH_MM, frame.depth_mm, *(-low for low, _ in heights.values())), 6)
    strips: list[EdgeStrip] = []
    for run in runs.runs:
        table, (bottom, top) = tables[run.kind], heights[run.kind]
        thick = table.thickness_mm
        how = Screwing(table.screw_spacing_mm, thick, screws.deck_screw_diameter_mm, block)
        wood = behind(run.inner, bottom, top, frame, joists)
        wanted = (table.material, thick)
        longest = longest_strip_mm(stock, cutting, wanted, top - bottom, any_way=not run.is_straight)
        room = math.inf if longest is None else longest
        at = seams(run, thick, room, wood, seams_behind(frame, joists, wood))
        nth = 1 + sum(s.kind is run.kind for s in strips)
        pieces = cut(f"{board.id}-{LETTERS[run.kind]}{nth}", run, at)
        strips.append(
            EdgeStrip(
                id=pieces[0].id,
                kind=run.kind,
                material=table.material,
                thickness_mm=thick,
                top_mm=top,
                depth_mm=round(top - bottom, 6),
                pieces=pieces,
                holds=holds(pieces, wood, how),
            )
        )
    made = BoardEdging(board=board.id, strips=tuple(strips), block_mm=block)
    told = Told(board, made, notes)
    told.about_bends()
    told.about_holds(tables)
    told.about_climb(frame, deck_mm)
    told.about_size(splitting)
    told.about_height(splitting, frame.depth_mm)
    told.about_mass(splitting)
    return made


def _of_fascia(fascia: FasciaSettings, frame_mm: float, deck_mm: float) -> tuple[float, float]:
    """Bottom and top of a strip."""
    top = round(deck_mm + fascia.above_mm, 6)
    return round(min(-frame_mm - fascia.below_mm, top - LEAST_HIGH_MM), 6), top


def _of_back(back: BackSettings, frame_mm: float, deck_mm: float) -> tuple[float, float]:
    return round(-min(back.lap_mm, max(frame_mm, 0.0)), 6), round(deck_mm + back.height_mm, 6)
