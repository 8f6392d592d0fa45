"""A layout of two levels that stand on something else each: a whole pack, verified, and what a change of one
level's supports makes anew."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from packs import Pack
from running import here
from shelf_layout import SHELF_MM, draw

from boardwright.packing import Packed, open_store, pack

WALLED = f"""
[[supports.levels]]
level_mm = {SHELF_MM:g}
kind = "brackets"
max_spacing_mm = 700
"""


@pytest.fixture(scope="module")
def walled(tmp_path_factory: pytest.TempPathFactory) -> Pack:
    folder = draw(tmp_path_factory.mktemp("walled"), WALLED)
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return Pack(folder / "pack")


def hardware(board: dict[str, Any]) -> dict[str, Any]:
    return {line["item"]: line for line in board["hardware"]}


def test_legs_below_and_brackets_above(walled: Pack) -> None:
    """The shelf is 1100 long: 1100 / 700 - 2 × 0.22 / 0.56 = 0.79, so one gap and two lines; the yard, with
    1200 from line to line at most, has one as well. Its legs are 1000 - 90 - 25 + 70."""
    yard, shelf = walled.boards["B01"], walled.boards["B02"]
    assert (yard["strength"]["support"], shelf["strength"]["support"]) == ("legs", "brackets")
    assert [leg["length_mm"] for leg in yard["legs"]] == [955.0] * 4
    assert shelf["legs"] == []
    assert hardware(yard)["adjustable-foot"]["quantity"] == 4
    assert "wall-bracket" not in hardware(yard)
    bracket = hardware(shelf)["wall-bracket"]
    assert bracket["quantity"] == 2
    assert f"its top {1000 + SHELF_MM - 90:.0f} mm above the floor" in bracket["says"]
    assert hardware(shelf)["wall-screw-6x100"]["quantity"] == 4
    assert not any(item.startswith(("leg-", "adjustable")) for item in hardware(shelf))
    assert all(line["measured"] <= line["limit"] for b in (yard, shelf) for line in b["strength"]["lines"])


def test_it_is_told_and_verified(walled: Pack) -> None:
    found = {f["code"] for f in walled.data["findings"]}
    assert not found & {"BW-SPACE-007", "BW-STR-016"}
    assert not [f for f in walled.data["findings"] if f["severity"] == "fault"]
    done = here("verify", walled.folder, cwd=walled.folder)
    assert (done.returncode, done.stderr) == (0, "")
    book = openpyxl.load_workbook(walled.folder / "workbook.xlsx", read_only=True)
    assert {row[0] for row in book["Legs"].values if row[0] in ("B01", "B02")} == {"B01"}
    page = (walled.folder / "index.html").read_text()
    assert "board B02 on brackets" in page
    assert "board B01 on legs" in page
    assert "local codes" in page


def packed(folder: Path, extra: str) -> Packed:
    draw(folder, extra)
    store = open_store(folder / "layout.toml")
    try:
        return pack(folder / "layout.toml", folder / "pack", store, lambda _: None)
    finally:
        store.close()


def test_another_levels_boards_are_not_made_anew(tmp_path: Path) -> None:
    """Of the yard only what it takes of the settings is looked at again."""
    lower = '[[supports.levels]]\nlevel_mm = 0\nkind = "trestles"\n'
    packed(tmp_path, lower + WALLED)
    ran = packed(tmp_path, lower + WALLED.replace("700", "500")).outcome.ran
    assert [name for name, board in ran if board == "B01"] == ["board_supports"]
    again = {name for name, board in ran if board == "B02"}
    assert {"board_supports", "strength", "hardware", "board_drawings"} <= again
    assert not again & {"frame", "joists", "views", "fastening"}


def test_legs_through_the_yard_are_told_with_the_way_out(tmp_path: Path) -> None:
    told = {f.code: f for f in packed(tmp_path, "").outcome.findings}
    assert f"[[supports.levels]] level_mm = {SHELF_MM:g}" in told["BW-SPACE-007"].mend
    assert 'kind = "brackets"' in told["BW-SPACE-007"].mend
    assert 'kind = "posts"' in told["BW-SPACE-007"].mend
    beside = packed(tmp_path, WALLED.replace("340", "350")).outcome.findings
    (lost,) = (f for f in beside if f.code == "BW-STR-016")
    assert lost.where[0].key == "supports.levels"
    assert lost.mend.endswith("boards lie at 0, 340.")


def test_a_shelf_on_posts_stands_on_the_yard(tmp_path: Path) -> None:
    """Posts from the yard's deck, 9 above its level, to the shelf's frame, 90 below its own: 241. The
    yard's legs carry both boards and what stands on them, and a hand."""
    folder = draw(tmp_path, f'[[supports.levels]]\nlevel_mm = {SHELF_MM:g}\nkind = "posts"\n')
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    made = Pack(folder / "pack")
    done = here("verify", made.folder, cwd=folder)
    assert (done.returncode, done.stderr) == (0, "")
    yard, shelf = made.boards["B01"], made.boards["B02"]
    assert [(leg["id"], leg["length_mm"], leg["on"]) for leg in shelf["legs"]] == [
        (f"B02-P{n}", SHELF_MM - 90 - 9, "B01") for n in (1, 2, 3, 4)
    ]
    assert shelf["strength"]["support"] == "posts on B01"
    assert hardware(shelf)["leg-angle-40"]["quantity"] == 16
    both = (yard["strength"]["mass_kg"] + shelf["strength"]["mass_kg"]) * 9.81
    assert sum(p["load_n"] for p in yard["strength"]["points"]) >= both + 200
    keys = {line["key"]: line for line in yard["strength"]["lines"]}
    assert 0 < keys["posts"]["measured"] <= 100
    found = {f["code"] for f in made.data["findings"]}
    assert "BW-STR-018" in found
    assert not found & {"BW-SPACE-007", "BW-STR-017", "BW-STR-005", "BW-STR-006"}
    assert [group["boards"] for group in made.data["standing"]] == [["B01", "B02"]]
    texts = {t.dxf.text for t in made.dxf("dxf/boards/B01.dxf").modelspace().query("TEXT")}
    assert {"B02-P1", "B02-P2", "B02-P3", "B02-P4"} <= texts
    book = openpyxl.load_workbook(made.folder / "workbook.xlsx", read_only=True)
    posts = [row for row in book["Legs"].values if row[2] == "post"]
    assert [(row[1], row[7]) for row in posts] == [(f"B02-P{n}", 241) for n in (1, 2, 3, 4)]
    assert "Lift the upper board off" in (made.folder / "index.html").read_text()
