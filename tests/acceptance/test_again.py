"""Same input, same bytes; nothing changed, nothing computed; and next to nothing loaded to find out."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from packs import CASES
from running import command, here, loaded

from boardwright.disk import on_disk


def test_second_run_recomputes_nothing_and_says_so(layout: Path) -> None:
    before = on_disk(layout / "pack")
    done = command("pack", cwd=layout)
    assert done.returncode == 0
    assert "Nothing changed: 0 computed" in done.stdout
    assert on_disk(layout / "pack") == before


def test_same_input_same_bytes(layout: Path, tmp_path: Path) -> None:
    """A second clean folder, one process instead of several: not one byte differs."""
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(layout / name, tmp_path / name)
    assert here("pack", cwd=tmp_path).returncode == 0
    assert on_disk(tmp_path / "pack") == on_disk(layout / "pack")


def test_nothing_heavy_is_loaded_when_nothing_changed(layouts: dict[str, Path]) -> None:
    heavy = {
        "ezdxf",
        "openpyxl",
        "shapely",
        "networkx",
        "packingsolver",
        "numpy",
        "msgspec",
        "pluggy",
        "rich",
    }
    said, found = loaded(layouts[CASES[0]], heavy, "pack")
    assert "Nothing changed" in said
    assert found == set()


def test_a_deleted_file_comes_back_and_an_edited_one_is_kept(
    layouts: dict[str, Path], tmp_path: Path
) -> None:
    folder = tmp_path / "copy"
    shutil.copytree(layouts["exhibition-module"], folder)
    pack = folder / "pack"
    before = on_disk(pack)
    command("pack", cwd=folder)  # the copy lies elsewhere: let it have a receipt of its own
    (pack / "workbook.xlsx").unlink()
    (pack / "index.html").write_text("my notes")
    done = command("pack", cwd=folder)
    assert done.returncode == 0
    assert "0 computed" in done.stdout
    assert "index.edited.html" in done.stderr
    after = on_disk(pack)
    assert (pack / "index.edited.html").read_text() == "my notes"
    assert {k: v for k, v in after.items() if k != "index.edited.html"} == before


def move(folder: Path, device: str, by_mm: float) -> None:
    """Move a device of the list along x."""
    rows = (folder / "devices.csv").read_text().splitlines()
    at = next(i for i, r in enumerate(rows) if r.startswith(f"{device},"))
    cells = rows[at].split(",")
    cells[2] = str(float(cells[2]) + by_mm)
    rows[at] = ",".join(cells)
    (folder / "devices.csv").write_text("\n".join(rows) + "\n")


def test_a_changed_device_list_does_not_open_the_drawing(layouts: dict[str, Path], tmp_path: Path) -> None:
    folder = tmp_path / "moved"
    shutil.copytree(layouts["exhibition-module"], folder)
    command("pack", cwd=folder)
    first = (folder / "devices.csv").read_text().splitlines()[1].split(",")[0]
    move(folder, first, 1.0)
    said, found = loaded(folder, {"ezdxf", "shapely", "openpyxl"}, "pack", "--jobs", "1")
    assert "Pack written" in said
    assert found == {"shapely"}  # for boards; no reader of drawings, and the worksheets are written by us


def test_one_device_moved_runs_little_and_equals_a_clean_run(
    layouts: dict[str, Path], tmp_path: Path
) -> None:
    folder = tmp_path / "moved"
    shutil.copytree(layouts["branch-terminus"], folder)
    move(folder, "F01", 5.0)

    why = here("why", cwd=folder)
    assert "device F01 moved from" in why.stdout
    assert len(why.stdout.splitlines()) < 25  # a screen
    again = command("pack", cwd=folder)
    assert again.returncode == 0, again.stderr
    clean = tmp_path / "clean"
    clean.mkdir()
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(folder / name, clean / name)
    assert here("why", cwd=clean).stdout.startswith("There is no pack here yet")
    assert here("pack", cwd=clean).returncode == 0
    assert "everything was made for the first time" in here("why", "--last", cwd=clean).stdout
    short = here("why", "--last", cwd=folder).stdout
    assert short.startswith("Changed since the pack before:\n  - device F01 moved from")
    assert len(short.splitlines()) < 25  # a screen
    assert on_disk(folder / "pack") == on_disk(clean / "pack")
    words = again.stdout.split()
    computed, reused = int(words[words.index("computed,") - 1]), int(words[words.index("reused).") - 1])
    assert computed < reused


def test_two_packs_at_once(layouts: dict[str, Path], tmp_path: Path) -> None:
    """Two terminals, one folder, one pack: both finish, and the pack is whole."""
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(layouts["exhibition-module"] / name, tmp_path / name)
    words = [sys.executable, "-m", "boardwright", "pack"]
    both = [
        subprocess.Popen(words, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for _ in range(2)
    ]
    for process in both:
        said, told = process.communicate(timeout=120)
        assert process.returncode == 0, told
        assert b"Pack written" in said or b"Nothing changed" in said
    assert on_disk(tmp_path / "pack") == on_disk(layouts["exhibition-module"] / "pack")
    assert sorted(p.name for p in tmp_path.iterdir() if p.name.startswith("pack")) == ["pack"]
