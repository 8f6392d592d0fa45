"""Cutting: by hand, then what must hold for any parts, then against trying everything."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import cache
from itertools import combinations

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright import Notes
from boardwright.canon import encode
from boardwright.errors import InputError
from boardwright_stages.nesting.bounds import fewest_sheets
from boardwright_stages.nesting.piece import Area, Blank
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.stages import cutting
from boardwright_timber.model import Grain

QUICK = settings(
    deadline=None,
    max_examples=30,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
SHEET = StockSheet(name="ply", material="birch ply", thickness_mm=12.0)


def stock(*sheets: StockSheet) -> StockSettings:
    return StockSettings(sheets=sheets)


def codes(notes: Notes) -> list[str]:
    return [f.code for f in notes.findings]


def test_strips_are_ripped_before_they_are_cross_cut(
    part: Callable, one_board: Callable, saw: Callable, cut_of: Callable
) -> None:
    parts = [part(f"J{n:02d}", 564.0, 85.0) for n in range(8)]
    plan = cutting(one_board(parts), stock(SHEET), CuttingSettings(), Notes())
    (sheet,) = plan.sheets
    # 2420 usable: 4 × 564 + 3 × 3 = 2265, so eight joists are two strips
    assert [c.setting_mm for c in cut_of(sheet, "length")] == [85.0, 85.0]
    assert [c.setting_mm for c in cut_of(sheet, "width")] == [564.0] * 8
    stages = [c.along for c in sheet.cuts if not c.says.startswith("Trim")]
    assert stages == ["length"] * 2 + ["width"] * 8
    assert sheet.id == "birch-ply-12-01"
    assert sheet.used_fraction == pytest.approx(8 * 564 * 85 / (2440 * 1220), abs=1e-6)


def test_trims_come_first_and_each_is_set_from_the_far_edge_or_a_sawn_one(
    part: Callable, one_board: Callable
) -> None:
    plan = cutting(one_board([part("A", 500.0, 300.0)]), stock(SHEET), CuttingSettings(), Notes())
    trims = plan.sheets[0].cuts[:4]
    # 10 mm off each edge of 2440 × 1220, kerf 3 inside the trim
    assert [(c.along, c.at_mm, c.setting_mm, c.from_edge) for c in trims] == [
        ("length", 7.0, 1210.0, "top"),
        ("width", 7.0, 2430.0, "right"),
        ("length", 1210.0, 1200.0, "bottom"),
        ("width", 2430.0, 2420.0, "left"),
    ]


def test_a_part_larger_than_any_sheet_is_a_fault_that_says_why(part: Callable, one_board: Callable) -> None:
    notes = Notes()
    plan = cutting(
        one_board([part("deck", 2430.0, 600.0), part("side", 1200.0, 85.0)]),
        stock(SHEET),
        CuttingSettings(),
        notes,
    )
    assert [u.part for u in plan.unplaced] == ["deck"]
    assert "2430 × 600 mm" in plan.unplaced[0].why
    assert "2420 × 1200 mm" in plan.unplaced[0].why
    assert [p.part for s in plan.sheets for p in s.parts] == ["side"]
    (fault,) = [f for f in notes.findings if f.severity == "fault"]
    assert fault.code == "BW-CUT-002"
    assert fault.where[0].item == "deck"


@pytest.mark.parametrize(
    ("written", "slip"), [("Birch Ply", True), ("birch plywood", True), ("birch  ply", True), ("mdf", False)]
)
def test_a_material_spelt_another_way_in_stock_is_told(
    part: Callable, one_board: Callable, written: str, slip: bool
) -> None:
    notes = Notes()
    named = replace(SHEET, name="from the yard", material=written)
    cutting(one_board([part("P1", 300.0, 85.0)]), stock(named), CuttingSettings(), notes)
    (fault,) = (f for f in notes.findings if f.code == "BW-CUT-001")
    assert ('material = "birch ply"' in fault.mend and "'from the yard'" in fault.mend) == slip


def test_a_sheet_in_metres_is_refused() -> None:
    """2.44 m written as millimetres: nothing would come out of it, which was told part by part."""
    with pytest.raises(msgspec.ValidationError, match="length_mm"):
        msgspec.convert(
            {"name": "ply", "material": "birch ply", "thickness_mm": 12, "length_mm": 2.44, "width_mm": 1.22},
            StockSheet,
        )


def test_a_thickness_nobody_sells_is_one_fault_for_all_its_parts(part: Callable, one_board: Callable) -> None:
    notes = Notes()
    parts = [part(f"P{n}", 300.0, 85.0, thickness=7.0) for n in range(3)]
    plan = cutting(one_board(parts), stock(SHEET), CuttingSettings(), notes)
    assert plan.sheets == ()
    assert len(plan.unplaced) == 3
    assert codes(notes) == ["BW-CUT-001"]
    assert len(notes.findings[0].where) == 3


def test_grain_keeps_a_part_from_turning_and_can_be_left_out(part: Callable, one_board: Callable) -> None:
    tall = [part("tall", 300.0, 1300.0)]  # fits only turned
    refused = cutting(one_board(tall), stock(SHEET), CuttingSettings(), Notes())
    assert [u.part for u in refused.unplaced] == ["tall"]
    turned = cutting(one_board(tall), stock(SHEET), CuttingSettings(grain=False), Notes())
    assert turned.sheets[0].parts[0].turned
    assert turned.sheets[0].parts[0].length_mm == 1300.0


def test_offcuts_on_hand_are_used_before_a_sheet_is_bought(part: Callable, one_board: Callable) -> None:
    offcut = StockSheet(
        name="offcut",
        material="birch ply",
        thickness_mm=12.0,
        length_mm=900.0,
        width_mm=400.0,
        price=Decimal(0),
        quantity=1,
    )
    whole = StockSheet(name="whole", material="birch ply", thickness_mm=12.0, price=Decimal(60))
    plan = cutting(one_board([part("A", 800.0, 300.0)]), stock(whole, offcut), CuttingSettings(), Notes())
    assert [s.stock for s in plan.sheets] == ["offcut"]


def test_blanks_of_which_no_two_share_a_sheet_need_one_each() -> None:
    """On 100 × 100: 60 + 70, 60 + 45 and 70 + 45 are over 100, and so are 90 + 50, 90 + 95 and 50 + 95. By
    area they need 1.32 sheets."""
    sizes = ((60, 90), (70, 50), (45, 95))
    blanks = [Blank(length=x, width=y, may_turn=False, lies_turned=False, parts=("P",)) for x, y in sizes]
    area = Area(kind=0, length=100, width=100, quantity=None)
    assert fewest_sheets(blanks, [area], 0) == 3
    free = [replace(b, may_turn=True) for b in blanks]
    assert fewest_sheets(free, [area], 0) == 2  # 70 × 50 turned lies beside 45 × 95


def test_strips_of_which_two_fit_side_by_side_count_for_half_a_sheet() -> None:
    """On 100 × 100, of strips 34 wide two fit: five need three sheets. By area they need 1.7."""
    strips = Blank(length=100, width=34, may_turn=False, lies_turned=False, parts=tuple("ABCDE"))
    area = Area(kind=0, length=100, width=100, quantity=None)
    assert fewest_sheets([strips], [area], 0) == 3
    assert fewest_sheets([replace(strips, width=33)], [area], 0) == 2  # of 33 three fit
    assert fewest_sheets([replace(strips, width=32)], [area], 2) == 2  # 3 × 32 and two cuts are 100
    assert fewest_sheets([replace(strips, width=32)], [area], 3) == 3


@given(st.integers(1, 3), st.integers(0, 3), st.booleans(), st.data())
@settings(QUICK, max_examples=150)
def test_no_bound_is_above_the_sheets_that_blanks_were_cut_from(
    sheets: int, kerf: int, may_turn: bool, data: st.DataObject
) -> None:
    """Whole sheets cut at random, with the blade's width lost at each cut: so many sheets hold the blanks."""
    long, wide = data.draw(st.integers(20, 60)), data.draw(st.integers(20, 60))
    pieces = [(long, wide)] * sheets
    for _ in range(data.draw(st.integers(1, 14))):
        n, lengthways = data.draw(st.integers(0, len(pieces) - 1)), data.draw(st.booleans())
        x, y = pieces[n]
        room = (x if lengthways else y) - kerf
        if room < 2:
            continue
        at = data.draw(st.integers(1, room - 1))
        both = [(at, y), (room - at, y)] if lengthways else [(x, at), (x, room - at)]
        pieces[n : n + 1] = both
    blanks = [
        Blank(length=x, width=y, may_turn=may_turn, lies_turned=False, parts=(f"P{n}",))
        for n, (x, y) in enumerate(pieces)
    ]
    area = Area(kind=0, length=long, width=wide, quantity=None)
    assert fewest_sheets(blanks, [area], kerf) <= sheets


