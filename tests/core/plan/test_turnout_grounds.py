"""Closed lines on a turnout layer are the ground of turnouts, and motors that stand beside them are told."""

from __future__ import annotations

from typing import Any

import pytest

SQUARE = [(0, 0), (1000, 0), (1000, 500), (0, 500)]
ROUND_IT = [(300, 230), (500, 230), (500, 320), (300, 320)]


def layout(doc: Any, *grounds: list[tuple[float, float]], track: bool = True) -> None:
    msp = doc.modelspace()
    msp.add_lwpolyline(SQUARE, close=True, dxfattribs={"layer": "Edge"})
    if track:
        for line in (
            ((0, 250), (350, 250)),
            ((350, 250), (1000, 250)),
            ((350, 250), (600, 280), (1000, 400)),
        ):
            msp.add_lwpolyline(line, dxfattribs={"layer": "Track"})
    for ground in grounds:
        msp.add_lwpolyline(ground, close=True, dxfattribs={"layer": "Turnouts"})


def test_a_closed_line_is_a_turnout_where_tracks_part_in_it(read: Any) -> None:
    case = read(lambda doc: layout(doc, ROUND_IT))
    (found,) = case.plan.turnouts
    assert (found.id, found.x_mm, found.y_mm) == ("T01", 350, 250)
    assert sorted(found.ring) == sorted(ROUND_IT)
    assert "BW-READ-086" in case.notes
    assert not {"BW-READ-023", "BW-READ-072"} & case.notes.keys()


def test_closed_lines_that_overlap_are_one_turnout_and_small_ones_none(read: Any) -> None:
    rails = [(300, 240), (500, 240), (500, 246), (300, 246)]
    blade = [(400, 245), (500, 260), (500, 265), (400, 250)]
    spot = [(700, 100), (710, 100), (710, 110), (700, 110)]
    (found,) = read(lambda doc: layout(doc, rails, blade, spot, track=False)).plan.turnouts
    assert sorted(found.ring) == [(300, 240), (300, 246), (500, 240), (500, 265)]
    assert 300 < found.x_mm < 500


def test_a_line_round_a_block_adds_none(read: Any) -> None:
    def draw(doc: Any) -> None:
        layout(doc, ROUND_IT)
        doc.blocks.new("LEFT").add_lwpolyline([(0, -15), (140, -15), (140, 60), (0, 15)], close=True)
        doc.modelspace().add_blockref("LEFT", (340, 250), dxfattribs={"layer": "Turnouts"})

    (found,) = read(draw).plan.turnouts
    assert found.x_mm == 340


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("M1,point_motor,350,250", False),
        ("M1,point_motor,350,335", False),  # 15 mm off the ground's edge at y = 320
        ("M1,point_motor,350,380", True),  # 60 mm off
        ("M1,solenoid,900,100", True),
        ("M1,servo,350,380", True),
        ("M1,servo,900,100", False),  # 400 mm off: it works something else
        ("M1,electronics,350,380", False),
    ],
)
def test_a_motor_beside_its_turnout_is_told(read: Any, row: str, told: bool) -> None:
    case = read(lambda doc: layout(doc, ROUND_IT), f"id,kind,x_mm,y_mm\n{row}\n")
    assert ("BW-READ-087" in case.notes) is told
    if told and row.startswith("M1,point"):
        assert "M1 by 60 mm (nearest: T01)" in case.notes["BW-READ-087"].says
