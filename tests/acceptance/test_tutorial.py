"""The tutorial's code, cut out of its page and run as a modeller would."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from packs import FIXTURES, Pack
from running import command

from boardwright.disk import on_disk

PAGE = (Path(__file__).parents[2] / "docs" / "plugin-tutorial.md").read_text()


def test_the_tutorials_rule_takes_effect_and_goes_again(layouts: dict[str, Path], tmp_path: Path) -> None:
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, tmp_path / name)
    (code,) = re.findall(r"```python\n(.+?)```", PAGE, flags=re.DOTALL)
    (settings,) = re.findall(r"```toml\n(.+?)```", PAGE, flags=re.DOTALL)
    plain = (tmp_path / "layout.toml").read_text()
    assert command("pack", cwd=tmp_path).returncode == 0
    before = on_disk(tmp_path / "pack")

    (tmp_path / "house.py").write_text(code)
    (tmp_path / "layout.toml").write_text(plain + "\n" + settings)
    done = command("pack", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    pack = Pack(tmp_path / "pack")
    assert all(b["frame"]["joist_spacing_mm"] <= 300 for b in pack.data["boards"])
    labels = (tmp_path / "pack" / "labels" / "B01.txt").read_text().splitlines()
    assert len(labels) == len(pack.boards["B01"]["parts"])
    assert labels[0].startswith("Harbour Wood Model Club: B01-")
    shown = command("plugins", "layout.toml", cwd=tmp_path).stdout
    assert re.search(r"house\.py.*\n.*stage +joists +each board +→ Joists", shown)

    (tmp_path / "layout.toml").write_text(plain)
    again = command("pack", cwd=tmp_path)
    assert " 0 computed" in again.stdout
    assert on_disk(tmp_path / "pack") == before
