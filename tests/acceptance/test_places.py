"""Where a pack may go: not over other things, nor over another layout's pack; dots are folders too."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from packs import FIXTURES
from running import here

from boardwright.disk import on_disk


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    mine = tmp_path / "mine"
    mine.mkdir()
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, mine / name)
    return mine


@pytest.mark.parametrize("out", [".", "..", "/"])
def test_dots_name_folders_that_hold_other_things(folder: Path, out: str) -> None:
    before = on_disk(folder)
    done = here("pack", "-o", out, cwd=folder)
    assert done.returncode == 2
    assert "BW-PACK-002" in done.stderr
    assert {k: v for k, v in on_disk(folder).items() if not k.startswith(".boardwright")} == before


def test_another_layouts_pack_is_not_written_over(folder: Path, layouts: dict[str, Path]) -> None:
    theirs = folder.parent / "theirs"
    shutil.copytree(layouts["branch-terminus"] / "pack", theirs)
    before = on_disk(theirs)
    done = here("pack", "-o", theirs, cwd=folder)
    assert done.returncode == 2
    assert "BW-PACK-005" in done.stderr
    assert "Saltmarsh Quay" in done.stderr
    assert on_disk(theirs) == before


def test_an_own_pack_is_written_over_after_a_change_of_name(folder: Path) -> None:
    assert here("pack", cwd=folder).returncode == 0
    text = (folder / "layout.toml").read_text()
    name = next(line for line in text.splitlines() if line.startswith("name"))
    (folder / "layout.toml").write_text(text.replace(name, 'name = "Renamed"'))
    assert here("pack", cwd=folder).returncode == 0
    assert '"name": "Renamed"' in (folder / "pack" / "pack.json").read_text()


def test_why_of_a_board_that_is_not_there(layouts: dict[str, Path]) -> None:
    done = here("why", "joists@B99", cwd=layouts["exhibition-module"])
    assert done.returncode == 2
    assert "B99" in done.stderr
    assert "B01" in done.stderr


def test_stage_and_project_in_either_order(layouts: dict[str, Path]) -> None:
    folder = layouts["exhibition-module"]
    for words in (("joists@B01", "layout.toml"), ("layout.toml", "joists@B01"), ("joists@B01",)):
        done = here("stage", *words, cwd=folder)
        assert done.returncode == 0, done.stderr
        assert json.loads(done.stdout).get("board") == "B01"
    lines = {here("why", *words, cwd=folder).stdout for words in (("layout.toml", "split"), ("split",))}
    assert len(lines) == 1
