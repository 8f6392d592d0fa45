"""The space stage: how much height each board takes, and how much is left above the board below it.

Claim: from the (highest) top of a deck to the lowest member or device of its board; two levels are compared
wherever their boards overlap in plan, board by board.

What this does not know: wires and legs, scenery, trains that are higher than headroom, helices.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from boardwright import All, Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardParts,
    BoardPlan,
    BoardSpace,
    Frame,
    Joists,
    LayoutSpace,
    MemberRole,
)

from ..framing.on_deck import hung
from .settings import SpaceSettings

if TYPE_CHECKING:
    from shapely import Polygon

OVERLAP_MM2 = 100.0
DECK = "deck"


@stage()
def space(
    boards: All[Board],
    board_plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    parts: All[BoardParts],
    settings: SpaceSettings,
    notes: Notes,
) -> LayoutSpace:
    """Heights of every board; a caution where a level comes too near the one below."""
    import shapely
    from msgspec.structs import replace

    from .climbing import about_climbs

    built = [n for n in sorted(boards) if n in frames and n in joists and n in parts and n in board_plans]
    own = {n: _own(boards[n], board_plans[n], frames[n], joists[n], parts[n]) for n in built}
    shapes = {n: shapely.Polygon(boards[n].ring, boards[n].wells) for n in built}
    about_climbs({n: boards[n] for n in built}, board_plans, frames, parts, notes)
    found = []
    for name in built:
        board, mine = boards[name], own[name]
        under = board.level_mm - (mine.takes_mm - mine.deck_mm - _highest(frames[name]))
        free = [
            (
                round(
                    under - boards[n].level_mm - own[n].deck_mm - climbed(boards[n], frames[n], shapes[name]),
                    3,
                ),
                n,
            )
            for n in built
            if boards[n].level_mm < board.level_mm and shapes[n].intersection(shapes[name]).area > OVERLAP_MM2
        ]
        if not free:
            found.append(mine)
            continue
        least, below = min(free)
        found.append(replace(mine, below=below, free_mm=least))
        if least < settings.headroom_mm:
            notes.caution(
                "BW-SPACE-001",
                f"Board {name} leaves {least:.0f} mm free above the deck of {below} below it; wanted are "
                f"{settings.headroom_mm:g} mm.",
                [Place(board=name), Place(board=below)],
                "Raise the upper level in the drawing, make its frame shallower (framing.depth_mm, or a "
                "shallower style), or ask for less in space.headroom_mm.",
            )
    return LayoutSpace(boards=tuple(found))


def _own(board: Board, plan: BoardPlan, frame: Frame, joists: Joists, parts: BoardParts) -> BoardSpace:
    members = (*frame.members, *joists.members)
    deck = max((p.thickness_mm for p in parts.parts if p.role == DECK), default=0.0)
    wood = max((-m.bottom_mm for m in members), default=0.0)
    own = (d for d in hung(board, frame, plan.devices) if d.id in plan.own_devices)
    deep = max((d.depth_mm for d in own), default=0.0)
    tops = [-m.top_mm for m in members if m.role is MemberRole.JOIST]
    high = _highest(frame)
    return BoardSpace(
        board=frame.board,
        style=frame.style,
        deck_mm=deck,
        rise_mm=round(min(tops), 6) if tops else 0.0,
        frame_mm=round(wood, 6),
        devices_mm=deep,
        takes_mm=round(deck + max(wood, deep) + high, 6),
    )


def _highest(frame: Frame) -> float:
    """How far the deck climbs above the board's level."""
    return max((p[2] for panel in frame.deck for way in panel.ways or () for p in way), default=0.0)


def climbed(board: Board, frame: Frame, below: Polygon) -> float:
    """How far a board's deck climbs above its level where it lies below another board."""
    import shapely

    found = [0.0]
    for way in (way for panel in frame.deck for way in panel.ways or ()):
        line = shapely.LineString([(*board.to_plan(p[:2]), p[2]) for p in way])
        over = shapely.get_coordinates(line.intersection(below), include_z=True)
        found += over[:, 2].tolist()
    return max(found)
