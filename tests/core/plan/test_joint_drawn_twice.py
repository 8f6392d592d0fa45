"""A joint that is drawn twice counts once, and that is told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest


def with_joints(
    board: Callable[[Any], None], *lines: tuple[str, tuple[float, float], tuple[float, float]]
) -> Any:
    def draw(doc: Any) -> None:
        board(doc)
        for layer, start, end in lines:
            doc.modelspace().add_line(start, end, dxfattribs={"layer": layer})

    return draw


@pytest.mark.parametrize(
    "second",
    [((500, 0), (500, 500)), ((500, 500), (500, 0)), ((500.3, 0), (499.8, 500)), ((500, 501), (500, -1))],
)
def test_once_however_it_was_drawn(read: Any, board: Any, second: Any) -> None:
    case = read(with_joints(board, ("Joints", (500, 0), (500, 500)), ("Joints", *second)))
    (joint,) = case.plan.drawn_joints
    assert joint.id == "J1"
    told = case.notes["BW-READ-098"]
    assert told.says == "joint J1 is drawn twice; one is used"
    assert len(told.where) == 2


def test_two_that_are_apart_or_on_layers_of_their_own_stay_two(read: Any, board: Any) -> None:
    """Ten millimetres apart; or on the layers of two levels, one above the other."""
    apart = read(with_joints(board, ("Joints", (500, 0), (500, 500)), ("Joints", (510, 0), (510, 500))))
    assert len(apart.plan.drawn_joints) == 2
    layers = read(
        with_joints(board, ("Joints up", (500, 0), (500, 500)), ("Joints low", (500, 0), (500, 500)))
    )
    assert len(layers.plan.drawn_joints) == 2
    assert "BW-READ-098" not in layers.notes
