"""What the worksheets say and how they print."""

from __future__ import annotations

import io
import math
import re
from typing import Any

import msgspec
import openpyxl
import pytest
from two_boards import nouns

from boardwright import Finding, FindingList, Place, Severity
from boardwright_outputs.workbook.cautions import CAUTIONS
from boardwright_outputs.workbook.found import findings
from boardwright_outputs.workbook.laying import _narrowed
from boardwright_timber.model import BoardPlan, CuttingPlan, Splitting, WireSchedule
from boardwright_timber.model.checks import CheckReport

SHEETS = (
    *("Summary", "Boards", "Joints", "Joint reasons", "Devices", "Parts", "Stock", "Cutting"),
    *("Shaping", "Alike", "Drilling", "Wires", "Plugs"),
    *(
        "Fastening",
        "Hardware",
        "Hardware by board",
        "Cost",
        "Cost shares",
        "Shares by line",
        "Cheaper",
        "Time",
        "Strength",
        "Legs",
        "Space",
        "Movement",
        "Checks",
        "Findings",
        "Sources",
    ),
)


@pytest.fixture(scope="module")
def book(saved: bytes) -> Any:
    """Read once: no test here changes it."""
    return openpyxl.load_workbook(io.BytesIO(saved))


def rows(ws: Any) -> list[dict[str, Any]]:
    headings = [str(c.value).replace("\n", " ") for c in ws[4]]
    found = []
    for row in ws.iter_rows(min_row=5):
        if all(c.value is None for c in row):
            break
        found.append({h: c.value for h, c in zip(headings, row, strict=True)})
    return found


def test_the_sheets_in_reading_order(book: Any) -> None:
    assert tuple(book.sheetnames) == SHEETS


@pytest.mark.parametrize("name", SHEETS)
def test_prints_on_a4_landscape_with_headings_on_every_page(book: Any, name: str) -> None:
    ws = book[name]
    assert (ws.page_setup.paperSize, ws.page_setup.orientation) == (9, "landscape")
    assert ws.sheet_properties.pageSetUpPr.fitToPage
    assert (ws.page_setup.fitToWidth, ws.page_setup.fitToHeight) == (1, 0)
    assert ws.print_title_rows == ("$1:$2" if name == "Summary" else "$4:$4")
    assert ws.oddFooter.right.text == "Page &P of &N"
    assert ws.oddFooter.left.text == " Two && a half boards"
    area = ws[ws.print_area.split("!")[1].replace("$", "")]
    printed = {c.coordinate for row in area for c in row}
    assert {c.coordinate for row in ws.iter_rows() for c in row if c.value is not None} <= printed


#: At full size 123 column widths fit between the margins of A4 landscape (measured in LibreOffice); text is
#: set in 9 points, and 7 can be read at a bench: 123 × 9 / 7 = 158.
LEGIBLE = 158.0


@pytest.mark.parametrize("name", SHEETS)
def test_it_prints_no_smaller_than_seven_points(book: Any, name: str) -> None:
    assert sum(d.width for d in book[name].column_dimensions.values() if not d.hidden) <= LEGIBLE + 0.5


def test_wide_text_gives_way_and_wraps() -> None:
    """Two wrapped columns of 100 and 60 beside 40: 42 too wide; room 86 and 46, so 27.4 and 14.6 off."""
    assert _narrowed([40.0, 100.0, 60.0], [False, True, True]) == [40.0, 72.64, 45.36]
    assert _narrowed([40.0, 60.0], [False, True]) == [40.0, 60.0]
    assert _narrowed([100.0, 100.0], [False, False]) == [100.0, 100.0]
    assert _narrowed([150.0, 20.0], [False, True]) == [150.0, 14.0]


