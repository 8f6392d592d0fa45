"""A club's modules, all alike: designed once, bought and cut together."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from pathlib import Path

from packs import FIXTURES
from running import here

from boardwright.packing import Packed, open_store, pack


def packed(folder: Path, copies: int) -> tuple[Packed, dict]:
    """The module so many times over, from what its folder's store has already."""
    text = (FIXTURES / "exhibition-module" / "layout.toml").read_text()
    (folder / "layout.toml").write_text(
        f"{text}\n[series]\ncopies = {copies}\n[router]\nthicknesses_mm = [9.0]\n"
        '[display]\nunits = "mm and in"\ndecimal_sign = ","\npaper = "Letter"\n'
    )
    store = open_store(folder / "layout.toml")
    try:
        made = pack(folder / "layout.toml", folder / "pack", store, lambda _: None)
    finally:
        store.close()
    return made, json.loads((folder / "pack" / "pack.json").read_text())


def test_twelve_modules(layouts: dict[str, Path], tmp_path: Path) -> None:
    shutil.copytree(layouts["exhibition-module"], tmp_path, dirs_exist_ok=True)
    _, one = packed(tmp_path, 1)
    made, twelve = packed(tmp_path, 12)
    assert not made.faults
    proof = here("verify", tmp_path / "pack", cwd=tmp_path)
    assert (proof.returncode, "cut 12 times each" in " ".join(proof.stdout.split())) == (0, True)
    # shown in inches too, and the data know nothing of it
    assert "display" not in one["settings"]
    page = (tmp_path / "pack" / "index.html").read_text()
    assert "Length mm (in)" in page
    assert "size:Letter" in page
    assert twelve["shown"] == {"units": "mm and in", "inch_fraction": 32, "decimal_sign": ","}
    assert re.search(r"proved: .*0,\d+ mm", " ".join(proof.stdout.split()))
    seen = here("inspect", tmp_path / "layout.toml", cwd=tmp_path).stdout
    assert re.search(r'Overall size: \d+ × \d+ mm \([\d /]+" × [\d /]+"\)', seen)
    # nothing of a board is made again for more of it: only what is bought, cut and told
    boards = {b["id"] for b in one["boards"]}
    again = {stage for stage, item in made.outcome.ran if item in boards}
    assert again == set()
    assert {stage for stage, _ in made.outcome.ran} >= {"cutting", "cost", "workbook", "manifest"}
    cut: Counter[str] = Counter()
    for sheet in twelve["cutting"]["sheets"]:
        for placed in sheet["parts"]:
            cut[placed["part"]] += sheet["times"]
    assert cut == {p["id"]: 12 for b in twelve["boards"] for p in b["parts"]}
    used = [sum(s["times"] for s in p["cutting"]["sheets"]) for p in (one, twelve)]
    assert used[1] < 12 * used[0]  # copies share sheets
    totals = [float(p["cost"]["total"]) for p in (one, twelve)]
    assert totals[1] < 12 * totals[0]
    assert twelve["cost"]["copies"] == 12
    told = json.loads(here("stage", "figures", cwd=tmp_path).stdout)["figures"]
    of_all = {f["key"] for f in told if f.get("where") == "all 12 copies"}
    assert of_all == {"sheets", "cost", "time"}  # mass and depth are one module's
