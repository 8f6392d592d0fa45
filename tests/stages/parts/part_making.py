"""Parts of a box frame without fixings or wires, for the tests of this folder."""

from __future__ import annotations

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import (
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    HoleKind,
    Part,
)

FRAMING = FramingSettings(deck_material="birch ply", deck_thickness_mm=9.0)


def plain(made, plan: BoardPlan | None = None, notes: Notes | None = None) -> BoardParts:
    """Parts without fixings or wires."""
    return parts(
        made.board,
        plan or BoardPlan(board=made.board.id),
        made.frame,
        made.joists,
        BoardFixings(board=made.board.id),
        BoardWiring(board=made.board.id),
        FRAMING,
        notes if notes is not None else Notes(),
    )


def part(made: BoardParts, name: str) -> Part:
    return next(p for p in made.parts if p.id == name)


def pilots(p: Part) -> list[tuple[float, float]]:
    return [(h.x_mm, h.y_mm) for h in p.holes if h.kind is HoleKind.PILOT]
