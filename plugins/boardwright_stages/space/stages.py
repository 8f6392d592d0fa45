"""The space stage: how much height each board takes, and how much is left above the board below it.

Claim: from the (highest) top of a deck to the lowest member or device of its board; two levels are compared
wherever their boards overlap in plan, board by board.

Legs and trestles of an upper level that come down through a lower one are told (``legs.py``).

What this does not know: wires, brackets, scenery, trains that are higher than headroom, helices.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING

from boardwright import All, Notes, Place, stage
from boardwright_timber.model import (
    Board,
    BoardParts,
    BoardPlan,
    BoardSpace,
    BoardStand,
    BoardStrength,
    Frame,
    Joists,
    LayoutSpace,
    MemberRole,
)

from ..framing.on_deck import hung
from ..strength.levels import NO_LEVELS, BoardSupports
from ..strength.settings import SupportSettings
from .settings import SpaceSettings

if TYPE_CHECKING:
    from shapely import Polygon

OVERLAP_MM2 = 100.0
SUPPORTS = SupportSettings()
NOTHING: Mapping[str, BoardStrength] = MappingProxyType({})
DECK = "deck"


@stage()
def space(
    boards: All[Board],
    board_plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    parts: All[BoardParts],
    stands: All[BoardStand],
    settings: SpaceSettings,
    notes: Notes,
    strengths: All[BoardStrength] = NOTHING,
    supports: SupportSettings = SUPPORTS,
    levels: All[BoardSupports] = NO_LEVELS,
) -> LayoutSpace:
    """Heights of every board; a caution where a level comes too near the one below, a fault where into it."""
    import shapely
    from msgspec.structs import replace

    from .climbing import about_climbs
    from .legs import about_legs, about_trestles

    built = [n for n in sorted(boards) if n in frames and n in joists and n in parts and n in board_plans]
    own = {n: _own(boards[n], board_plans[n], frames[n], joists[n], parts[n]) for n in built}
    shapes = {n: shapely.Polygon(boards[n].ring, boards[n].wells) for n in built}
    about_climbs({n: boards[n] for n in built}, board_plans, frames, parts, notes)
    about_legs(boards, board_plans, shapes, {n: stands[n] for n in built if n in stands}, notes)
    kinds = {n: levels[n].over(supports).kind if n in levels else supports.kind for n in built}
    on_trestles = {n: strengths[n].points for n in built if kinds[n] == "trestles" and n in strengths}
    about_trestles(boards, frames, shapes, on_trestles, supports, notes)
    found, tight = [], []
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
            tight.append((name, below, least))
    _tell(boards, tight, settings, notes)
    return LayoutSpace(boards=tuple(found))


def _tell(
    boards: All[Board], tight: list[tuple[str, str, float]], settings: SpaceSettings, notes: Notes
) -> None:
    """Boards too near the one below them or in it, with what is free; the mend is one for the whole level."""
    enough: dict[float, float] = {}
    for name, _, free_mm in tight:
        level = boards[name].level_mm
        enough[level] = max(enough.get(level, level), level - free_mm + settings.headroom_mm)
    for name, below, free_mm in tight:
        level = boards[name].level_mm
        where = [Place(board=name), Place(board=below)]
        high_mm = math.ceil(round(enough[level], 3))
        raised = (
            f"Raise the upper level in the drawing (height_mm = {high_mm} leaves {settings.headroom_mm:g} mm)"
        )
        shallower = "make its frame shallower (framing.depth_mm, or a shallower style)"
        if free_mm < 0:
            says = f"Board {name} reaches {-free_mm:.0f} mm down into board {below} below it: "
            notes.fault(
                "BW-SPACE-006", f"{says}both cannot stand there.", where, f"{raised}, or {shallower}."
            )
        else:
            notes.caution(
                "BW-SPACE-001",
                f"Board {name} leaves {free_mm:.0f} mm free above the deck of {below} below it; wanted are "
                f"{settings.headroom_mm:g} mm.",
                where,
                f"{raised}, {shallower}, or ask for less in space.headroom_mm.",
            )


def _own(board: Board, plan: BoardPlan, frame: Frame, joists: Joists, parts: BoardParts) -> BoardSpace:
    members = (*frame.members, *joists.members)
    deck = max((p.thickness_mm for p in parts.parts if p.role == DECK), default=0.0)
    wood = max((-m.bottom_mm for m in members), default=0.0)
    own = (d for d in hung(board, frame, plan.devices) if d.id in plan.own_devices)
    deep = max((d.depth_mm for d in own), default=0.0)
    tops = [0.0 - m.top_mm for m in members if m.role is MemberRole.JOIST]
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
