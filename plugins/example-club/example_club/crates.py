"""Crates: boards travel in pairs, face to face, the longest with the next longest."""

import msgspec
from boardwright import All, Notes, Place, stage
from boardwright_timber.model import Board, BoardParts, Frame

from .settings import ClubSettings


class Crate(msgspec.Struct, frozen=True, kw_only=True):
    """One crate: its boards, inner size, and the mass of what is in it."""

    boards: tuple[str, ...]
    length_mm: float
    width_mm: float
    height_mm: float
    mass_kg: float


class Crates(msgspec.Struct, frozen=True):
    crates: tuple[Crate, ...]


@stage()
def crates(
    boards: All[Board], frames: All[Frame], parts: All[BoardParts], club: ClubSettings, notes: Notes
) -> Crates:
    """Pairs in order of length, then of name. The decks face each other, the room for scenery between."""
    order = sorted(boards, key=lambda b: (-boards[b].length_mm, b))
    made = []
    for pair in (order[n : n + 2] for n in range(0, len(order), 2)):
        play = 2 * club.crate_play_mm
        made.append(
            Crate(
                boards=tuple(pair),
                length_mm=max(boards[b].length_mm for b in pair) + play,
                width_mm=max(boards[b].width_mm for b in pair) + play,
                height_mm=sum(frames[b].depth_mm + club.crate_room_mm for b in pair) + play,
                mass_kg=sum(parts[b].mass_kg for b in pair),
            )
        )
    if len(order) % 2:
        notes.caution(
            "CLUB-001",
            f"{order[-1]} has no board to travel with",
            Place(board=order[-1]),
            "Make a lid for its crate, or part the layout into an even number of boards.",
        )
    return Crates(tuple(made))
