"""Boards under tracks that climb, for tests: tracks by their spots, an open top with its joists and parts."""

from __future__ import annotations

from boardwright import Notes
from boardwright.plan.model import Ring, Track
from boardwright_stages.checks.reassembly import Solid, solid
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardWiring,
    Frame,
    Joists,
    Member,
    MemberRole,
)

FRAMING = FramingSettings(member_thickness_mm=12)
OPEN_TOP = OpenTopSettings()
OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))
ENDS = (((0.0, 0.0), (0.0, 500.0)), ((1200.0, 0.0), (1200.0, 500.0)))


def track(name: str, *spots: tuple[float, float, float]) -> Track:
    return Track(id=name, points=tuple(s[:2] for s in spots), heights_mm=tuple(s[2] for s in spots))


def whole(
    board: Board, plan: BoardPlan, *, girders: bool = False, open_: OpenTopSettings = OPEN_TOP
) -> tuple[Frame, Joists, dict[str, Solid], Notes]:
    notes = Notes()
    made = (
        l_girder_open(board, plan, FRAMING, GirderSettings(), open_, notes)
        if girders
        else open_top(board, plan, FRAMING, open_, notes)
    )
    found = joists(board, plan, made, FRAMING, JoistSettings(), notes, open_)
    fixings, wires = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, made, found, fixings, wires, FRAMING, notes)
    return made, found, {p.id: solid(board, p) for p in cut.parts}, notes


def risers_of(found: Joists) -> list[Member]:
    return [m for m in found.members if m.role is MemberRole.RISER]


def told(notes: Notes) -> list[str]:
    return [f.code for f in notes.findings if f.code.startswith(("BW-FRAME", "BW-JOIST-0"))]
