"""A stage that fails for one board: the rest is built, every output says what is missing, and it heals."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import ezdxf
import openpyxl
from packs import FIXTURES
from running import command, here

from boardwright.disk import on_disk

HOUSE = '''"""A house rule with a defect in it."""
from boardwright import Notes, hookimpl, stage
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame as built_in
from boardwright_timber.model import Board, Frame


@stage(name="frame", each=True, replaces="frame")
def frame(board: Board, settings: FramingSettings, notes: Notes) -> Frame:
    if board.id == BAD:
        raise ValueError("no frame today")
    return built_in(board, settings, notes)


@hookimpl
def boardwright_stages():
    return [frame]
'''


def test_one_board_fails_and_is_mended(layouts: dict[str, Path], tmp_path: Path) -> None:
    for name in ("plan.dxf", "devices.csv"):
        shutil.copy(FIXTURES / "branch-terminus" / name, tmp_path / name)
    text = (FIXTURES / "branch-terminus" / "layout.toml").read_text()
    (tmp_path / "layout.toml").write_text(text + '\n[stages]\nlocal = "house.py"\n')
    (tmp_path / "house.py").write_text(HOUSE.replace("BAD", '"B06"'))

    failed = command("pack", cwd=tmp_path)
    assert failed.returncode == 3
    assert "INCOMPLETE" in failed.stderr
    assert "no frame today" in failed.stderr
    assert "Traceback" not in failed.stderr
    assert "no frame today" in (tmp_path / ".boardwright" / "defects.txt").read_text()
    pack = tmp_path / "pack"
    # B06 fails; B05 waits for its frame (joists give way to the holes of a joint) and B04, joined to B05, for
    # those joists; B01 to B03 are whole
    data = json.loads((pack / "pack.json").read_text())
    assert [b["id"] for b in data["boards"]] == ["B01", "B02", "B03"]
    assert {"BW-ENG-001", "BW-ENG-002"} <= {f["code"] for f in data["findings"]}
    assert "INCOMPLETE: B04, B05, B06 could not be built" in (pack / "index.html").read_text()
    drawing = ezdxf.readfile(pack / "dxf" / "general-arrangement.dxf")
    texts = [t.dxf.text for t in drawing.modelspace().query("TEXT")]
    assert any("INCOMPLETE: B04, B05, B06" in t for t in texts)
    for sheet in (pack / "dxf" / "sheets").glob("*.dxf"):
        texts = [t.dxf.text for t in ezdxf.readfile(sheet).modelspace().query("TEXT")]
        assert any("INCOMPLETE" in t for t in texts)
    found = openpyxl.load_workbook(pack / "workbook.xlsx")["Findings"]
    assert any("BW-ENG-001" in str(c.value) for row in found.iter_rows() for c in row)

    again = command("pack", cwd=tmp_path)  # never "nothing changed" while something failed
    assert again.returncode == 3

    (tmp_path / "house.py").write_text(HOUSE.replace("BAD", '"none"'))
    assert command("pack", cwd=tmp_path).returncode == 0
    whole = on_disk(tmp_path / "pack")
    clean = on_disk(layouts["branch-terminus"] / "pack")
    # the same pack as without the rule, but for what names the project file's and the rule's digests
    differing = {p for p in whole.keys() | clean.keys() if whole.get(p) != clean.get(p)}
    assert differing <= {"pack.json", "index.html", "workbook.xlsx", "SHA256SUMS"}
    assert whole.keys() == clean.keys()


def test_a_rule_file_runs_only_when_named(tmp_path: Path) -> None:
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, tmp_path / name)
    (tmp_path / "house.py").write_text("raise SystemExit('code was run unasked')")
    assert here("pack", cwd=tmp_path).returncode == 0
