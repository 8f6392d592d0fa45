"""Elimination row by row gives what solving all at once gives."""

from __future__ import annotations

import random

import numpy as np
import pytest

from boardwright_stages.strength.grillage import moved_by, rows_of


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
