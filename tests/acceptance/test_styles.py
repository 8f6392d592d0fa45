"""Every style gives a pack whose checks pass, and the page's own style runs as a modeller would run it."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import msgspec
import pytest
from packs import FIXTURES, Pack
from running import command, here

from boardwright import Notes
from boardwright_outputs.verify.members import check_members
from boardwright_outputs.verify.opened import Opened
from boardwright_outputs.verify.record import Pack as Record

PAGE = (Path(__file__).parents[2] / "docs" / "framing-styles.md").read_text()


def copied(tmp_path: Path, extra: str) -> Path:
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / "exhibition-module" / name, tmp_path / name)
    plain = (tmp_path / "layout.toml").read_text()
    assert "[framing]" not in plain
    (tmp_path / "layout.toml").write_text(f"{plain}\n{extra}")
    return tmp_path


@pytest.mark.parametrize(
    ("style", "sides", "roles"),
    [("l-girder", "solid", {"girder", "flange"}), ("open-top", "sandwich", {"riser"})],
)
def test_a_pack_in_every_style(style: str, sides: str, roles: set[str], tmp_path: Path) -> None:
    folder = copied(tmp_path, f'[framing]\nstyle = "{style}"\nsides = "{sides}"\n')
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    pack = Pack(folder / "pack")
    (board,) = pack.data["boards"]
    assert board["frame"]["style"] == style
    assert roles <= {m["role"] for m in board["frame"]["members"]}
    assert roles <= {p["role"] for p in board["parts"]}
    layers = {p["role"] for p in board["parts"] if p["of"]}
    assert layers == ({"inner skin", "block"} if sides == "sandwich" else set())
    assert all(line["passed"] for line in pack.data["checks"]["lines"])
    proof = here("verify", folder / "pack", cwd=folder)
    assert proof.returncode == 0, proof.stderr
    if sides == "sandwich":
        a_block_left_out_is_seen(folder / "pack")


def a_block_left_out_is_seen(pack: Path) -> None:
    """The skins of a side without one of its blocks: 280 mm of air, where 120 is the most."""
    left_out(pack, {None: [], "B01-S1-B4": ["BW-VERIFY-034"]})


def left_out(pack: Path, parts: dict[str | None, list[str]]) -> None:
    """What is told of a pack without each of these parts."""
    files = {str(p.relative_to(pack)): p.read_bytes() for p in pack.rglob("*") if p.is_file()}
    whole = msgspec.json.decode(files["pack.json"], type=Record)
    for gone, told in parts.items():
        (board,) = whole.boards
        left = msgspec.structs.replace(board, parts=tuple(p for p in board.parts if p.id != gone))
        notes = Notes()
        opened = Opened(files, msgspec.structs.replace(whole, boards=(left,)), notes)
        assert len(list(check_members(opened))) == 1
        assert [f.code for f in notes.findings] == told


SHORT = """
[[stock.sheets]]
name = "short strips"
material = "birch ply"
thickness_mm = 12
length_mm = 800
width_mm = 600
[[stock.sheets]]
name = "deck"
material = "birch ply"
thickness_mm = 9
"""


def test_strips_longer_than_the_stock(tmp_path: Path) -> None:
    """A module 1200 long from sheets of 800: both sides in two lengths, proven; not so without a plate."""
    folder = copied(tmp_path, SHORT)
    done = command("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    (board,) = Pack(folder / "pack").data["boards"]
    assert {j["member"] for j in board["frame"]["joined"]} == {"B01-S1", "B01-S3"}
    assert {p["of"] for p in board["parts"] if p["of"]} == {"B01-S1", "B01-S3"}
    assert [p["id"] for p in board["parts"] if p["role"] == "fishplate"] == ["B01-FP1", "B01-FP2"]
    proof = command("verify", folder / "pack", cwd=folder)
    assert proof.returncode == 0, proof.stderr
    left_out(folder / "pack", {None: [], "B01-FP2": ["BW-VERIFY-035", "BW-VERIFY-034"]})


def test_sizes_are_taken_from_the_stock(tmp_path: Path) -> None:
    """As a modeller runs it: a strip and a deck are chosen, and keep every limit."""
    folder = copied(tmp_path, '[sizing]\nchoose = "lightest"\n')
    done = here("stage", "strength", cwd=folder)
    assert done.returncode == 0, done.stderr
    assert "FAULT" not in done.stderr
    sizes = json.loads(here("stage", "frame_size", cwd=folder).stdout)
    assert sizes["deck_mm"] > 0
    assert sizes["strip"]["depth_mm"] > 0
    lines = json.loads(done.stdout)["B01"]["lines"]
    assert all(line["measured"] <= line["limit"] for line in lines)


def test_the_pages_own_style(tmp_path: Path) -> None:
    (code,) = re.findall(r"```python\n(.+?)```", PAGE, flags=re.DOTALL)
    (settings,) = re.findall(r"```toml\n(.+?)```", PAGE, flags=re.DOTALL)
    folder = copied(tmp_path, settings)
    (folder / "ladder.py").write_text(code)
    done = command("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    pack = Pack(folder / "pack")
    (board,) = pack.data["boards"]
    rungs = [m for m in board["frame"]["members"] if m["role"] == "joist"]
    assert len(rungs) == int((board["length_mm"] - 12) / 300)
    assert board["frame"]["style"] == "ladder"
    assert {m["depth_mm"] for m in board["frame"]["members"]} == {80.0}
    assert all(line["passed"] for line in pack.data["checks"]["lines"])
    assert "style  ladder" in command("plugins", "layout.toml", cwd=folder).stdout


def test_members_of_planed_timber_come_from_bars(tmp_path: Path) -> None:
    members = 'member_material = "softwood"\nmember_thickness_mm = 18\ndepth_mm = 95\n'
    folder = copied(tmp_path, f"[framing]\n{members}")
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    pack = Pack(folder / "pack")
    bars = [s for s in pack.data["cutting"]["sheets"] if s["bar"]]
    sawn = {p["part"] for s in bars for p in s["parts"]}
    assert sawn == {i for i, p in pack.parts.items() if p["role"] != "deck"}
    assert {c["along"] for s in bars for c in s["cuts"]} == {"width"}
    assert "bars" in {line["group"] for line in pack.data["cost"]["lines"]}
    assert all((folder / "pack" / "dxf" / "bars" / f"{s['id']}.dxf").exists() for s in bars)
    proved = here("verify", "pack", cwd=folder)
    assert proved.returncode == 0, proved.stdout + proved.stderr
