"""Parts marked as made, through the commands: the pack without them is whole, proved, and comes back."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from packs import FIXTURES
from running import here

from boardwright.disk import on_disk


def test_a_board_that_is_made(tmp_path: Path) -> None:
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, tmp_path / name)
    assert here("pack", cwd=tmp_path).returncode == 0
    before = on_disk(tmp_path / "pack")
    data = json.loads((tmp_path / "pack" / "pack.json").read_text())
    side = next(p["id"] for p in data["boards"][0]["parts"] if p["role"] == "side")
    assert here("made", "B09", cwd=tmp_path).returncode == 2
    assert not (tmp_path / "made.json").exists()
    done = here("made", side, cwd=tmp_path)
    assert done.stdout.splitlines()[0] == "1 part marked as made."

    packed = here("pack", cwd=tmp_path)
    assert packed.returncode == 0
    assert "Nothing changed" not in packed.stdout  # a list where there was none
    data = json.loads((tmp_path / "pack" / "pack.json").read_text())
    cut = {p["part"] for s in data["cutting"]["sheets"] for p in s["parts"]}
    every = {p["id"] for p in data["boards"][0]["parts"]}
    assert data["cutting"]["made"] == [side]
    assert every - cut == {side}
    assert here("verify", "pack", cwd=tmp_path).returncode == 0
    assert "Nothing changed" in here("pack", cwd=tmp_path).stdout

    toml = (tmp_path / "layout.toml").read_text()
    (tmp_path / "layout.toml").write_text(toml + "\n[framing]\nmember_thickness_mm = 9\n")
    told = here("pack", cwd=tmp_path).stderr.split()
    assert f"{side} is made and no longer fits the plan: its thickness is 12.0 mm, now 9.0 mm" in " ".join(
        told
    )
    (tmp_path / "layout.toml").write_text(toml)
    assert here("made", "--undo", side, cwd=tmp_path).returncode == 0
    (tmp_path / "made.json").unlink()
    assert " 0 computed" in here("pack", cwd=tmp_path).stdout
    assert on_disk(tmp_path / "pack") == before
