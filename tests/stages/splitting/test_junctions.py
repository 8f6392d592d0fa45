"""Joints that end on other joints: corner to corner, or with room for bolts between them."""

from __future__ import annotations

import os
import random
from typing import Any

import numpy as np
import pytest

from boardwright.plan.model import Device, Ring
from boardwright_stages.splitting import chords, junctions
from boardwright_stages.splitting.piece import Cut, Piece, from_outline
from boardwright_stages.splitting.tracks import BREACH_BOARDS

SHORTEST_MM = 128.0
SPINE = Cut((0.0, 600.0), (2000.0, 600.0))  # along a table 2000 × 1200
OTHER_SIDE = Cut((900.0, 600.0), (900.0, 1200.0))
SIZE = {"length_mm": 60.0, "width_mm": 40.0, "depth_mm": 50.0, "clearance_mm": 15.0}


def front() -> Piece:
    return from_outline(((0.0, 0.0), (2000.0, 0.0), (2000.0, 600.0), (0.0, 600.0)), ())


@pytest.mark.parametrize(
    ("x", "boards"),
    [
        (900.0, 0.0),  # corner to corner
        (1028.0, 0.0),  # 128 mm beside it
        (964.0, BREACH_BOARDS * 1.5),  # half of what is needed
        (32.0, BREACH_BOARDS * 1.75),  # from the spine's own end
    ],
)
def test_an_end_too_near_another_breaks_a_rule(x: float, boards: float) -> None:
    edges = junctions.beside(front(), (SPINE, OTHER_SIDE), SHORTEST_MM)
    assert [e.nodes.tolist() for e in edges] == [[0.0, 900.0, 2000.0]]
    found = chords.find(front(), np.array([[1.0, 0.0]]), np.array([x]))
    assert junctions.cost(found, edges, SHORTEST_MM)[0] == pytest.approx(boards)
    one = (Cut((x, 0.0), (x, 600.0)),)
    assert junctions.cost_of(one, (SPINE, OTHER_SIDE), SHORTEST_MM) == pytest.approx(boards)


def test_a_cut_that_ends_elsewhere_costs_nothing() -> None:
    edges = junctions.beside(front(), (SPINE, OTHER_SIDE), SHORTEST_MM)
    found = chords.find(front(), np.array([[0.0, 1.0]]), np.array([300.0]))
    assert junctions.cost(found, edges, SHORTEST_MM)[0] == 0
    assert junctions.beside(front(), (OTHER_SIDE,), SHORTEST_MM) == ()


def wide(seed: int) -> tuple[Ring, tuple[Ring, ...], tuple[Device, ...]]:
    """A table, an L or a tapering table with a few devices, of six boards and more."""
    rnd = random.Random(seed)
    a, b, d = rnd.uniform(2300, 3000), rnd.uniform(1300, 1600), rnd.uniform(500, 1000)
    ring: Ring = (
        ((0, 0), (a, 0), (a, b), (0, b)),
        ((0, 0), (a, 0), (a, d), (d, d), (d, b), (0, b)),
        ((0, 0), (a, 0), (a, b), (0, b * 0.8)),
    )[seed % 3]
    well: Ring = ((0.3 * a, 0.4 * b), (0.6 * a, 0.4 * b), (0.6 * a, 0.7 * b), (0.3 * a, 0.7 * b))
    devices = tuple(
        Device(id=f"M{k}", kind="motor", x_mm=rnd.uniform(0, a), y_mm=rnd.uniform(0, b), **SIZE)
        for k in range(6)
    )
    return ring, (well,) if seed % 6 == 0 else (), devices


def test_no_two_boards_of_a_wide_layout_meet_over_less_than_their_bolts_need(plan_of: Any, cut: Any) -> None:
    """Without the rule some do, so that this can fail."""
    shortest, without, side_boards = [], 0, 0
    for seed in range(40 if os.environ.get("BOARDWRIGHT_DEEP") else 3):
        ring, wells, devices = wide(seed)
        plan = plan_of(ring, wells, devices=devices)
        made, _ = cut(plan, step_mm=100.0)
        shortest.append(min(j.length_mm for j in made.joints))
        side_boards += len(made.joints) >= len(made.boards)
        free, _ = cut(plan, step_mm=100.0, shortest_joint_mm=0, roomy_joint_mm=0)
        without += min(j.length_mm for j in free.joints) < SHORTEST_MM
    assert min(shortest) >= SHORTEST_MM
    assert side_boards
    assert without
