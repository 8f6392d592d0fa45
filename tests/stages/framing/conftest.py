"""Boards for the tests of frames: any ring becomes a board whose own axes are the plan's."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Board, Joint


def board_of(
    ring: Ring, wells: tuple[Ring, ...] = (), joints: tuple[tuple[Point, Point], ...] = (), name: str = "B01"
) -> Board:
    """A board at plan (0, 0), not turned; ``joints`` lead to boards X1, X2 …"""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return Board(
        id=name,
        outline="O1",
        level_mm=0.0,
        ring=tuple(ring),
        wells=wells,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=max(xs),
        width_mm=max(ys),
        joints=tuple(
            Joint(id=f"J{n:02}", boards=(name, f"X{n}"), start=a, end=b) for n, (a, b) in enumerate(joints, 1)
        ),
    )


@pytest.fixture(scope="session")
def make_board() -> Callable[..., Board]:
    return board_of
