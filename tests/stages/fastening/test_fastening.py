"""The schedule of screws of one board, by hand."""

from __future__ import annotations

from typing import Any

from boardwright import Notes
from boardwright_stages.fastening.stages import fastening
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.screwing import screw_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import (
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    FasteningLine,
    Frame,
    Joists,
    Member,
    MemberRole,
)


def lines(boxes: Any) -> tuple[tuple[FasteningLine, ...], list[float]]:
    """A box 1000 × 500 with two joists: 4 corners and 4 ends of joists, two screws each."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 500), (0, 500)), (), (350.0, 650.0))
    cut = parts(
        made.board,
        BoardPlan(board="A"),
        made.frame,
        made.joists,
        BoardFixings(board="A"),
        BoardWiring(board="A"),
        FramingSettings(),
        Notes(),
    )
    bought = [line.quantity for line in screw_lines(made.frame, made.joists, cut, HardwareSettings())]
    return fastening(made.frame, made.joists, cut, HardwareSettings()).lines, bought


def strip(role: MemberRole, y: float, wide: float, depth: float, top: float, id_: str = "") -> Member:
    """12 mm thick, ``wide`` along the board from its middle, its outer face at y."""
    return Member(
        id=id_ or f"A-{role}",
        role=role,
        outer_start=(500 - wide / 2, y),
        outer_end=(500 + wide / 2, y),
        inner_start=(500 - wide / 2, y + 12),
        inner_end=(500 + wide / 2, y + 12),
        thickness_mm=12.0,
        depth_mm=depth,
        material="birch ply",
        top_mm=top,
    )


def test_risers_and_flanges() -> None:
    """Risers 80 and 16 wide, 30 of them on a noggin, 3.5 mm screws: two 80 / 4 = 20 from the upright edges of
    the first, 40 apart, but 30 / 2 = 15 below the noggin's top; one in the middle of the second, 8 from
    either edge where 10.5 are wanted. The flange goes down onto a web 1000 long every 150, 7 times, 6 mm from
    the web's faces."""
    noggin = strip(MemberRole.NOGGIN, 100, 900, 90, -60)
    wide = strip(MemberRole.RISER, 112, 80, 90, 0, "A-R1")
    slim = strip(MemberRole.RISER, 88, 16, 90, 0, "A-R2")
    web = strip(MemberRole.GIRDER, 300, 1000, 80, -170)
    flange = strip(MemberRole.FLANGE, 300, 1000, 12, -158)
    frame = Frame(board="A", outer=(), inner=(), members=(noggin, web, flange))
    joists = Joists(board="A", members=(wide, slim), spacing_mm=0, limit_mm=0, narrow=("A-R2",))
    made = fastening(frame, joists, BoardParts(board="A"), HardwareSettings(deck_screw_spacing_mm=150)).lines
    said = [(x.screw, x.quantity, x.edge_mm, x.edge_wanted_mm, x.apart_mm, x.kept) for x in made]
    assert said == [
        ("3.5 × 30", 7, 6.0, 10.5, 150.0, False),
        ("3.5 × 20", 2, 15.0, 10.5, 40.0, True),
        ("3.5 × 20", 1, 8.0, 10.5, None, False),
    ]
    assert [x.joins.split(" of ")[0] for x in made] == ["flange", "riser", "narrow riser"]


def test_butt_joints_and_deck(boxes: Any) -> None:
    """4 × 50 in strips of 90: 30 from each edge, wanted 3 · 4 = 12; 30 apart, wanted (3 + 1) · 4 = 16.
    Deck screws 3.5 × 30 stand 6 mm from the faces of 12 mm strips, and the table wants 10.5."""
    (butt, deck), bought = lines(boxes)
    assert (butt.screw, butt.quantity, butt.pilot_mm, butt.countersink_mm) == ("4 × 50", 16, 3.0, 8.0)
    assert (butt.edge_mm, butt.edge_wanted_mm, butt.apart_mm, butt.apart_wanted_mm) == (30, 12, 30, 16)
    assert butt.kept
    assert butt.first.startswith("always")
    assert (deck.screw, deck.edge_mm, deck.edge_wanted_mm, deck.kept) == ("3.5 × 30", 6, 10.5, False)
    assert [butt.quantity, deck.quantity] == bought
    assert butt.glue
    assert butt.source
