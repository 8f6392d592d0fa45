"""Bad input: one clear message with what, where and mend; nothing written, the old pack untouched."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from packs import FIXTURES
from running import here

from boardwright.disk import on_disk

LAYOUT = """[layout]
name = "Test"
[drawing]
file = "plan.dxf"
[drawing.layers]
outline = ["EDGE"]
[devices]
file = "devices.csv"
"""
CSV = "id,kind,x_mm,y_mm\nPM1,point_motor,300,200\n"
SQUARE = [(0, 0), (1000, 0), (1000, 500), (0, 500)]


def draw(path: Path, points: list[tuple[float, float]], closed: bool = True) -> None:
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    document.layers.add("EDGE")
    if points:
        document.modelspace().add_lwpolyline(points, close=closed, dxfattribs={"layer": "EDGE"})
    document.saveas(path)


@pytest.fixture
def good(tmp_path: Path) -> Path:
    (tmp_path / "layout.toml").write_text(LAYOUT)
    (tmp_path / "devices.csv").write_text(CSV)
    draw(tmp_path / "plan.dxf", SQUARE)
    return tmp_path


def test_the_good_one_is_good(good: Path) -> None:
    done = here("pack", cwd=good)
    assert done.returncode == 0, done.stderr


def missing_drawing(folder: Path) -> None:
    (folder / "plan.dxf").unlink()


def missing_devices(folder: Path) -> None:
    (folder / "devices.csv").unlink()


def missing_project(folder: Path) -> None:
    (folder / "layout.toml").unlink()


def open_outline(folder: Path) -> None:
    draw(folder / "plan.dxf", SQUARE, closed=False)


def self_crossing(folder: Path) -> None:
    draw(folder / "plan.dxf", [(0, 0), (1000, 500), (1000, 0), (0, 500)])


def device_outside(folder: Path) -> None:
    (folder / "devices.csv").write_text("id,kind,x_mm,y_mm\nPM9,point_motor,3000,200\n")


def unknown_key(folder: Path) -> None:
    (folder / "layout.toml").write_text(LAYOUT + "[joists]\nspacin_mm = 300\n")


def zero_thickness(folder: Path) -> None:
    (folder / "layout.toml").write_text(LAYOUT + "[framing]\nmember_thickness_mm = 0\n")


def negative_sheet_price(folder: Path) -> None:
    sheet = '[[stock.sheets]]\nname = "ply"\nmaterial = "birch ply"\nthickness_mm = 9\nprice = -48.5\n'
    (folder / "layout.toml").write_text(LAYOUT + sheet)


def negative_screw_price(folder: Path) -> None:
    (folder / "layout.toml").write_text(LAYOUT + "[costing.prices.wood-glue]\nprice = -1\n")


def unknown_material(folder: Path) -> None:
    (folder / "layout.toml").write_text(LAYOUT + '[framing]\nmember_material = "oak"\n')


def missing_column(folder: Path) -> None:
    (folder / "devices.csv").write_text("id,x_mm,y_mm\nPM1,300,200\n")


def empty_drawing(folder: Path) -> None:
    draw(folder / "plan.dxf", [])


def not_a_drawing(folder: Path) -> None:
    (folder / "plan.dxf").write_bytes(b"\x89PNG not a drawing \x00\x01\x02")


def empty_file(folder: Path) -> None:
    (folder / "plan.dxf").write_bytes(b"")


BAD = [
    (missing_drawing, ["plan.dxf", "layout.toml"]),
    (missing_devices, ["devices.csv"]),
    (missing_project, ["layout.toml", "boardwright new my-layout --drawing plan.dxf"]),
    (open_outline, ["plan.dxf", "EDGE"]),
    (self_crossing, ["cross", "(500, 250)"]),
    (device_outside, ["PM9", "row 2"]),
    (unknown_key, ["spacin_mm", "spacing_mm"]),
    (zero_thickness, ["[framing] member_thickness_mm is 0;", "a number above 0"]),
    (negative_sheet_price, ["[stock] sheets 1: price is -48.5;", "0 or more"]),
    (negative_screw_price, ["[costing] prices.wood-glue: price is -1;", "0 or more"]),
    (unknown_material, ['[framing] member_material is "oak"', "softwood"]),
    (missing_column, ["kind", "devices.csv"]),
    (empty_drawing, ["plan.dxf"]),
    (not_a_drawing, ["plan.dxf"]),
    (empty_file, ["plan.dxf"]),
]


@pytest.mark.parametrize(("harm", "words"), BAD, ids=[h.__name__ for h, _ in BAD])
def test_one_clear_message_and_nothing_written(good: Path, harm: object, words: list[str]) -> None:
    assert callable(harm)
    harm(good)
    done = here("pack", cwd=good)
    told = " ".join(done.stderr.split())
    assert done.returncode == 2, done.stderr
    assert done.stdout == ""
    assert told.startswith("FAULT BW-")
    assert told.count("FAULT") == 1
    assert "mend:" in told
    assert "where:" in told
    assert "Traceback" not in told
    for word in words:
        assert word in told
    assert not (good / "pack").exists()
    assert not (good / ".boardwright").exists()


@pytest.mark.parametrize("harm", [h for h, _ in BAD], ids=[h.__name__ for h, _ in BAD])
def test_an_older_pack_is_untouched(good: Path, harm: object) -> None:
    (good / "pack").mkdir()
    (good / "pack" / "pack.json").write_text("{}")
    before = on_disk(good / "pack")
    assert callable(harm)
    harm(good)
    done = here("pack", cwd=good)
    assert done.returncode == 2
    assert "older than these inputs" in done.stderr
    assert on_disk(good / "pack") == before


def test_a_fault_is_packed_and_said_by_the_exit_status(tmp_path: Path) -> None:
    """A board limit no joint can satisfy: the pack is written, with a fault, and the status is 1."""
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, tmp_path / name)
    text = (tmp_path / "layout.toml").read_text()
    (tmp_path / "layout.toml").write_text(text + "\n[joists]\nspacing_mm = 30\n")
    done = here("pack", cwd=tmp_path)
    assert done.returncode == 1, done.stderr
    assert "FAULT" in done.stderr
    assert (tmp_path / "pack" / "index.html").is_file()
    again = here("pack", cwd=tmp_path)
    assert again.returncode == 1
    assert "Nothing changed" in again.stdout
    assert "FAULT" in again.stderr


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    done = here("pack", "nosuch/layout.toml", cwd=tmp_path)
    assert done.returncode == 2
    assert list(tmp_path.iterdir()) == []


def test_an_older_store_is_kept(good: Path) -> None:
    """Refused input takes away only a store that was begun for it."""
    assert here("pack", cwd=good).returncode == 0
    zero_thickness(good)
    assert here("pack", cwd=good).returncode == 2
    (good / "layout.toml").write_text(LAYOUT)
    assert "Nothing changed" in here("pack", cwd=good).stdout


def test_where_the_pack_is_comes_last(good: Path) -> None:
    """With both streams in one, as on a terminal: findings, their number, what it comes to, then the place of
    the pack."""
    done = subprocess.run(
        [sys.executable, "-m", "boardwright", "pack"],
        cwd=good,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=True,
    )
    *_, count, comes_to, last = done.stdout.splitlines()
    assert count.endswith(("note.", "notes."))
    made = json.loads((good / "pack" / "pack.json").read_bytes())
    sheets = len(made["cutting"]["sheets"])
    assert comes_to.startswith(f"Boards {len(made['boards'])}; parts ")
    assert f"; sheets and bars {sheets}; materials {made['cost']['total']} EUR" in comes_to
    assert last.startswith("Pack written to pack ")
