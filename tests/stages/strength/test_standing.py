"""What tips boards on their own legs, by statics; legs that two boards share."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from boardwright import Notes, Severity
from boardwright_stages.hardware.supporting import support_lines
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import in_words, short_of, standing, strength
from boardwright_stages.strength.tipping import Body, foot, joined, tipping
from boardwright_timber.model import Board, BoardParts, BoardStrength, Joint

FEET = [(200.0, 0.0), (800.0, 0.0), (800.0, 500.0), (200.0, 500.0)]
RIM = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0)]


def test_push_and_edge_by_hand() -> None:
    """10 kg, 98.1 N, in the middle: 250 mm from the long lines of feet, so 98.1 × 250 / 1000 = 24.5 N at 1 m;
    an end reaches 200 mm beyond feet 300 mm from the middle: 98.1 × 300 / 200 = 147 N."""
    push, edge = tipping(Body(FEET, RIM, 10.0, (500.0, 250.0), 1000.0))
    assert push == pytest.approx(98.1 * 250 / 1000)
    assert edge == pytest.approx(98.1 * 300 / 200)


def test_wider_feet_and_a_lower_deck_stand_more() -> None:
    wide = [(200.0, -100.0), (800.0, -100.0), (800.0, 600.0), (200.0, 600.0)]
    push, _ = tipping(Body(wide, RIM, 10.0, (500.0, 250.0), 1000.0))
    low, _ = tipping(Body(FEET, RIM, 10.0, (500.0, 250.0), 500.0))
    assert push == pytest.approx(98.1 * 300 / 1000)  # now the ends' feet are nearer: 300
    assert low == pytest.approx(98.1 * 250 / 500)


@pytest.mark.parametrize(
    ("at", "stands"),
    [
        ((200.0, 6.0), (200.0, 34.0)),  # a side 12 thick: 6 + 6 + 22 from its edge
        ((994.0, 250.0), (966.0, 250.0)),  # an end
        ((500.0, 400.0), (500.0, 400.0)),  # a girder, well inside
    ],
)
def test_a_bolted_leg_stands_at_the_inner_face(at: tuple[float, float], stands: tuple[float, float]) -> None:
    assert foot(board("A", 0), at, 22.0) == pytest.approx(stands)
    assert foot(board("A", 0), at, 0.0) == at


def test_on_one_line_it_does_not_stand() -> None:
    assert tipping(Body([(0.0, 0.0), (9.0, 0.0)], RIM, 10.0, (500.0, 250.0), 1000.0)) == (0.0, 0.0)


JOINT = Joint(id="A|B", boards=("A", "B"), start=(1000.0, 0.0), end=(1000.0, 500.0))


def board(name: str, x: float, *joints: Joint) -> Board:
    return Board(
        id=name,
        outline="O1",
        level_mm=0.0,
        ring=((x, 0.0), (x + 1000, 0.0), (x + 1000, 500.0), (x, 500.0)),
        origin=(x, 0.0),
        angle_deg=0.0,
        length_mm=1000.0,
        width_mm=500.0,
        joints=joints,
    )


def test_groups_of_boards_bolted_together() -> None:
    free = msgspec.structs.replace(JOINT, lift_out=True)
    two = {"A": board("A", 0, JOINT), "B": board("B", 1000, JOINT), "C": board("C", 2000)}
    assert joined(two) == [("A", "B"), ("C",)]
    assert joined({"A": board("A", 0, free), "B": board("B", 1000, free)}) == [("A",), ("B",)]


def stood(push_n: float, points: list[tuple[float, float]]) -> Notes:
    from boardwright_timber.model import SupportPoint

    notes = Notes()
    under = tuple(SupportPoint(member="S", x_mm=x, y_mm=y, load_n=0, uplift_n=0) for x, y in points)
    found = standing(
        {"A": board("A", 0)},
        {"A": BoardStrength(board="A", support="legs", points=under, mass_kg=20, service_class=2)},
        {"A": BoardParts(board="A", mass_kg=10.0)},
        StrengthSettings(hand_n=100.0),
        SupportSettings(push_n=push_n),
        notes,
    )
    assert len(found.groups) == (1 if push_n else 0)
    return notes


def test_a_weak_stand_is_a_caution() -> None:
    """Legs of 44 at the inner faces: 250 - 22 = 228 from the middle, so 98.1 × 228 / 1000 = 22.4 N."""
    assert stood(20.0, FEET).findings == []
    (told,) = stood(30.0, FEET).findings
    assert (told.code, told.severity) == ("BW-STR-012", Severity.CAUTION)
    assert "22 N sideways" in told.says
    assert stood(0.0, FEET).findings == []


def test_a_push_a_little_short_is_not_told_as_the_push_wanted() -> None:
    """Both would be 50 N in whole newtons."""
    assert [short_of(49.6, 50.0), short_of(49.4, 50.0), short_of(50.0, 50.0)] == ["49.6", "49", "50"]


def test_boards_are_told_as_a_run_only_where_none_is_missing() -> None:
    assert in_words(("B01", "B02")) == "B01 and B02"
    assert in_words(("B08", "B09", "B10")) == "B08 to B10"
    assert in_words(("B01", "B04", "B05")) == "B01, B04 and B05"
    assert in_words(("North", "B02", "Yard")) == "North, B02 and Yard"


def test_shared_legs_stand_under_the_first_board_of_a_joint(boxes: Any) -> None:
    from boardwright_stages.framing.settings import FramingSettings
    from boardwright_stages.parts.stages import parts
    from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring

    shared = SupportSettings(shared=True)
    legs = {}
    for name, x in (("A", 0.0), ("B", 1000.0)):
        made = boxes.box(name, ((x, 0), (x + 1000, 0), (x + 1000, 500), (x, 500)), (JOINT,), (300.0, 650.0))
        cut = parts(
            made.board,
            BoardPlan(board=name),
            made.frame,
            made.joists,
            BoardFixings(board=name),
            BoardWiring(board=name),
            FramingSettings(),
            Notes(),
        )
        found = strength(made.board, made.frame, made.joists, cut, StrengthSettings(), shared, Notes())
        assert found.support.startswith("legs shared at joints")
        lines = list(support_lines(made.board, made.frame, made.joists, found, (), shared, Notes()))
        legs[name] = sum(line.quantity for line in lines if line.item.startswith("leg-bolt-"))
        sunk = sum(line.quantity for line in lines if line.item.startswith("leg-bolt-sunk-"))
        assert sunk == (2 if name == "A" else 0)  # at the joint, where the other board comes against it
        at_joint = [p for p in found.points if p.on or abs(p.x_mm - (994 if name == "A" else 6)) < 1]
        assert {p.on for p in at_joint} == ({""} if name == "A" else {"A"})
        assert len(at_joint) == 2
    assert legs["A"] == 4
    assert legs["B"] == 2
