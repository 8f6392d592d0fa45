"""Corner blocks counted from joints that no screw holds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from boardwright import Notes
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.blocking import block_lines
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring, HardwareLine, Member, MemberRole

RECTANGLE = ((0, 0), (1000, 0), (1000, 600), (0, 600))


def blocks(made: Any) -> list[HardwareLine]:
    answer = parts(
        made.board,
        BoardPlan(board="A"),
        made.frame,
        made.joists,
        BoardFixings(board="A"),
        BoardWiring(board="A"),
        FramingSettings(),
        Notes(),
    )
    return list(block_lines(made.frame, made.joists, answer))


def test_a_screwed_box_needs_none(boxes: Any) -> None:
    assert blocks(boxes.box("A", RECTANGLE, (), (350.0,))) == []


def test_strips_too_thin_to_screw(boxes: Any) -> None:
    """6 mm strips, 70 deep: four corners and both ends of a joist, six blocks 70 long."""
    (line,) = blocks(replace(boxes, thickness_mm=6, depth_mm=70).box("A", RECTANGLE, (), (350.0,)))
    assert (line.quantity, line.why) == (6 * 70, "6 of 70 for butt joints without a screw")


def test_a_skewed_end(boxes: Any) -> None:
    """An end at 45° between two sides is too skewed to screw at both of its ends."""
    (line,) = blocks(boxes.box("A", ((0, 0), (1000, 0), (1600, 600), (0, 600))))
    assert (line.quantity, line.why) == (2 * 90, "2 of 90 for butt joints without a screw")


def test_mitred_corners(boxes: Any) -> None:
    """Four strips mitred at 45°: four corners, one block each."""
    inner = ((12, 12), (988, 12), (988, 588), (12, 588))
    made = boxes.box("A", RECTANGLE)
    members = tuple(
        Member(
            id=f"M{n}",
            role=MemberRole.SIDE,
            outer_start=RECTANGLE[n],
            outer_end=RECTANGLE[(n + 1) % 4],
            inner_start=inner[n],
            inner_end=inner[(n + 1) % 4],
            thickness_mm=12,
            depth_mm=90,
            material="birch ply",
        )
        for n in range(4)
    )
    frame = type(made.frame)(board="A", outer=RECTANGLE, inner=inner, members=members)
    (line,) = blocks(type(made)(made.board, frame, made.joists))
    assert (line.quantity, line.why) == (4 * 90, "4 of 90 for mitred corners")


@pytest.mark.parametrize("cut_mm", [5.0, 200.0])
def test_a_joist_that_stands_short(boxes: Any, cut_mm: float) -> None:
    """A joist whose far end is cut short meets nothing there: one block, whatever the gap."""
    import msgspec

    made = boxes.box("A", RECTANGLE, (), (350.0,))
    joist = made.joists.members[0]
    (x0, y0), (x1, y1) = joist.outer_end, joist.inner_end
    short = msgspec.structs.replace(joist, outer_end=(x0, y0 - cut_mm), inner_end=(x1, y1 - cut_mm))
    joists = msgspec.structs.replace(made.joists, members=(short,))
    (line,) = blocks(type(made)(made.board, made.frame, joists))
    assert (line.quantity, line.why) == (90, "1 of 90 for joist ends that stand against no one strip")
