"""Heights by hand: one board above another."""

from __future__ import annotations

from typing import Any

import pytest
from any_shapes import board_of
from msgspec.structs import replace

from boardwright import Notes, Severity
from boardwright.plan.model import Track
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_stages.space.settings import SpaceSettings
from boardwright_stages.space.stages import space
from boardwright_stages.strength.levels import BoardSupports
from boardwright_stages.strength.settings import LevelSupports, SupportSettings
from boardwright_timber.model import (
    BoardFixings,
    BoardPlan,
    BoardStand,
    BoardStrength,
    BoardWiring,
    LayoutSpace,
    Leg,
    SupportPoint,
)

OBLONG = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))


def measured(
    upper_mm: float,
    headroom_mm: float = 150.0,
    stands: dict[str, BoardStand] | None = None,
    **supported: Any,
) -> tuple[LayoutSpace, Notes]:
    """A box at level 0, with a track along it at y = 300, and girders at ``upper_mm`` right above it."""
    framing, notes = FramingSettings(), Notes()
    boards = {
        n: board_of(OBLONG, name=n, joints=(((0, 0), (0, 500)), ((1000, 0), (1000, 500)))) for n in "AB"
    }
    boards["B"] = replace(boards["B"], level_mm=upper_mm)
    plans = {n: BoardPlan(board=n) for n in boards}
    along = ((0.0, 300.0), (1000.0, 300.0))
    plans["A"] = BoardPlan(board="A", tracks=(Track(id="TR001", points=along),))
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
    asked = SpaceSettings(headroom_mm=headroom_mm)
    return space(boards, plans, frames, found, cut, stands or {}, asked, heard, **supported), heard


def test_a_box_and_girders() -> None:
    """A box takes 9 + 90; girders 9 + 90 + 12 + 70 = 181. With the upper deck's underside at 400 there are
    400 - 172 - 9 = 219 between the lower deck's top and the girders' webs."""
    found, notes = measured(400.0)
    lower, upper = found.boards
    assert (lower.style, lower.takes_mm, lower.below) == ("box", 99.0, "")
    assert str(lower.rise_mm) == "0.0"  # not -0.0, which a reader stumbles over
    assert (upper.style, upper.takes_mm, upper.below) == ("l-girder", 181.0, "A")
    assert upper.free_mm == pytest.approx(400 - 172 - 9)
    assert notes.findings == []


def test_too_little_room_between_levels() -> None:
    _, notes = measured(300.0)  # 119 are left
    (told,) = notes.findings
    assert (told.code, told.severity) == ("BW-SPACE-001", Severity.CAUTION)
    assert "119 mm free" in told.says
    assert "height_mm = 331" in told.mend  # 31 more make 150


def test_a_level_inside_the_one_below_is_a_fault() -> None:
    """Girders hang 172 below their deck's underside, the lower deck's top is at 9: at 170 they are in it."""
    _, notes = measured(170.0)
    (told,) = notes.findings
    assert (told.code, told.severity) == ("BW-SPACE-006", Severity.FAULT)
    assert "reaches 11 mm down into board A" in told.says
    assert "height_mm = 331" in told.mend


def leg(name: str, x: float, y: float) -> Leg:
    return Leg(
        id=name, member="B-J1", x_mm=x, y_mm=y, top_mm=-172.0, length_mm=1200.0, side_mm=44.0, foot_mm=25.0
    )


def test_legs_that_come_down_through_the_board_below_are_told() -> None:
    """The second stands 278 - 22 .. 278 + 22: its side just touches the track at 300. The third has its
    square from 1022 - 22 on: beside the lower board, which ends at 1000."""
    legs = (leg("B-L1", 200.0, 100.0), leg("B-L2", 800.0, 278.0), leg("B-L3", 1022.0, 100.0))
    _, notes = measured(400.0, stands={"A": BoardStand(board="A"), "B": BoardStand(board="B", legs=legs)})
    (told,) = notes.findings
    assert (told.code, told.severity) == ("BW-SPACE-007", Severity.CAUTION)
    assert told.says == (
        "Legs of board B come down through board A below it: B-L1, B-L2; "
        "B-L2 stands on the centre line of track TR001."
    )
    _, clear = measured(400.0, stands={"B": BoardStand(board="B", legs=(leg("B-L1", 200.0, 100.0),))})
    assert "B-L1 stands 178 mm from the centre line" in clear.findings[0].says  # 300 - (100 + 22)


def test_a_leg_beside_its_member_is_looked_at_where_it_stands_itself() -> None:
    """28 mm further in than its member's middle: 300 - (100 + 28 + 22) = 150."""
    one = replace(leg("B-L1", 200.0, 100.0), lap_mm=70.0, off_mm=(0.0, 28.0))
    _, notes = measured(400.0, stands={"B": BoardStand(board="B", legs=(one,))})
    assert "B-L1 stands 150 mm from the centre line" in notes.findings[0].says


def test_legs_of_the_lowest_level_and_beside_the_lower_board_are_not_told() -> None:
    stands = {
        "A": BoardStand(board="A", legs=(leg("A-L1", 200.0, 100.0),)),
        "B": BoardStand(board="B", legs=(leg("B-L1", 200.0, -22.0),)),
    }
    _, notes = measured(400.0, stands=stands)
    assert notes.findings == []


def trestles(ys: tuple[float, ...], kind: Any = "trestles") -> dict[str, Any]:
    """Two rows across each board, at 220 and 780, from the first of ``ys`` to the last."""
    rows = tuple(
        SupportPoint(member="B-J1", x_mm=x, y_mm=y, load_n=50.0, uplift_n=0.0)
        for x in (220.0, 780.0)
        for y in ys
    )
    own = BoardSupports(level=LevelSupports(level_mm=400.0, kind=kind))
    return {
        "strengths": {
            n: BoardStrength(board=n, support=kind, points=rows, mass_kg=9.0, service_class=1) for n in "AB"
        },
        "supports": SupportSettings(kind="trestles"),
        "levels": {"B": own},
    }


def test_trestles_that_come_down_through_the_board_below_are_told() -> None:
    """Both rows lie over the board below, which itself stands on the floor; rows that begin beyond its edge
    at 500 are beside it; a board on brackets or with places of its own has no trestles."""
    _, notes = measured(400.0, **trestles((6.0, 494.0)))
    (told,) = notes.findings
    assert (told.code, told.severity) == ("BW-SPACE-007", Severity.CAUTION)
    assert told.says == "2 trestles of board B come down through board A below it."
    assert "level_mm = 400" in told.mend
    for clear in (trestles((500.5, 900.0)), trestles((6.0, 494.0), "brackets")):
        assert measured(400.0, **clear)[1].findings == []
    placed = trestles((6.0, 494.0)) | {
        "supports": SupportSettings(kind="trestles", points={"B": ((1.0, 1.0),)})
    }
    assert measured(400.0, **placed)[1].findings == []
