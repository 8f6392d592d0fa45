"""Elimination row by row gives what solving all at once gives; a bent strip gives by its twist."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from boardwright_stages.strength.grillage import Beam, moved_by, rows_of, solve
from boardwright_timber.reference import strength_row


@pytest.mark.parametrize("seed", range(30))
def test_row_by_row_equals_all_at_once(seed: int) -> None:
    """Against ``numpy.linalg.solve``, on springs between random nodes, in one piece or several."""
    luck = random.Random(seed)
    count, loads = luck.randrange(1, 60), luck.randrange(1, 4)
    pairs = {
        tuple(sorted(luck.sample(range(count), 2))) for _ in range(luck.randrange(2 * count)) if count > 1
    }
    whole = np.diag([luck.uniform(0.5, 1.0) for _ in range(count)])
    for a, b in sorted(pairs):
        spring = luck.uniform(0.1, 10.0)
        whole[[a, b], [a, b]] += spring
        whole[[a, b], [b, a]] -= spring
    push = np.array([[luck.uniform(-1.0, 1.0) for _ in range(loads)] for _ in range(count)])
    ends = np.array(sorted(pairs), dtype=int).reshape(-1, 2)
    rows = rows_of(ends, count)
    assert sorted(n for row in rows for n in row) == list(range(count))
    still = set(luck.sample(range(count), luck.randrange(count)))
    free = [n for n in range(count) if n not in still]
    moved = moved_by(whole, push, [[n for n in row if n not in still] for row in rows])
    assert not moved[sorted(still)].any()
    assert np.allclose(moved[free], np.linalg.solve(whole[np.ix_(free, free)], push[free]), atol=1e-12)


@pytest.mark.parametrize("turn_deg", [0.0, 10.0, 20.0, 45.0])
def test_a_stiff_corner_gives_by_the_twist_of_its_strips(turn_deg: float) -> None:
    """Two strips 400 long meet at a stiff corner under 100 N, their far ends held up and held against twist.
    By symmetry a corner passes on no couple about the line of symmetry: each strip bends by P·L / 2 there and
    twists by P·L/2 · tan(turn / 2), all along. By the energy of both (Castigliano)

        sag = P·L³ / 6EI + P·L³·tan²(turn / 2) / 2GJ

    In 12 × 90 ply EI is 217 GJ: at 20° that is 21 times the sag of the straight strip. So a corner that turns
    gives nearly as a hinge does, however stiff it is made."""
    load, long, t, h = 100.0, 400.0, 12.0, 90.0
    row = strength_row("birch ply", t)
    bending = row.edgewise_n_mm2 * t * h**3 / 12
    twist = row.shear_modulus_n_mm2 * h * t**3 / 3 * (1 - 0.63 * t / h)
    assert bending / twist == pytest.approx(217, abs=0.5)
    half = math.radians(turn_deg) / 2
    c, s = math.cos(half), math.sin(half)
    # the corner, both far ends, and beside each a support that a stiff beam square to the strip leads to
    points = [(0.0, 0.0), (-long * c, -long * s), (long * c, -long * s)]
    points += [(-long * c - 50 * s, -long * s + 50 * c), (long * c + 50 * s, -long * s + 50 * c)]
    strips = [Beam(0, n, bending, 1e30, twist) for n in (1, 2)]
    holding = [Beam(n, n + 2, 1e5 * bending, 1e30, 1e-3) for n in (1, 2)]
    found = solve(points, [*strips, *holding], [1, 2, 3, 4], np.array([[load], [0], [0], [0], [0]]))
    straight = load * long**3 / (6 * bending)
    by_hand = straight + load * long**3 * math.tan(half) ** 2 / (2 * twist)
    assert found.sags[0, 0] == pytest.approx(by_hand, rel=1e-4)
    if turn_deg == 20.0:
        assert by_hand / straight == pytest.approx(21.2, abs=0.05)