def test_rows_amiss_are_marked_by_the_spreadsheet_itself(book: Any) -> None:
    """Severity and Result columns; a ticked row turns grey. Only tables that have such columns."""
    rules = {
        name: [str(r.formula[0]) for found in book[name].conditional_formatting for r in found.rules]
        for name in SHEETS
    }
    for name in ("Findings", "Checks", "Strength"):
        (column,) = (c.column_letter for c in book[name][4] if c.value in ("Severity", "Result"))
        assert f'EXACT(${column}5,"FAULT")' in rules[name]
    assert 'EXACT($A5,"caution")' in rules["Findings"]
    assert any(r.startswith("LEN(") for r in rules["Cutting"])
    assert rules["Sources"] == []


def test_tables_and_totals_have_names(book: Any, amounts: Any) -> None:
    names = {name: found.attr_text for name, found in book.defined_names.items()}
    for name in SHEETS[1:]:
        ref = book[name].auto_filter.ref.replace(":", ":$").replace("A4", "A$4")
        last = re.fullmatch(r"A\$4:\$([A-Z]+)(\d+)", ref)
        assert last is not None
        assert names[f"{name.replace(' ', '_')}_table"] == f"'{name}'!$A$4:${last[1]}${last[2]}"
    sheet, _, cell = names["Total_cost"].partition("!")
    assert amounts[sheet.strip("'")][cell.replace("$", "")].value == float(nouns()["cost"].total)