def test_too_few_sheets_is_a_caution_that_says_how_many_more(part: Callable, one_board: Callable) -> None:
    notes = Notes()
    two = StockSheet(name="ply", material="birch ply", thickness_mm=12.0, quantity=1)
    parts = [part(f"D{n}", 2000.0, 1000.0) for n in range(3)]
    plan = cutting(one_board(parts), stock(two), CuttingSettings(), notes)
    assert len(plan.sheets) == 3
    assert plan.lower_bounds == (("birch ply", 12.0, 3),)  # each is over half a sheet both ways
    assert codes(notes) == ["BW-CUT-010", "BW-CUT-003", "BW-CUT-015"]
    assert "Get 2 more" in notes.findings[1].mend


def test_two_sheets_of_one_name_are_refused(part: Callable, one_board: Callable) -> None:
    with pytest.raises(InputError, match="called “ply”"):
        cutting(one_board([part("A", 500.0, 300.0)]), stock(SHEET, SHEET), CuttingSettings(), Notes())


# -- any parts -----------------------------------------------------------------------------------------

sizes = st.tuples(
    st.integers(30 * 40, 1250 * 40).map(lambda n: n / 40),
    st.integers(30 * 40, 1250 * 40).map(lambda n: n / 40),
)
lists = st.lists(st.tuples(sizes, st.sampled_from(list(Grain)), st.integers(1, 3)), min_size=1, max_size=9)


