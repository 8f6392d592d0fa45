"""The movement stage: how boards swell and rails lengthen, with what to leave free for it.

Claim: length and width of each board times the coefficient of its deck times the change of moisture; rails
times their coefficient times warmth, plus what a drying board shrinks along them. Figures are told once for
the largest board; each board's own are kept.

What this does not know: paint, ballast that holds rails, cupping of single strips.
"""

from __future__ import annotations

import math

from boardwright import All, Notes, Place, stage
from boardwright_timber.model import Board, BoardMovement, BoardParts, LayoutMovement

from ..strength.settings import StrengthSettings
from .settings import MovementSettings

DECK = "deck"
RULE = (
    "size × change for 1 % of moisture × {moisture:g} %; rails 17e-6 a degree × {warmth:g}°, with that added"
)


@stage()
def movement(
    boards: All[Board],
    parts: All[BoardParts],
    strength: StrengthSettings,
    settings: MovementSettings,
    notes: Notes,
) -> LayoutMovement:
    """What every board does between dry and damp, cold and warm."""
    from boardwright_timber.reference import SWELLINGS, change_mm, rail_growth_mm, swelling_row

    moisture, warmth = settings.swings(strength.climate)
    known = {row.material for row in SWELLINGS}
    found = []
    for name in sorted(boards):
        decks = [p for p in parts[name].parts if p.role == DECK] if name in parts else []
        if not decks or decks[0].material not in known:
            continue
        board, row = boards[name], swelling_row(decks[0].material)
        along = change_mm(board.length_mm, row.along, moisture)
        found.append(
            BoardMovement(
                board=name,
                material=row.material,
                along_mm=_up(along),
                across_mm=_up(change_mm(board.width_mm, row.across, moisture)),
                rails_mm=_up(rail_growth_mm(board.length_mm, warmth) + along),
                rule=RULE.format(moisture=moisture, warmth=warmth),
                source=f"{row.source} ({row.mark}); nickel silver 17e-6 (memory); swings: judgement",
            )
        )
    if found:
        _tell(found, moisture, warmth, any(b.joints for b in boards.values()), notes)
    return LayoutMovement(boards=tuple(found))


def _up(mm: float) -> float:
    """In tenths, never less than it is."""
    return math.ceil(round(mm * 10, 6)) / 10


def _tell(found: list[BoardMovement], moisture: float, warmth: float, joined: bool, notes: Notes) -> None:
    wide = max(found, key=lambda m: (m.across_mm, m.board))
    long = max(found, key=lambda m: (m.rails_mm, m.board))
    notes.note(
        "BW-MOVE-001",
        f"Wood moves: for {moisture:g} % of moisture between the driest and the dampest day a deck of "
        f"{wide.material} changes by up to {wide.across_mm:g} mm in width and {long.along_mm:g} mm in length "
        f"({wide.source.split(';')[0]}).",
        [Place(board=b) for b in dict.fromkeys((wide.board, long.board))],
        "Let boards lie in their room for a week before cutting, seal all faces and edges, do not wedge "
        "boards between walls, and leave bolt holes their clearance.",
    )
    joint = " and half of it at each baseboard joint" if joined else ""
    notes.note(
        "BW-MOVE-002",
        f"Rails grow: warmed by {warmth:g}°, on a board that dries, they outgrow it by up to "
        f"{long.rails_mm:g} mm over {long.board} (17 millionths a degree for nickel silver, memory, and the "
        "board's own shrinking).",
        Place(board=long.board),
        f"Leave gaps that add up to so much in the rail joints along each board{joint}, laid on a cool day; "
        "solder no rail to fixed points at both ends without a gap between.",
    )
