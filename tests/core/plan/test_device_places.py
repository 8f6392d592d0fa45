"""Devices counted from something drawn, moved to turnouts, and lying on one another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from boardwright.findings import Severity
from boardwright.plan.kinds import KINDS, PRACTICE

Draw = Callable[[Any], None]
HEAD = "id,kind,x_mm,y_mm,from,note\n"


@pytest.fixture
def yard(board: Draw) -> Draw:
    """A joint across the board at x = 600 and a turnout T1 at (300, 200)."""

    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_line((600, 500), (600, 0), dxfattribs={"layer": "Joints"})
        doc.blocks.new("TURNOUT").add_lwpolyline([(0, -15), (150, -15), (150, 30), (0, 15)], close=True)
        insert = doc.modelspace().add_blockref("TURNOUT", (300, 200), dxfattribs={"layer": "Turnouts"})
        insert.add_attrib("NAME", "T1", (300, 200))

    return draw


def test_counted_from_a_joint_a_turnout_and_a_device(read: Any, yard: Draw) -> None:
    rows = "A,feed,100,40,J1,\nB,feed,-20,50,T1,\nC,feed,,,T1,at the toe\nD,feed,10,0,E,\nE,feed,800,400,,\n"
    devices = {d.id: d for d in read(yard, HEAD + rows).plan.devices}
    # J1 runs from (600, 0) up to (600, 500): 100 along it is y = 100; 40 to its left is x = 600 - 40
    assert (devices["A"].x_mm, devices["A"].y_mm) == (560, 100)
    assert (devices["B"].x_mm, devices["B"].y_mm) == (280, 250)
    assert (devices["C"].x_mm, devices["C"].y_mm, devices["C"].note) == (300, 200, "at the toe")
    assert (devices["D"].x_mm, devices["D"].y_mm) == (810, 400)


def test_counted_from_what_is_not_there(read: Any, yard: Draw) -> None:
    found = read(yard, HEAD + "A,feed,1,1,J7,\n").problems["BW-READ-064"]
    assert "'J1'" in found.mend
    assert found.where[0].row == 2


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("A,feed,1,1,B,\nB,feed,1,1,T1,\n", "A counts from B, which counts from something else itself"),
        ("A,feed,1,1,A,\n", "A counts from itself"),
        ("A,feed,1,1,B,\nB,feed,1,,,\n", "A counts from B, which has no whole place"),
    ],
)
def test_devices_that_others_cannot_count_from(read: Any, yard: Draw, rows: str, says: str) -> None:
    assert read(yard, HEAD + rows).problems["BW-READ-064"].says == says


def test_a_board_is_no_place_to_count_from(read: Any, yard: Draw) -> None:
    found = read(yard, "id,kind,x_mm,y_mm,board\nA,feed,1,1,B03\n").problems["BW-READ-063"]
    assert "drawn joint" in found.mend


def test_moved_to_the_turnout_only_where_asked_and_near(read: Any, yard: Draw) -> None:
    rows = HEAD + "M1,servo,310,200,,\nM2,servo,500,300,,\nF1,feed,295,250,,\n"
    assert [d.x_mm for d in read(yard, rows).plan.devices] == [295, 310, 500]
    case = read(yard, rows, kinds={"servo": {"snap_to_turnout_mm": 40}})
    assert [(d.id, d.x_mm) for d in case.plan.devices] == [("F1", 295), ("M1", 300), ("M2", 500)]
    assert "10.0 mm to turnout T1" in case.notes["BW-READ-061"].says
    assert case.notes["BW-READ-061"].severity is Severity.MENDED


def test_overlapping_devices_are_a_caution(read: Any, board: Draw) -> None:
    # two servos, 45 × 25 mm: 44 mm apart they overlap by 1 mm, 45 mm apart they touch and do not
    near = read(board, HEAD + "A,servo,100,100,,\nB,servo,144,100,,\n").notes["BW-READ-060"]
    assert near.severity is Severity.CAUTION
    assert [p.item for p in near.where] == ["A", "B"]
    assert "BW-READ-060" not in read(board, HEAD + "A,servo,100,100,,\nB,servo,145,100,,\n").notes
    twice = read(board, HEAD + "A,servo,100,100,,\nB,servo,100,100,,\n").notes["BW-READ-060"]
    assert "one device written twice" in twice.says


def test_every_kind_states_its_source_and_can_be_overridden(read: Any, board: Draw) -> None:
    for name, kind in KINDS.items():
        assert kind.source == PRACTICE  # a row with a source says which, and this line then names it
        assert min(kind.length_mm, kind.width_mm, kind.depth_mm) > 0, name
        assert kind.conductors >= 2, name
        assert kind.current_ma > 0, name
    case = read(board, HEAD + "A,servo,100,100,,\n", kinds={"servo": {"depth_mm": 99, "conductors": 5}})
    (servo,) = case.plan.devices
    assert (servo.hole_mm, servo.slot_mm) == (KINDS["servo"].hole_mm, 0)
    rows = "id,kind,x_mm,y_mm,hole_mm,slot_mm\nA,servo,100,100,,\nB,servo,300,100,0,\nC,servo,500,100,4,18\n"
    holes = read(board, rows, kinds={"servo": {"hole_mm": 6}}).plan.devices
    assert [(d.hole_mm, d.slot_mm) for d in holes] == [(6, 0), (0, 0), (4, 18)]
    assert (servo.depth_mm, servo.conductors, servo.current_ma, servo.length_mm) == (99, 5, 500, 45)
