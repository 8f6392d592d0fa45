"""A narrower trim is told where it saves sheets, by hand; and a saw that keeps it gets along with so many."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from boardwright import Notes
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import BoardParts, Part

BAR = StockSheet(
    name="bar",
    material="birch ply",
    thickness_mm=12.0,
    length_mm=2440.0,
    width_mm=90.0,
    bar=True,
    price=Decimal(5),
)
SHEETS = StockSettings()


def made(parts: dict[str, BoardParts], trim_mm: float, stock: StockSettings) -> tuple[int, list[str]]:
    """How many sheets there are, and what is said of a narrower trim."""
    notes = Notes()
    plan = cutting(parts, stock, CuttingSettings(trim_mm=trim_mm), notes)
    assert not plan.unplaced
    return sum(s.times for s in plan.sheets), [f.says for f in notes.findings if f.code == "BW-CUT-018"]


@pytest.mark.parametrize(
    ("size", "number", "stock", "trim_mm", "before", "after"),
    [
        # across 1220: 600 + 3 + 600 = 1203 leave 17, 8.5 on each side
        ((2000.0, 600.0), 6, SHEETS, 8.5, "6 sheets", "3 sheets"),
        # along 2440: 800 + 3 + 800 + 3 + 800 = 2406 leave 34: three lengths fit already, two strips do not
        ((800.0, 602.0), 6, SHEETS, 6.5, "2 sheets", "1 sheet"),
        # along a bar of 2440: 4 · 605 + 3 · 3 = 2429 leave 11, 5.5 at each end
        ((605.0, 90.0), 12, StockSettings(sheets=(BAR,)), 5.5, "4 bars", "3 bars"),
    ],
)
def test_a_few_millimetres_save_sheets(
    part: Callable[..., Part],
    one_board: Callable[..., dict[str, BoardParts]],
    size: tuple[float, float],
    number: int,
    stock: StockSettings,
    trim_mm: float,
    before: str,
    after: str,
) -> None:
    parts = one_board([part(f"D{n}", *size) for n in range(number)])
    many, few = int(before.split()[0]), int(after.split()[0])
    told = f"birch ply 12 mm: with a trim of {trim_mm:g} mm, not 10 mm, {after} would do in place of {many}."
    assert made(parts, 10.0, stock) == (many, [told])
    assert made(parts, trim_mm, stock) == (few, [])
    assert made(parts, trim_mm + 0.5, stock)[0] == many


@pytest.mark.parametrize(
    ("size", "number", "sheets"),
    [
        ((2000.0, 598.5), 6, 3),  # 2 · 598.5 + 3 = 1200: two strips fit as it is
        ((2000.0, 604.0), 6, 6),  # 2 · 604 + 3 = 1211 leave 4.5 on each side: less than half of the trim
        ((2000.0, 609.0), 6, 6),  # 1221: not even without a trim
        ((2000.0, 600.0), 1, 1),
    ],
)
def test_nothing_is_told_where_nothing_is_saved(
    part: Callable[..., Part],
    one_board: Callable[..., dict[str, BoardParts]],
    size: tuple[float, float],
    number: int,
    sheets: int,
) -> None:
    parts = one_board([part(f"D{n}", *size) for n in range(number)])
    assert made(parts, 10.0, SHEETS) == (sheets, [])


def test_one_sheet_of_many_is_no_tenth(
    part: Callable[..., Part], one_board: Callable[..., dict[str, BoardParts]]
) -> None:
    """Twenty sheets with one part each, and two strips of 600 that would go on one with less trim: 22 sheets
    could be 21."""
    alone = [part(f"A{n}", 2400.0, 1150.0) for n in range(20)]
    parts = one_board([*alone, *(part(f"D{n}", 2000.0, 600.0) for n in range(2))])
    assert made(parts, 10.0, SHEETS) == (22, [])
    assert made(parts, 8.5, SHEETS) == (21, [])