@pytest.mark.parametrize("name", SHEETS[1:])
def test_tables_are_filtered_and_their_headings_stay_in_view(book: Any, name: str) -> None:
    ws = book[name]
    assert ws.freeze_panes == "B5"
    assert ws.auto_filter.ref.startswith("A4:")
    assert ws["A1"].value == name
    assert ws["A2"].value
    last = int(ws.auto_filter.ref.split(":")[1].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
    assert last == 4 + len(rows(ws))


def test_numbers_carry_their_unit_in_the_heading_and_a_format_in_the_cell(book: Any) -> None:
    ws = book["Drilling"]
    assert ws["D4"].value == "x\nmm"
    assert ws["D5"].number_format == "0.0"
    assert book["Boards"]["J4"].value == "Mass\nkg"
    assert book["Cost"]["G4"].value == "Total\nXYZ"
    assert book["Cost"]["G5"].number_format == "#,##0.00"
    for name in SHEETS[1:]:
        for cell in book[name][4]:
            assert cell.style.startswith("bw-heading")


def test_every_part_has_a_row(book: Any) -> None:
    parts = [p for board in nouns()["parts"].values() for p in board.parts]
    found = rows(book["Parts"])
    assert [r["Part"] for r in found] == [p.id for p in parts]
    assert [(r["Length mm"], r["Width mm"], r["Thick mm"]) for r in found] == [
        (p.length_mm, p.width_mm, p.thickness_mm) for p in parts
    ]
    assert {r["Cut from"] for r in found} == {"S1"}
    assert {r["Shape"] for r in found} == {"straight"}


def test_every_hole_has_a_row(book: Any) -> None:
    parts = [p for board in nouns()["parts"].values() for p in board.parts]
    expected = [
        (p.id, n, h.kind.value, h.x_mm, h.y_mm, h.diameter_mm, h.depth_mm or "through", h.note or None)
        for p in parts
        for n, h in enumerate(p.holes, 1)
    ]
    names = ("Part", "Hole", "Kind", "x mm", "y mm", "Diameter mm", "Depth mm", "Note")
    assert [tuple(r[n] for n in names) for r in rows(book["Drilling"])] == expected
    assert [r["Drill from"] for r in rows(book["Drilling"])][:3] == ["drawn face", "drawn face", "back"]


def test_every_cut_has_a_row_in_sawing_order(book: Any) -> None:
    found = rows(book["Cutting"])
    assert [(r["Sheet"], r["Cut"], r["Fence setting mm"], r["From edge"]) for r in found] == [
        ("S1", 1, 500, "bottom"),
        ("S1", 2, 1000, "left"),
    ]


def test_a_part_no_sheet_can_give_is_told_on_the_sheets_and_in_front(book: Any) -> None:
    texts = [c.value for row in book["Stock"].iter_rows() for c in row]
    assert "B-long" in texts
    front = [c.value for row in book["Summary"].iter_rows() for c in row]
    assert "PARTS NOT PLACED: 1 (see Stock)" in front


def test_joints_say_what_holds_them(book: Any) -> None:
    (joint,) = rows(book["Joints"])
    assert joint["Boards"] == "A + B"
    assert joint["Bolts or catches"] == "1 × M8"
    assert joint["Dowels"] is None
    assert joint["Placed by"] == "the drawing"


def test_findings_are_complete_and_faults_stand_out(book: Any) -> None:
    found = rows(book["Findings"])
    assert [r["Severity"] for r in found] == ["FAULT", "caution", "note"]
    assert found[0]["Where"] == "board B, B-long"
    assert book["Findings"]["C5"].font.b
    assert not book["Findings"]["C6"].font.b


def test_one_matter_of_many_joints_has_one_row() -> None:
    same = [
        Finding(
            code="BW-WIRE-016",
            severity=Severity.CAUTION,
            says=f"A plug does not pass the holes of joint {joint}.",
            where=(Place(item=joint),),
            mend="Turn it.",
        )
        for joint in ("J01", "J02", "J03")
    ]
    ((severity, _, says, where, mend),) = findings(FindingList(findings=tuple(same))).rows
    assert (severity, where, mend) == ("caution", "J01\nJ02\nJ03", "Turn it.")
    assert says == "A plug does not pass the holes of joint J01.\nThe same for: J02; J03"


def test_a_check_that_failed_stands_out(book: Any) -> None:
    assert [r["Result"] for r in rows(book["Checks"])] == ["passed", "FAULT"]
    assert [book["Checks"][f"A{r}"].font.b for r in (5, 6)] == [False, True]


def test_the_front_sheet_gives_figures_cautions_and_the_way_to_every_sheet(book: Any) -> None:
    ws = book["Summary"]
    line = {ws.cell(r, 1).value: r for r in range(ws.max_row, 0, -1)}  # the first row of a label counts
    assert ws["A1"].value == "Two & a half boards"
    assert ws.cell(line["Boards"], 2).value == 2
    # A: 1000 × 500 + 500 × 90 + 1000 × 90 = 635 000 mm²; B: 400 000 + 45 000 + 72 000 = 517 000 mm²
    # together 1 152 000 mm² of 9 mm at 710 kg/m³
    assert math.isclose(ws.cell(line["Mass of wood, kg"], 2).value, 1_152_000 * 9 * 710e-9)
    assert {a for a, _ in CAUTIONS} <= set(line)
    words = " ".join(text for _, text in CAUTIONS).lower()
    for word in (
        "goggles",
        "mask",
        "two people",
        "nobody stands",
        "licensed",
        "aid to judgement",
        "local codes",
    ):
        assert word in words
    links = {c.hyperlink.location for row in ws.iter_rows() for c in row if c.hyperlink}
    assert links == {f"'{name}'!A1" for name in SHEETS[1:]}


def test_sources_are_named(book: Any) -> None:
    found = rows(book["Sources"])
    text = " ".join(str(r["Source"]) for r in found)
    assert "ISO 273" in text
    assert "common practice, no source" in text
    assert all(r["Source"] for r in found)


def test_an_empty_layout_still_makes_a_workbook(make: Any) -> None:
    book = openpyxl.load_workbook(
        io.BytesIO(
            make(
                splitting=Splitting(boards=(), joints=()),
                **{name: {} for name in ("boards", "joists", "fixings", "parts", "strengths", "hardware")},
                cutting=CuttingPlan(),
                wires=WireSchedule(),
                checks=CheckReport(),
                findings=FindingList(),
            )
        )
    )
    assert book["Cutting"]["A5"].value == "There is nothing to saw."
    assert book["Findings"]["A5"].value == "Nothing was found amiss."


def test_the_front_sheet_compares_sheets_with_the_fewest_possible(make: Any) -> None:
    one = nouns()["cutting"]
    two = msgspec.structs.replace(one, sheets=(*one.sheets, msgspec.structs.replace(one.sheets[0], id="S2")))
    says = []
    for plan in (one, two):
        ws = openpyxl.load_workbook(io.BytesIO(make(cutting=plan)))["Summary"]
        (row,) = [r for r in ws.iter_rows(values_only=True) if r[0] == "ply 9"]
        says.append(row[1:])
    assert says == [
        (1, "birch ply, 9 mm thick, 2440 × 1220 mm; no plan can do with fewer"),
        (2, "birch ply, 9 mm thick, 2440 × 1220 mm; at least 1 whatever the plan"),
    ]


def test_devices_with_their_place_on_plan_and_board(book: Any) -> None:
    """Board A starts at the plan's origin, so M1 lies at (400, 250) on both."""
    (row,) = rows(book["Devices"])
    assert (row["Device"], row["Kind"], row["Board"]) == ("M1", "point motor", "A")
    assert (row["x on plan mm"], row["y on plan mm"], row["Angle deg"]) == (400.0, 250.0, 0.0)
    assert (row["x on board mm"], row["y on board mm"], row["Depth mm"]) == (400.0, 250.0, 50.0)


def test_a_device_on_no_board_is_listed_last(make: Any) -> None:
    plans = {"A": BoardPlan(board="A"), "B": BoardPlan(board="B")}
    (row,) = rows(openpyxl.load_workbook(io.BytesIO(make(plans=plans)))["Devices"])
    assert (row["Device"], row["Board"], row["x on board mm"]) == ("M1", "none", None)


def test_lifting_names_its_figure() -> None:
    assert "above 15 kg" in dict(CAUTIONS)["Lifting"]


def test_wires_tell_every_piece_and_what_each_pin_carries(book: Any) -> None:
    found = rows(book["Wires"])
    assert [(r["Label"], r["From"], r["To"], r["Cut length mm"]) for r in found] == [
        ("P01 <main>", "M1", "plug J1", 720),
        ("P01 <main>", "plug J1", "F1", 480),
    ]
    assert found[0]["Through the holes in"] == "joist-1 at 241"
    assert book["Wires"]["A5"].font.b  # it loses more than it may
    assert "Mains is never routed" in book["Wires"]["A2"].value
    said = [[c.value for c in row] for row in book["Wires"].iter_rows(min_row=8)]
    assert [(r[6], r[7], r[8]) for r in said] == [("black", "0.75 mm²", 1200), ("red", "0.75 mm²", 1200)]
    pins = rows(book["Plugs"])
    assert [(r["Pin"], r["Wire"], r["Colour"]) for r in pins] == [
        ("1, 2", "P01 <main>", "red"),
        ("3", "P01 <main>", "black"),
    ]


def test_space_and_movement_of_each_board(book: Any) -> None:
    (space,) = rows(book["Space"])
    assert (space["Board"], space["Style"]) == ("A", "box")
    assert {99, 160.5} <= set(space.values())
    (moves,) = rows(book["Movement"])
    assert {1.5, 0.8, 2.1} <= set(moves.values())
    assert moves["Rule"]
    assert moves["Source"]


def test_strength_tells_each_figure_with_its_rule_and_what_is_over(book: Any) -> None:
    found = rows(book["Strength"])
    assert [(r["Board"], r["Is at most"], r["Result"]) for r in found] == [
        ("A", 0.3, "kept"),
        ("B", 1.2, "OVER"),
    ]
    assert all(r["Rule"] and r["Source"] for r in found)
    assert "not a structural design" in book["Strength"]["A2"].value


def test_legs_are_a_cut_list(book: Any) -> None:
    """Two legs and the rail between them, each board's own."""
    found = rows(book["Legs"])
    assert [(r["Piece"], r["What"], r["Length mm"]) for r in found[:3]] == [
        ("A-L1", "leg", 885),
        ("A-L2", "leg", 885),
        ("A-LR1", "rail across", 488),
    ]
