"""One-dimensional cutting: published cases, and made-up ones against an independent exact solver.

Every sheet is as wide as the pieces, so the public way through sheets is a way through bars.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from boardwright import Notes
from boardwright.plan.source import SourceFile
from boardwright_stages.nesting.nest import nest
from boardwright_timber.model import CuttingPlan

type Lengths = Sequence[tuple[float, int]]  # length, copies


def bars(lengths: Lengths, whole: float, kerf: float) -> CuttingPlan:
    rows = [f"p{n},pine,44,{length},70,{copies},length\n" for n, (length, copies) in enumerate(lengths)]
    stock = (
        f"[saw]\nkerf_mm = {kerf}\ntrim_mm = 0\nstages = 2\n[[sheet]]\nmaterial = 'pine'\nthickness_mm = 44\n"
        f"length_mm = {whole}\nwidth_mm = 70\nprice = 5\n"
    )
    plan = nest(
        SourceFile(
            "parts.csv",
            ("id,material,thickness_mm,length_mm,width_mm,quantity,grain\n" + "".join(rows)).encode(),
        ),
        SourceFile("stock.toml", stock.encode()),
        Notes(),
    ).plan
    cut = Counter(p.length_mm for sheet in plan.sheets for p in sheet.parts)
    wanted: Counter[float] = Counter()
    for length, copies in lengths:
        wanted[length] += copies
    assert cut == wanted
    for sheet in plan.sheets:
        used = [p.length_mm for p in sheet.parts]
        assert sum(used) + kerf * (len(used) - 1) <= whole + 1e-6
    return plan


def test_a_roll_of_5600_cut_in_13_lengths() -> None:
    """Read: a published page on cutting stock gives 73 (sum 407,160, bound 72.7 of 5600)."""
    lengths = [
        *((1380, 22), (1520, 25), (1560, 12), (1710, 14), (1820, 18), (1880, 18), (1930, 20)),
        *((2000, 10), (2050, 12), (2100, 14), (2140, 16), (2150, 18), (2200, 20)),
    ]
    assert sum(x * n for x, n in lengths) == 407_160
    plan = bars(lengths, 5600, 0)
    assert (len(plan.sheets), plan.lower_bounds[0][2]) == (73, 73)
    assert round(100 * (73 * 5600 - 407_160) / (73 * 5600), 3) == 0.401  # per cent of waste, as published


def test_the_classic_of_four_lengths() -> None:
    """Data read, optimum from memory and found again by an exact solver: 453 of 100."""
    plan = bars([(45, 97), (36, 610), (31, 395), (14, 211)], 100, 0)
    assert (len(plan.sheets), plan.lower_bounds[0][2]) == (453, 453)


def fewest_by_patterns(lengths: Sequence[tuple[int, int]], whole: int, kerf: int) -> int:
    """Exact: every way of cutting one bar is written down, and an integer programme picks how often each."""
    found: list[tuple[int, ...]] = []

    def write(n: int, room: int, taken: tuple[int, ...]) -> None:
        if n == len(lengths):
            found.append(taken)
            return
        length, copies = lengths[n]
        for k in range(min(copies, room // (length + kerf)) + 1):
            write(n + 1, room - k * (length + kerf), (*taken, k))

    write(0, whole + kerf, ())
    ways = np.array([f for f in found if any(f)], dtype=float).T
    answer = milp(
        np.ones(ways.shape[1]),
        constraints=LinearConstraint(ways, lb=np.array([c for _, c in lengths], dtype=float)),
        integrality=np.ones(ways.shape[1]),
        bounds=Bounds(0, np.inf),
    )
    assert answer.success
    return round(answer.fun)


@pytest.mark.parametrize("seed", range(24))
def test_made_up_lists_of_joists_meet_an_exact_solver(seed: int) -> None:
    draw = random.Random(seed)
    kerf = draw.choice([0, 2, 3])
    sizes = sorted({draw.randint(300, 1300) for _ in range(draw.randint(3, 6))})
    lengths = [(size, draw.randint(1, 9)) for size in sizes]
    plan = bars(lengths, 2440, kerf)
    truth = fewest_by_patterns(lengths, 2440, kerf)
    assert len(plan.sheets) == truth
    assert plan.lower_bounds[0][2] <= truth
