"""Risers one by one: which face of a noggin takes one."""

from __future__ import annotations

import math

import pytest
import shapely
from any_shapes import board_of

from boardwright.plan.model import Device, Ring
from boardwright_stages.joists.risers import risers
from boardwright_timber.model import Member, MemberRole, Panel

OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))


@pytest.mark.parametrize(("near_mm", "inner"), [(0, True), (150, False)])
def test_a_riser_stands_below_the_deck_where_it_can(near_mm: float, inner: bool) -> None:
    """A noggin at 64 to 76 along the edge of a deck that begins at 60: on its outer face a riser has 4 mm of
    its 12 under the deck, which counts as 300 · 2 · 4/12 = 200 mm; on the inner one a device leaves 250 of
    300 mm, and 300 - 50 - 150 = 100 where it is 150 mm longer."""
    noggin = Member(
        id="B01-H1",
        role=MemberRole.HEADER,
        outer_start=(450.0, 64.0),
        outer_end=(750.0, 64.0),
        inner_start=(450.0, 76.0),
        inner_end=(750.0, 76.0),
        thickness_mm=12.0,
        depth_mm=90.0,
        material="birch ply",
        top_mm=-60.0,
    )
    deck = Panel(ring=((0.0, 60.0), (1200.0, 60.0), (1200.0, 140.0), (0.0, 140.0)))
    motor = Device(
        id="D1",
        kind="servo",
        x_mm=450 + (50 + near_mm) / 2,
        y_mm=100,
        length_mm=50 + near_mm,
        width_mm=44,
        depth_mm=40,
        clearance_mm=0,
    )
    board = board_of(OBLONG)
    room = shapely.box(12, 12, 1188, 488)
    made, bare, idle = risers(board, room, (noggin,), (deck,), (motor,), 30.0, 250.0)
    (riser,) = made
    assert (bare, idle) == ((), ())
    assert riser.outer_start[1] == (76 if inner else 52)
    assert math.dist(riser.outer_start, riser.outer_end) == pytest.approx(250 if inner else 300, abs=0.1)
