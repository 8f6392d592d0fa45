"""Cuts a person can make: no shaving at a trimmed edge, one figure for a size, stacks, steps by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.source import SourceFile
from boardwright_stages.nesting.nest import nest
from boardwright_stages.nesting.repeats import repeats
from boardwright_stages.nesting.settings import CuttingSettings, StockSettings, StockSheet
from boardwright_stages.nesting.shown import shown
from boardwright_stages.nesting.stages import cutting
from boardwright_stages.nesting.stock_file import read_stock
from boardwright_stages.nesting.tracing import contours
from boardwright_timber.model import BoardParts, CuttingPlan, Grain, Hole, HoleKind
from boardwright_timber.model.made import MadeParts, Serving
from boardwright_timber.series import SeriesSettings

STOCK = StockSettings(sheets=(StockSheet(name="whole", material="birch ply", thickness_mm=12.0),))


def test_what_would_be_shaved_off_goes_with_the_trim(
    part: Callable, one_board: Callable, sawn_right: Callable
) -> None:
    # usable 2420 × 1200: 1.5 mm are left above it, less than the blade of 3 takes
    parts = [part("deck", 2420.0, 1198.5)]
    notes = Notes()
    plan = cutting(one_board(parts), STOCK, CuttingSettings(), notes)
    assert [c.says.split()[0] for c in plan.sheets[0].cuts] == ["Trim"] * 4
    assert plan.sheets[0].cuts[2].setting_mm == pytest.approx(1198.5)
    assert "BW-CUT-007" not in [f.code for f in notes.findings]
    sawn_right(plan, parts, True)


def test_a_shaving_that_must_be_is_told_and_says_how(part: Callable, one_board: Callable) -> None:
    # without trim nothing can take the 1.5 mm with it
    notes = Notes()
    plan = cutting(one_board([part("deck", 2440.0, 1218.5)]), STOCK, CuttingSettings(trim_mm=0.0), notes)
    (cut,) = plan.sheets[0].cuts
    assert "Only 1.5 mm comes off" in cut.says
    assert [f.code for f in notes.findings if f.code == "BW-CUT-007"] == ["BW-CUT-007"]


def test_a_sliver_is_no_offcut(part: Callable, one_board: Callable) -> None:
    # 2440 - 2436.3 - 3 of the blade = 0.7 mm
    plan = cutting(one_board([part("deck", 2436.3, 1220.0)]), STOCK, CuttingSettings(trim_mm=0.0), Notes())
    (cut,) = plan.sheets[0].cuts
    assert cut.says.endswith("part deck. What is left is a sliver 0.7 mm wide.")


def test_one_size_is_one_figure_everywhere(part: Callable, one_board: Callable, cut_of: Callable) -> None:
    """820.447 is 820.4 in every list: not 820.5 where hundredths were rounded up first."""
    parts = [part(f"J{n}", 820.447, 85.0) for n in range(3)]
    plan = cutting(one_board(parts), STOCK, CuttingSettings(), Notes())
    cuts = cut_of(plan.sheets[0], "width")
    assert {c.setting_mm for c in cuts} == {820.447}
    assert all("820.4 mm" in c.says for c in cuts)
    assert (shown(820.45), shown(820.25), shown(564.0)) == ("820.5", "820.3", "564")  # halves up


def test_strips_cut_alike_follow_each_other_and_are_stacked(
    part: Callable, one_board: Callable, sawn_right: Callable
) -> None:
    parts = [part(f"J{n:02d}", 564.0, 85.0) for n in range(12)]  # three strips of four
    plan = cutting(one_board(parts), STOCK, CuttingSettings(), Notes())
    cuts = [c for c in plan.sheets[0].cuts if not c.says.startswith("Trim")]
    rips = [c for c in cuts if c.along == "length"]
    assert [c.says.endswith("The setting stays.") for c in rips] == [False, True, True]
    stacked = [c for c in cuts if "stacked on piece 1 and cut with it" in c.says]
    assert len(stacked) == 8
    sawn_right(plan, parts, True)


def test_a_rectangle_needs_no_jigsaw(part: Callable) -> None:
    assert contours([part("A", 500.0, 300.0)]) == ()


def test_openings_come_before_curves_lines_and_bevels(part: Callable) -> None:
    arc = [(500 - 100 * math.sin(a), 200 + 100 * math.cos(a)) for a in (0.3, 0.6, 0.9, 1.2)]
    ring = ((0.0, 0.0), (450.0, 0.0), (500.0, 50.0), (500.0, 300.0), *arc, (0.0, 220.0))
    well = ((100.0, 50.0), (200.0, 50.0), (200.0, 120.0), (100.0, 120.0))
    deck = replace(part("D", 500.0, 300.0), ring=ring, openings=(well,), left_bevel_deg=-12.0)
    steps = contours([deck])
    assert [(s.step, s.kind) for s in steps] == [(1, "opening"), (2, "curve"), (3, "line"), (4, "bevel")]
    assert "opening 100 × 70 mm, lower left at 100, 50 mm" in steps[0].says
    assert "from 450, 0, then to 500, 50" in steps[2].says
    assert "12° off square; the back face stays the longer one" in steps[3].says


@pytest.mark.parametrize(
    ("ring", "is_inside"),
    [
        (((0, 0), (500, 0), (500, 80), (0, 100)), False),  # a riser's sloped top: from side to side
        (((0, 0), (450, 0), (490, 20), (500, 60), (500, 100), (0, 100)), False),  # rounds a corner outwards
        (((0, 0), (400, 0), (400, 40), (500, 40), (500, 100), (0, 100)), True),  # a notch at a corner
        (
            ((0, 0), (100, 0), (150, 60), (300, 60), (350, 0), (500, 0), (500, 100), (0, 100)),
            True,
        ),  # a recess
    ],
)
def test_a_saw_stops_short_of_inside_corners_where_there_are_any(
    part: Callable, ring: tuple, is_inside: bool
) -> None:
    for way in (ring, ring[::-1]):  # however the ring runs
        (step,) = contours([replace(part("R", 500.0, 100.0), ring=way)])
        assert step.kind == "line"
        assert (
            "stop the saw short of inside corners and finish them with a jigsaw" in step.says
        ) == is_inside
        assert step.says.endswith(".")


def test_a_pack_lists_them_with_the_sheet(part: Callable, one_board: Callable) -> None:
    cut_off = replace(part("D", 500.0, 300.0), ring=((0.0, 0.0), (500.0, 0.0), (500.0, 300.0), (60.0, 300.0)))
    plan = cutting(one_board([cut_off]), STOCK, CuttingSettings(), Notes())
    assert [c.kind for c in plan.sheets[0].contours] == ["line"]


def test_advice_about_a_bare_list_names_the_keys_of_its_own_files() -> None:
    head = "id,material,thickness_mm,length_mm,width_mm\n"
    stock = '[[sheet]]\nmaterial = "ply"\nthickness_mm = 9\nlength_mm = 1000\nwidth_mm = 500\n'
    notes = Notes()
    rows = head + "long,ply,9,2000,50\nthin,ply,9,100,2\nother,oak,9,100,50\n"
    nest(SourceFile("parts.csv", rows.encode()), SourceFile("stock.toml", stock.encode()), notes)
    said = " ".join(f"{f.says} {f.mend} {[str(p) for p in f.where]}" for f in notes.findings)
    assert {"BW-CUT-001", "BW-CUT-002", "BW-CUT-006"} <= {f.code for f in notes.findings}
    assert "stock.sheets" not in said
    assert "cutting." not in said
    assert "[[sheet]]" in said


def test_what_a_stock_file_leaves_out_is_what_a_project_file_has_but_for_trim_and_stages() -> None:
    """A bare list says how it is to be cut: without a word, from edge to edge and in any order."""
    stock = '[[sheet]]\nmaterial = "ply"\nthickness_mm = 9\nlength_mm = 1000\nwidth_mm = 500\n'
    assert read_stock(SourceFile("stock.toml", stock.encode()))[1] == CuttingSettings(trim_mm=0.0, stages=0)


def test_the_page_about_it_shows_files_that_are_read() -> None:
    page = (Path(__file__).parents[3] / "docs" / "nest.md").read_text(encoding="utf-8")
    parts = page.split("```csv\n")[1].split("```")[0].encode()
    stock = page.split("```toml\n")[1].split("```")[0].encode()
    nested = nest(SourceFile("parts.csv", parts), SourceFile("stock.toml", stock), Notes())
    assert [u.part for u in nested.plan.unplaced] == ["deck-1", "deck-2", "deck-3"]  # the page stocks no 9 mm
    assert nested.plan.sheet_count == 1


# -- what the saw can do --------------------------------------------------------------------------------


def lengths_of_cuts(plan: CuttingPlan, along: str) -> list[float]:
    return [
        c.to_mm - c.from_mm
        for s in plan.sheets
        for c in s.cuts
        if c.along == along and not c.says.startswith("Trim")
    ]


def test_a_short_rail_has_the_sheet_cross_cut_first(
    part: Callable, one_board: Callable, sawn_right: Callable
) -> None:
    parts = [part(f"J{n:02d}", 564.0, 85.0) for n in range(20)]
    free = cutting(one_board(parts), STOCK, CuttingSettings(), Notes())
    assert max(lengths_of_cuts(free, "length")) > 1300  # a full-length rip
    notes = Notes()
    short = cutting(one_board(parts), STOCK, CuttingSettings(longest_rip_mm=1300.0), notes)
    assert max(lengths_of_cuts(short, "length")) <= 1300
    assert short.sheet_count == free.sheet_count
    assert "BW-CUT-008" not in [f.code for f in notes.findings]
    sawn_right(short, parts, True)


def test_what_no_plan_can_keep_is_a_caution(part: Callable, one_board: Callable) -> None:
    notes = Notes()
    cutting(one_board([part("A", 2000.0, 300.0)]), STOCK, CuttingSettings(longest_rip_mm=1000.0), notes)
    assert "BW-CUT-008" in [f.code for f in notes.findings]
    notes = Notes()
    cutting(one_board([part("A", 400.0, 30.0)]), STOCK, CuttingSettings(smallest_piece_mm=40.0), notes)
    assert "BW-CUT-008" in [f.code for f in notes.findings]


def test_a_wall_saw_rips_first(part: Callable, one_board: Callable, sawn_right: Callable) -> None:
    parts = [part(f"P{n}", 300.0 + 61 * n, 250.0 + 83 * n, Grain.FREE) for n in range(9)]
    plan = cutting(one_board(parts), STOCK, CuttingSettings(tool="wall saw"), Notes())
    for sheet in plan.sheets:
        first = next(c for c in sheet.cuts if not c.says.startswith("Trim"))
        assert first.along == "length"
    sawn_right(plan, parts, True)


def test_parts_alike_are_found_across_boards_and_copies(part: Callable) -> None:
    hole = Hole(kind=HoleKind.WIRE, x_mm=100.0, y_mm=40.0, diameter_mm=25.0)
    drilled = {"holes": (hole,)}
    made = [
        replace(part("A-J1", 564.0, 85.0), **drilled),
        replace(part("B-J1", 564.0, 85.0), board="B", **drilled),
        part("A-J2", 564.0, 85.0),  # not drilled
    ]
    boards = {
        "A": BoardParts(board="A", parts=(made[0], made[2])),
        "B": BoardParts(board="B", parts=(made[1],)),
    }
    one = cutting(boards, STOCK, CuttingSettings(), Notes())
    assert [(r.number, r.parts, r.boards, r.holes) for r in one.repeats] == [
        (2, ("A-J1", "B-J1"), ("A", "B"), 1)
    ]
    three = cutting(boards, STOCK, CuttingSettings(), Notes(), SeriesSettings(copies=3))
    assert [(r.number, r.parts) for r in three.repeats] == [(6, ("A-J1", "B-J1")), (3, ("A-J2",))]
    # made already: nothing to saw; spare: as many more
    have = cutting(
        boards,
        STOCK,
        CuttingSettings(),
        Notes(),
        have=MadeParts(serving=(Serving(part="A-J1", made="A-J1"),)),
    )
    assert not have.repeats
    spare = repeats(made, 3, ("A-J2", "A-J2"))
    assert [(r.number, r.parts) for r in spare] == [(6, ("A-J1", "B-J1")), (5, ("A-J2",))]
