"""Copies of a layout: every part is cut once for each of them, and sheets alike are told once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import combinations

import msgspec
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import BoardParts, CuttingPlan, EndPattern, Hole, HoleKind, Part
from boardwright_timber.series import SeriesSettings

STOCK = StockSettings(sheets=(StockSheet(name="ply", material="birch ply", thickness_mm=12.0),))


def cut(boards: object, copies: int) -> CuttingPlan:
    return cutting(boards, STOCK, CuttingSettings(), Notes(), SeriesSettings(copies=copies))  # type: ignore[arg-type]  # stands in for the noun


def test_a_sheet_for_each_copy_is_one_sheet_cut_so_many_times(part: Callable, one_board: Callable) -> None:
    """A deck of 1800 × 1000 and two sides beside it fill a sheet: five copies are five such sheets."""
    boards = one_board([part("D", 1800.0, 1000.0), part("S1", 1800.0, 90.0), part("S2", 1800.0, 90.0)])
    plan = cut(boards, 5)
    (sheet,) = plan.sheets
    assert sheet.times == plan.sheet_count == plan.copies == 5
    assert sheet.id == "birch-ply-12-01"
    assert sorted(p.part for p in sheet.parts) == ["D", "S1", "S2"]
    assert plan.lower_bounds == (("birch ply", 12.0, 5),)


def test_copies_share_sheets(part: Callable, one_board: Callable) -> None:
    """Two decks of 1200 × 1200 lie on one sheet (2420 × 1200 usable, kerf 3): four copies need two sheets."""
    boards = one_board([part("D", 1200.0, 1200.0)])
    assert cut(boards, 1).sheet_count == 1
    assert cut(boards, 4).sheet_count == 2


def test_jigs_are_cut_once_however_many_copies(part: Callable) -> None:
    """Five decks, one jig: it drills every copy."""
    jig = BoardParts(board="A", parts=(part("D", 1200.0, 600.0),), tools=(part("J01-JIG", 600.0, 90.0),))
    assert counted(cut({"A": jig}, 5)) == {"D": 5, "J01-JIG": 1}


def test_spare_end_plates_are_cut_with_the_rest(part: Callable) -> None:
    """Two ends alike and one with another hole: two kinds, three spare plates of each beside four copies."""

    def end(name: str, x_mm: float, joint: str) -> Part:
        hole = Hole(kind=HoleKind.BOLT, x_mm=x_mm, y_mm=40.0, diameter_mm=8.5, joint=joint)
        return msgspec.structs.replace(part(name, 600.0, 90.0), holes=(hole,))

    parts = (end("E1", 100.0, "X1"), end("E2", 100.0, "X2"), end("E3", 150.0, "X3"), end("E4", 100.0, "J01"))
    boards = {"A": BoardParts(board="A", parts=parts)}
    series = SeriesSettings(copies=4, spare_ends=3)
    pattern = EndPattern(ends=("X1", "X2", "X3"))
    plan = cutting(boards, STOCK, CuttingSettings(), Notes(), series, ends=pattern)  # type: ignore[arg-type]  # stands in for the noun
    assert counted(plan) == {"E1": 7, "E2": 4, "E3": 7, "E4": 4}
    assert plan.spare == ("E1", "E3") * 3


def test_a_part_without_a_sheet_is_told_once(part: Callable, one_board: Callable) -> None:
    plan = cut(one_board([part("deck", 2500.0, 600.0)]), 12)
    assert [u.part for u in plan.unplaced] == ["deck"]


def counted(plan: CuttingPlan) -> Counter[str]:
    """How often each part is cut."""
    found: Counter[str] = Counter()
    for sheet in plan.sheets:
        for placed in sheet.parts:
            found[placed.part] += sheet.times
    return found


@given(
    sizes=st.lists(st.tuples(st.integers(40, 600), st.integers(600, 1100)), min_size=1, max_size=5),
    copies=st.integers(1, 6),
)
@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_every_part_is_cut_as_often_as_there_are_copies(
    sizes: list[tuple[int, int]], copies: int, part: Callable, one_board: Callable
) -> None:
    parts = [part(f"P{n}", float(long), float(short)) for n, (short, long) in enumerate(sizes)]
    plan = cut(one_board(parts), copies)
    assert counted(plan) == {p.id: copies for p in parts}
    assert len({s.id for s in plan.sheets}) == len(plan.sheets)
    assert len({(s.stock, s.parts, s.cuts) for s in plan.sheets}) == len(plan.sheets)  # none is told twice
    for sheet in plan.sheets:
        for a, b in combinations(sheet.parts, 2):  # no two share wood
            assert (
                a.x_mm + a.length_mm <= b.x_mm
                or b.x_mm + b.length_mm <= a.x_mm
                or a.y_mm + a.width_mm <= b.y_mm
                or b.y_mm + b.width_mm <= a.y_mm
            )
