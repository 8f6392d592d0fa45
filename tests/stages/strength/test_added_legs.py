"""Single legs added by themselves: round wells as many as they need, told in a note, within a cap."""

from __future__ import annotations

import math

import pytest
from any_shapes import board_of

from boardwright import Notes, Severity
from boardwright.plan.model import Ring
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import BoardFixings, BoardPlan, BoardStrength, BoardWiring

OF_THE_FRAME = ("frame-sag", "frame-hand", "bending", "shear")


def found(
    size: float, well: Ring | None, supports: SupportSettings | None = None, edge: Ring | None = None
) -> tuple[BoardStrength, Notes]:
    """A square board with a well, or one of another edge, framed, joisted and cut as any, on legs."""
    ring = edge or ((0.0, 0.0), (size, 0.0), (size, size), (0.0, size))
    board, notes, framing = board_of(ring, (well,) if well else ()), Notes(), FramingSettings()
    plan = BoardPlan(board=board.id)
    made = frame(board, framing, notes)
    held = joists(board, plan, made, framing, JoistSettings(), notes)
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    cut = parts(board, plan, made, held, fixings, wiring, framing, notes)
    return strength(board, made, held, cut, StrengthSettings(), supports or SupportSettings(), notes), notes


def round_well(size: float, across: float, steps: int) -> Ring:
    turns = (2 * math.pi * k / steps for k in range(steps))
    return tuple((size / 2 + across / 2 * math.cos(t), size / 2 - across / 2 * math.sin(t)) for t in turns)


@pytest.mark.parametrize(("size", "across", "steps"), [(1200, 600, 24), (1500, 1000, 4)])
def test_a_well_gets_the_legs_it_needs(size: float, across: float, steps: int) -> None:
    """By the settings as they come; with four at most, these wells give more than they may."""
    well = round_well(size, across, steps)
    made, notes = found(size, well)
    lines = {line.key: line for line in made.lines}
    assert all(lines[key].passed for key in OF_THE_FRAME)
    assert not [f for f in notes.findings if f.severity is Severity.FAULT]
    (told,) = (f for f in notes.findings if f.code == "BW-STR-014")
    more = len(made.points) - 4
    assert told.severity is Severity.NOTE
    assert f" {more} single legs more" in told.says
    assert more <= 4 + math.pi * across / 200, "four, and one for each 200 mm of the well's edge"
    fewer, _ = found(size, well, SupportSettings(well_leg_every_mm=0))
    assert any(line.key in OF_THE_FRAME and not line.passed for line in fewer.lines)
    assert len(fewer.points) == 4 + 4


def test_none_where_none_are_wanted() -> None:
    made, notes = found(1200, round_well(1200, 600, 24), SupportSettings(most_added=0))
    assert len(made.points) == 4
    assert "BW-STR-014" not in {f.code for f in notes.findings}


def test_all_that_may_be_added_is_told() -> None:
    _, notes = found(1200, round_well(1200, 600, 24), SupportSettings(most_added=1, well_leg_every_mm=0))
    (told,) = (f for f in notes.findings if f.code == "BW-STR-014")
    assert " 1 single leg more stands " in told.says
    assert "all that may be added (1)" in told.says


def test_a_board_that_holds_gets_none() -> None:
    made, notes = found(1200, None)
    assert len(made.points) == 4
    assert "BW-STR-014" not in {f.code for f in notes.findings}


def test_corners_of_a_round_edge_get_the_legs_they_need() -> None:
    """The head of a peninsula, half round on a straight piece with a bay in its middle: seven short sides
    make the round, and each corner between two of them turns like a hinge. By the settings as they come."""
    half = tuple(
        (600 + 600 * math.cos(t), 150 + 600 * math.sin(t)) for t in (math.pi * k / 24 for k in range(25))
    )
    edge = ((0.0, 0.0), (340.0, 0.0), (340.0, 100.0), (850.0, 100.0), (850.0, 0.0), (1200.0, 0.0), *half)
    made, notes = found(0.0, None, edge=edge)
    assert all(line.passed for line in made.lines if line.key in OF_THE_FRAME)
    assert not [f for f in notes.findings if f.severity is Severity.FAULT]
    assert len(made.points) > 4 + 4
