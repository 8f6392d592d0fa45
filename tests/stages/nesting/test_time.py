"""Long lists in bounded time: CPU time, so a busy machine does not decide; the bar allows for a slow one."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from decimal import Decimal

import pytest

from boardwright import Notes
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import Grain

PLY = StockSheet(name="whole", material="birch ply", thickness_mm=12.0, price=Decimal(60))
HALF = StockSheet(name="half", material="birch ply", thickness_mm=12.0, length_mm=1220.0, price=Decimal(34))
OFFCUT = StockSheet(
    name="offcut",
    material="birch ply",
    thickness_mm=12.0,
    length_mm=900.0,
    width_mm=400.0,
    price=Decimal(0),
    quantity=3,
)


def any_sizes(number: int, draw: random.Random) -> list[tuple[float, float, Grain]]:
    """Sizes to the hundredth of a millimetre: they share no divisor a table could be thinned by."""
    return [
        (round(draw.uniform(60, 1100), 2), round(draw.uniform(60, 900), 2), draw.choice(list(Grain)))
        for _ in range(number)
    ]


@pytest.mark.parametrize(
    ("sheets", "stages"),
    [((PLY,), 0), ((PLY,), 2), ((PLY, HALF, OFFCUT), 3)],
    ids=["one kind, any stages", "one kind, two stages", "three kinds"],
)
def test_300_different_parts(
    sheets: tuple[StockSheet, ...], stages: int, part: Callable, one_board: Callable, sawn_right: Callable
) -> None:
    parts = [part(f"P{n:03d}", *size) for n, size in enumerate(any_sizes(300, random.Random(5)))]
    how = CuttingSettings(stages=stages)
    start = time.process_time()
    plan = cutting(one_board(parts), StockSettings(sheets=sheets), how, Notes())
    taken = time.process_time() - start
    sawn_right(plan, parts, True)
    assert taken < 4.0  # measured 1.1 to 1.7 s


def test_5000_parts_of_200_modules(part: Callable, one_board: Callable) -> None:
    sizes = any_sizes(25, random.Random(6))
    parts = [part(f"P{n:02d}-{copy:03d}", *size) for n, size in enumerate(sizes) for copy in range(200)]
    start = time.process_time()
    plan = cutting(one_board(parts), StockSettings(sheets=(PLY,)), CuttingSettings(), Notes())
    taken = time.process_time() - start
    assert sorted(p.part for s in plan.sheets for p in s.parts) == [p.id for p in parts]
    assert taken < 10.0  # measured 2 s
