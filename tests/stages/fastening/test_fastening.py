"""The schedule of screws of one board, by hand."""

from __future__ import annotations

from typing import Any

from boardwright import Notes
from boardwright_stages.fastening.stages import fastening
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.screwing import screw_lines
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, FasteningLine


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
