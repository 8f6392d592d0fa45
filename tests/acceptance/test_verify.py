"""`boardwright verify` as a user types it: on every fixture's pack, on damaged ones, on what is no pack."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path
from subprocess import CompletedProcess

import ezdxf
import openpyxl
import pytest
from packs import Pack
from running import command, here


def test_every_fixture_holds(pack: Pack) -> None:
    done = command("verify", pack.folder, cwd=pack.folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("proved: ") == 15
    assert done.stdout.endswith(" holds.\n")
    said = " ".join(done.stdout.split())
    parts, joints = len(pack.parts), len(pack.data["joints"])
    assert f"proved: {parts} part drawings" in said
    assert f"of {joints} joint" in said
    assert f"make {pack.data['cost']['total']} EUR" in said


def test_the_digests_are_in_the_form_that_other_programs_check(pack: Pack) -> None:
    lines = (pack.folder / "SHA256SUMS").read_text().splitlines()
    told = {line[66:]: line[:64] for line in lines}
    found = {
        p.relative_to(pack.folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in pack.folder.rglob("*")
        if p.is_file() and p.name != "SHA256SUMS"
    }
    assert told == found


def test_a_damaged_pack_is_told_and_named(layouts: dict[str, Path], tmp_path: Path) -> None:
    folder = tmp_path / "pack"
    shutil.copytree(layouts["exhibition-module"] / "pack", folder)
    path = folder / "dxf" / "parts" / "B01-J1.dxf"
    path.write_bytes(path.read_bytes()[:5000])
    (folder / "my notes.txt").write_text("glue in the van")
    done = command("verify", cwd=tmp_path)  # the one called pack, where none is named
    assert done.returncode == 1
    assert "does NOT hold" in done.stdout
    for code in ("BW-VERIFY-007", "BW-VERIFY-011", "BW-VERIFY-009"):
        assert code in done.stderr
    assert "dxf/parts/B01-J1.dxf" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_workbook_without_stored_amounts_is_told_in_one_sentence(
    layouts: dict[str, Path], tmp_path: Path
) -> None:
    """Saved again by a library that does not reckon: hundreds of cells are empty, for one reason."""
    folder = tmp_path / "pack"
    shutil.copytree(layouts["exhibition-module"] / "pack", folder)
    book = openpyxl.load_workbook(folder / "workbook.xlsx")
    book.save(folder / "workbook.xlsx")
    done = here("verify", folder, cwd=tmp_path)
    assert done.returncode == 1
    assert done.stderr.count("BW-VERIFY-083") == 1
    assert "program that does not reckon" in " ".join(done.stderr.split())


def test_what_the_pack_itself_tells_is_pointed_to(tmp_path: Path) -> None:
    """Made again it would be the same: a joint 60 mm long holds no bolt, and no such sheet is in stock."""
    space = (doc := ezdxf.new("R2010", units=4)).modelspace()
    ring = [(0, 0), (1600, 0), (1600, 60), (0, 60)]
    space.add_lwpolyline(ring, close=True, dxfattribs={"layer": "BOARD EDGE"})
    doc.saveas(tmp_path / "plan.dxf")
    (tmp_path / "layout.toml").write_text(
        '[drawing]\nfile = "plan.dxf"\n[framing]\nmember_material = "mdf"\n[splitting]\nmin_length_mm = 50\n'
    )
    assert here("pack", cwd=tmp_path).returncode == 1
    said = " ".join(here("verify", "pack", cwd=tmp_path).stderr.split())
    joint, parts = said[said.index("BW-VERIFY-040") :], said[said.index("BW-VERIFY-050") :]
    assert "joint J01 has no hole at all. where: J01 mend: The pack itself says why: BW-JOINT-002." in joint
    assert "mend: The pack itself says why: BW-CUT-001." in parts


@pytest.mark.parametrize("what", ["", "layout.toml"])
def test_a_layout_may_be_named_for_its_pack(layouts: dict[str, Path], tmp_path: Path, what: str) -> None:
    folder = tmp_path / "it"
    shutil.copytree(layouts["exhibition-module"], folder)
    done = here("verify", folder / what, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert f"The pack in {folder / 'pack'} holds." in done.stdout


@pytest.mark.parametrize("what", ["empty", "nowhere", "a file"])
def test_what_is_no_pack_is_refused(tmp_path: Path, what: str) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "a file").write_text("no pack")
    done = command("verify", tmp_path / what, cwd=tmp_path)
    assert done.returncode == 2
    assert "BW-VERIFY-001" in done.stderr
    assert "Traceback" not in done.stderr


def test_round_edges_hold(tmp_path: Path) -> None:
    """A round table whose two boards are half discs, 0.05 mm narrower by chords than as cut, and a bowed
    board with a seam in its deck."""
    for name in ("round", "bowed"):
        folder = tmp_path / name
        folder.mkdir()
        document = ezdxf.new(units=ezdxf.units.MM)
        space = document.modelspace()
        if name == "round":
            space.add_circle((500, 500), 500, dxfattribs={"layer": "EDGE"})
        else:
            edge = [(0, 0, 0), (2600, 0, 0), (2600, 600, 0.25), (0, 600, 0)]
            space.add_lwpolyline(edge, format="xyb", close=True, dxfattribs={"layer": "EDGE"})
        document.saveas(folder / "plan.dxf")
        larger = "[splitting]\nmax_length_mm = 3000\nmax_width_mm = 1300\n" * (name == "bowed")
        (folder / "layout.toml").write_text(
            f'[drawing]\nfile = "plan.dxf"\n[drawing.layers]\noutline = ["EDGE"]\n{larger}'
        )
        assert here("pack", cwd=folder).returncode in (0, 1)
        done = here("verify", "pack", cwd=folder)
        assert (done.returncode, done.stderr) == (0, "")


def packed_whole(folder: Path, long: float, wide: float, more: str = "") -> CompletedProcess[str]:
    """A bare board of any size, not divided."""
    doc = ezdxf.new("R2010", units=4)
    corners = [(0, 0), (long, 0), (long, wide), (0, wide)]
    doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "Board edge"})
    doc.saveas(folder / "plan.dxf")
    (folder / "layout.toml").write_text(
        '[layout]\nname = "Large"\n[drawing]\nfile = "plan.dxf"\n[drawing.layers]\noutline = ["Board edge"]\n'
        f"[splitting]\nmax_length_mm = 0\nmax_width_mm = 0\n{more}"
    )
    return here("pack", cwd=folder)


def test_skins_longer_than_a_sheet_hold_by_their_blocks(tmp_path: Path) -> None:
    """Each skin of the long sides is butted over a block of its own; told of a pack that lacks one."""
    packed = packed_whole(
        tmp_path,
        2600,
        300,
        '[framing]\nsides = "sandwich"\n[sandwich]\nblock_spacing_mm = 900\n[joists]\nspacing_mm = 700\n'
        "by_deck = false\n",
    )
    assert "BW-JOIST-019" in packed.stderr
    done = here("verify", tmp_path / "pack", cwd=tmp_path)
    assert " holds." in done.stdout
    path = tmp_path / "pack" / "pack.json"
    data = json.loads(path.read_text())
    (board,) = data["boards"]
    under = [p for p in board["parts"] if p["role"] == "block" and p["grain"] == "length"]
    assert len(under) == 4, "two skins of two sides"
    board["parts"].remove(under[0])
    path.write_text(json.dumps(data))
    told = " ".join(here("verify", tmp_path / "pack", cwd=tmp_path).stderr.split())
    assert f"{under[0]['of']} is not two skins from end to end" in told


def test_a_deck_wider_than_a_sheet_holds_by_its_plates(tmp_path: Path) -> None:
    """Its two pieces meet along the board on plates; told of a pack without those, at this seam alone."""
    packed = packed_whole(tmp_path, 1300, 1400)
    assert packed.returncode == 0
    assert "BW-JOIST-018" in packed.stderr
    done = here("verify", tmp_path / "pack", cwd=tmp_path)
    assert "proved: 1 seam between pieces of decks lie on wood." in " ".join(done.stdout.split())
    assert done.returncode == 0
    path = tmp_path / "pack" / "pack.json"
    data = json.loads(path.read_text())
    (board,) = data["boards"]
    plates = [p for p in board["parts"] if p["role"] == "splice plate"]
    board["parts"] = [p for p in board["parts"] if p not in plates]
    path.write_text(json.dumps(data))
    told = here("verify", tmp_path / "pack", cwd=tmp_path).stderr
    assert len(plates) == 4
    assert told.count("BW-VERIFY-038") == 1
    assert "B01-D1 and B01-D2 meet with nothing below" in " ".join(told.split())
