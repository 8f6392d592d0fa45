"""What no joint can part is known at once, by what stands too close together for one to pass between."""

from __future__ import annotations

import math
import random
from typing import Any

import numpy as np
import pytest

from boardwright.plan.model import Obstacle
from boardwright_stages.splitting import solving
from boardwright_stages.splitting.blocked import surely_stuck
from boardwright_stages.splitting.keepaway import KeepAway
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.settings import SplittingSettings

SHELF = ((0.0, 0.0), (2300.0, 0.0), (2300.0, 500.0), (0.0, 500.0))
SETTINGS = SplittingSettings()  # 1200 × 750 mm; joints keep 10 mm from obstacles


def two_slabs(lane_mm: float, degrees: float = 0.0, length_mm: float = 650.0) -> tuple[Obstacle, ...]:
    """Two slabs in the middle of the shelf, a lane between them at 1150 mm; turned about the origin."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turn = np.array(((c, -s), (s, c)))
    spans = ((1150 - lane_mm / 2 - length_mm, 1150 - lane_mm / 2), (1150 + lane_mm / 2, 1150 + length_mm))
    rings = [np.array(((a, 200), (b, 200), (b, 300), (a, 300))) @ turn.T for a, b in spans]
    return tuple(Obstacle(id=f"O{k}", ring=tuple((x, y) for x, y in r.tolist())) for k, r in enumerate(rings))


@pytest.mark.parametrize("degrees", [0.0, 33.0, 90.0])
@pytest.mark.parametrize(
    ("lane_mm", "length_mm", "stuck"), [(19, 650, True), (21, 650, False), (19, 560, False)]
)
def test_a_lane_of_twice_the_free_distance_parts_what_stands_on_either_side(
    plan_of: Any, degrees: float, lane_mm: float, length_mm: float, stuck: bool
) -> None:
    """Slabs of 650 mm, 10 mm wanted to each: a joint needs 20 mm. 2 × 650 + 20 mm lie on one board or on two;
    2 × 560 + 20 = 1140 mm fit one board of 1200 mm."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    ring = tuple((c * x - s * y, s * x + c * y) for x, y in SHELF)
    plan = plan_of(ring, obstacles=two_slabs(lane_mm, degrees, length_mm))
    assert surely_stuck(from_outline(ring, ()), SETTINGS, KeepAway(plan, SETTINGS)) == stuck


def test_what_stands_within_the_reach_of_a_board_turned_may_fit(plan_of: Any) -> None:
    """A slab fits a board of 1200 × 750 mm across its corners: √(1200² + 750²) = 1415 mm."""
    ring = ((0.0, 0.0), (1600.0, 0.0), (1600.0, 900.0), (0.0, 900.0))
    for length, stuck in ((1385.0, False), (1418.0, True)):
        slab = Obstacle(id="O", ring=((10, 450), (10 + length, 450), (10 + length, 451), (10, 451)))
        keep_away = KeepAway(plan_of(ring, obstacles=(slab,)), SplittingSettings(device_clear_mm=1.0))
        assert surely_stuck(from_outline(ring, ()), SETTINGS, keep_away) == stuck


def test_a_lump_too_heavy_for_any_board_is_known(plan_of: Any) -> None:
    """600 × 400 mm: 0.24 m² × 11.3 + 2 m × 0.75 = 4.2 kg at least."""
    slab = Obstacle(id="O", ring=((100, 50), (700, 50), (700, 450), (100, 450)))
    keep_away = KeepAway(plan_of(SHELF, obstacles=(slab,)), SplittingSettings(device_clear_mm=0.0))
    piece = from_outline(SHELF, ())
    assert surely_stuck(piece, SplittingSettings(max_mass_kg=4.1), keep_away)
    assert not surely_stuck(piece, SplittingSettings(max_mass_kg=4.3), keep_away)


def test_what_stands_near_the_piece_and_not_on_it_is_no_lump(plan_of: Any) -> None:
    """Over the shelf's edge by its free distance, beside it, and in the notch of an L."""
    ell = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 300.0), (300.0, 300.0), (300.0, 1000.0), (0.0, 1000.0))
    for low in (305.0, 312.0, 600.0):
        slab = Obstacle(id="O", ring=((400, low), (900, low), (900, low + 50), (400, low + 50)))
        assert not surely_stuck(
            from_outline(ell, ()), SETTINGS, KeepAway(plan_of(ell, obstacles=(slab,)), SETTINGS)
        )


def test_the_search_agrees_and_needs_no_splinters(
    plan_of: Any, cut: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the proof the search finds the same: it gives up when it only makes splinters."""
    rnd = random.Random(5)
    for _ in range(2):
        lane = rnd.uniform(5, 18)
        plan = plan_of(SHELF, obstacles=two_slabs(lane, length_mm=rnd.uniform(700, 1100)))
        made, told = cut(plan)
        with monkeypatch.context() as patch:
            patch.setattr(solving, "surely_stuck", lambda *_: False)
            again, told_again = cut(plan)
        assert made == again
        assert told == told_again
        assert "BW-SPLIT-001" in {f.code for f in told}
