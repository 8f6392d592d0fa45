"""Heights by hand: one board above another."""

from __future__ import annotations

import pytest
from any_shapes import board_of
from msgspec.structs import replace

from boardwright import Notes, Severity
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_stages.space.settings import SpaceSettings
from boardwright_stages.space.stages import space
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, LayoutSpace

OBLONG = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))


def measured(upper_mm: float, headroom_mm: float = 150.0) -> tuple[LayoutSpace, Notes]:
    """A box at level 0 and girders at ``upper_mm`` right above it."""
    framing, notes = FramingSettings(), Notes()
    boards = {
        n: board_of(OBLONG, name=n, joints=(((0, 0), (0, 500)), ((1000, 0), (1000, 500)))) for n in "AB"
    }
    boards["B"] = replace(boards["B"], level_mm=upper_mm)
    plans = {n: BoardPlan(board=n) for n in boards}
    frames = {
        "A": frame(boards["A"], framing, notes),
        "B": l_girder(boards["B"], plans["B"], framing, GirderSettings(), notes),
    }
    found = {n: joists(boards[n], plans[n], frames[n], framing, JoistSettings(), notes) for n in boards}
    cut = {
        n: parts(
            boards[n],
            plans[n],
            frames[n],
            found[n],
            BoardFixings(board=n),
            BoardWiring(board=n),
            framing,
            notes,
        )
        for n in boards
    }
    heard = Notes()
    return space(boards, plans, frames, found, cut, SpaceSettings(headroom_mm=headroom_mm), heard), heard


def test_a_box_and_girders() -> None:
    """A box takes 9 + 90; girders 9 + 90 + 12 + 70 = 181. With the upper deck's underside at 400 there are
    400 - 172 - 9 = 219 between the lower deck's top and the girders' webs."""
    found, notes = measured(400.0)
    lower, upper = found.boards
    assert (lower.style, lower.takes_mm, lower.below) == ("box", 99.0, "")
    assert (upper.style, upper.takes_mm, upper.below) == ("l-girder", 181.0, "A")
    assert upper.free_mm == pytest.approx(400 - 172 - 9)
    assert notes.findings == []


def test_too_little_room_between_levels() -> None:
    _, notes = measured(300.0)  # 119 are left
    (told,) = notes.findings
    assert (told.code, told.severity) == ("BW-SPACE-001", Severity.CAUTION)
    assert "119 mm free" in told.says