@QUICK
@given(
    wanted=lists,
    kerf=st.sampled_from([0.0, 2.4, 3.0, 3.175]),
    trim=st.sampled_from([0.0, 2.0, 10.0]),
    stages=st.sampled_from([0, 2, 3]),
    grain=st.booleans(),
)
def test_any_parts_come_out_of_the_saw(
    wanted: list,
    kerf: float,
    trim: float,
    stages: int,
    grain: bool,
    part: Callable,
    one_board: Callable,
    sawn_right: Callable,
) -> None:
    parts = [
        part(f"P{n}-{copy}", *size, way)
        for n, (size, way, copies) in enumerate(wanted)
        for copy in range(copies)
    ]
    how = CuttingSettings(kerf_mm=kerf, trim_mm=trim, stages=stages, grain=grain)
    small = StockSheet(
        name="half", material="birch ply", thickness_mm=12.0, length_mm=1220.0, width_mm=1220.0, quantity=1
    )
    plan = cutting(one_board(parts), stock(SHEET, small), how, Notes())
    sawn_right(plan, parts, grain)
    for _, _, fewest in plan.lower_bounds:
        assert len(plan.sheets) >= fewest
    again = cutting(one_board(parts[::-1]), stock(SHEET, small), how, Notes())
    assert encode(again) == encode(plan)


# -- everything tried ----------------------------------------------------------------------------------


def fewest_by_trying(items: tuple[tuple[int, int], ...], length: int, width: int, kerf: int) -> int:
    """Fewest sheets over every way of sawing whole-millimetre items, none turned."""

    @cache
    def fits(chosen: tuple[int, ...], x: int, y: int) -> bool:
        if x <= 0 or y <= 0:
            return False
        if len(chosen) == 1:
            return items[chosen[0]][0] <= x and items[chosen[0]][1] <= y
        if sum(items[i][0] * items[i][1] for i in chosen) > x * y:
            return False
        for size in range(1, len(chosen)):
            for first in combinations(chosen, size):
                second = tuple(i for i in chosen if i not in first)
                if any(fits(first, at, y) and fits(second, x - at - kerf, y) for at in range(1, x)):
                    return True
                if any(fits(first, x, at) and fits(second, x, y - at - kerf) for at in range(1, y)):
                    return True
        return False

    @cache
    def fewest(left: tuple[int, ...]) -> int:
        if not left:
            return 0
        best = len(left)
        for size in range(len(left)):
            for others in combinations(left[1:], size):
                if fits((left[0], *others), length, width):
                    best = min(best, 1 + fewest(tuple(i for i in left[1:] if i not in others)))
        return best

    return fewest(tuple(range(len(items))))


@QUICK
@given(
    items=st.lists(st.tuples(st.integers(2, 11), st.integers(2, 8)), min_size=1, max_size=5),
    kerf=st.integers(0, 1),
)
def test_tiny_lists_need_no_more_sheets_than_trying_everything_finds(
    items: list, kerf: int, part: Callable, one_board: Callable
) -> None:
    tiny = StockSheet(name="tiny", material="birch ply", thickness_mm=12.0, length_mm=12.0, width_mm=9.0)
    parts = [part(f"P{n}", float(x), float(y)) for n, (x, y) in enumerate(items)]
    plan = cutting(one_board(parts), stock(tiny), CuttingSettings(kerf_mm=kerf, trim_mm=0, stages=0), Notes())
    truth = fewest_by_trying(tuple(items), 12, 9, kerf)
    assert len(plan.sheets) == truth
    assert plan.lower_bounds[0][2] <= truth
