"""A plan that changes when half the wood is cut: `boardwright changes` before and after the new pack."""

from __future__ import annotations

import json
import shutil
from collections import Counter
from pathlib import Path

from packs import FIXTURES
from running import here


def test_before_and_after_the_new_pack(tmp_path: Path) -> None:
    layout = tmp_path / "layout"
    layout.mkdir()
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, layout / name)
    assert "no pack to compare" in here("changes", cwd=layout).stderr
    assert here("pack", cwd=layout).returncode == 0
    shutil.copytree(layout / "pack", tmp_path / "old")
    same = here("changes", cwd=layout).stdout.splitlines()
    said = " ".join(same)
    assert said.startswith("The pack is of the plan as it is now: look at changes before packing again")
    assert "parts as they were. Untouched: B01. The whole layout costs as much" in said

    rows = (layout / "devices.csv").read_text().splitlines()
    (layout / "devices.csv").write_text("\n".join([*rows, "S9,servo,300,100,30,,,,,", ""]))
    told = here("changes", "--json", cwd=layout)
    assert told.returncode == 0, told.stderr
    assert (layout / "pack" / "pack.json").read_bytes() == (tmp_path / "old" / "pack.json").read_bytes()
    assert here("pack", cwd=layout).returncode in (0, 1)
    again = here("changes", "--json", tmp_path / "old", layout / "pack", cwd=tmp_path)
    assert json.loads(again.stdout) == json.loads(told.stdout)

    old, new = (
        {p["id"]: p for b in json.loads(path.read_text())["boards"] for p in b["parts"]}
        for path in (tmp_path / "old" / "pack.json", layout / "pack" / "pack.json")
    )
    fates = json.loads(told.stdout)["parts"]
    assert Counter(f["before"] for f in fates if f["before"]) == Counter(list(old))
    assert Counter(f["after"] for f in fates if f["after"]) == Counter(list(new))
    seen = set()
    for f in fates:  # by hand: what is called the same has the same profile and holes, number for number
        if f["fate"] == "as it was":
            a, b = old[f["before"]], new[f["after"]]
            assert (a["ring"], a["openings"]) == (b["ring"], b["openings"])
            assert places(a) == places(b)
        elif f["fate"] == "usable, other holes":
            a, b = old[f["before"]], new[f["after"]]
            assert a["ring"] == b["ring"]
            assert len(b["holes"]) - len(a["holes"]) == f["holes"] - f["unused"]
        seen.add(f["fate"])
    assert len(seen) > 1  # the new servo has a hole through the deck: something changed, and not everything


def places(part: dict) -> list[tuple[float, ...]]:  # type: ignore[type-arg]
    return sorted((round(h["x_mm"], 2), round(h["y_mm"], 2), h["diameter_mm"]) for h in part["holes"])
