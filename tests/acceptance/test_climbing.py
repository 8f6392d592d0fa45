"""A layout with a line that climbs, over two boards, as a modeller would make it: the pack holds, says what
is built, and is told when it is not what the drawing has."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import msgspec
import openpyxl
import pytest
import shapely
from climbing_layout import AWAY_MM, FOOT_MM, GRADE, JOINT_MM, NEAR_MM, branch, draw
from packs import Pack
from running import here

from boardwright import Notes
from boardwright_outputs.verify.climbing import _lines, _near, check_climbing
from boardwright_outputs.verify.opened import Opened
from boardwright_outputs.verify.record import Board, Track
from boardwright_outputs.verify.record import Pack as Record


@pytest.fixture(scope="module")
def bank(tmp_path_factory: pytest.TempPathFactory) -> Pack:
    folder = draw(tmp_path_factory.mktemp("cuckoo-bank"))
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "at its steepest 1 in 40 (2.5 %)" in " ".join(done.stderr.split())
    return Pack(folder / "pack")


def test_the_pack_holds(bank: Pack) -> None:
    proof = here("verify", bank.folder, cwd=bank.folder.parent)
    assert proof.returncode == 0, proof.stderr
    assert "risers reach the decks that climb" in " ".join(proof.stdout.split())
    lines = {line["code"]: line for line in bank.data["checks"]["lines"]}
    assert all(line["passed"] for line in lines.values())
    assert lines["BW-CHECK-011"]["counted"] == lines["BW-CHECK-012"]["counted"] == len(risers(bank))
    assert lines["BW-CHECK-013"]["counted"] == 2  # both tracks cross the joint
    assert not [f for f in bank.data["findings"] if f["severity"] == "fault"]


def test_on_girders(tmp_path: Path) -> None:
    """The same line on girders with their deck under tracks: proven, nothing else lies so low or so high."""
    folder = draw(tmp_path)
    layout = folder / "layout.toml"
    layout.write_text(layout.read_text().replace("open-top", "l-girder-open"))
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    proof = here("verify", folder / "pack", cwd=folder)
    assert proof.returncode == 0, proof.stderr
    assert "22 risers reach the decks that climb" in " ".join(proof.stdout.split())
    pack = Pack(folder / "pack")
    assert all(line["passed"] for line in pack.data["checks"]["lines"])
    found = {f["code"] for f in pack.data["findings"] if f["severity"] != "note"}
    assert found == {"BW-STR-012"}  # two light boards on legs
    for space in pack.data["space"]:
        assert (space["style"], space["rise_mm"], space["frame_mm"]) == (
            "l-girder-open",
            60,
            90 + 12 + 70 + 60,
        )
    for board in pack.boards.values():
        tops = {m["role"]: m["top_mm"] for m in board["frame"]["members"] if m["role"] != "riser"}
        assert tops == {"end": 0, "side": -60, "joist": -60, "flange": -150, "girder": -162} | (
            {"noggin": -60} if "noggin" in tops else {}
        )
    text = (folder / "pack" / "index.html").read_text()
    assert "on the face of B01-J1" in text
    assert "across B01-F1 and B01-F2" in text


def risers(bank: Pack) -> dict[str, Any]:
    return {i: p for i, p in bank.parts.items() if p["role"] == "riser"}


def test_risers_have_the_heights_of_the_drawing(bank: Pack) -> None:
    """The climb's foot is at x = 850; on the straight the deck is at (x - 850) / 40, risers are bevelled by
    atan(1/40) = 1.43°. What the workbook says is what the parts are."""
    book = openpyxl.load_workbook(bank.folder / "workbook.xlsx", data_only=True)
    heading, *rows = [r for r in book["Risers"].iter_rows(values_only=True) if r[0] and r[1]]
    names = [" ".join(str(h).split()) for h in heading]
    assert names[0] == "Riser"
    assert {r[0] for r in rows} == set(risers(bank))
    line = shapely.LineString(branch())
    seen = 0
    for row in rows:
        told = dict(zip(names, row, strict=True))
        part, board = bank.parts[row[0]], bank.boards[row[1]]
        (_, right), (_, left) = part["ring"][2:]
        assert (told["Left height mm"], told["Right height mm"]) == pytest.approx((left, right), abs=1e-3)
        assert told["Top bevel °"] == pytest.approx(abs(part.get("top_bevel_deg", 0.0)), abs=1e-3)
        x, y = board["origin"][0] + told["x mm"], board["origin"][1] + told["y mm"]
        if y > 200 and FOOT_MM + 20 < x < 1480:
            seen += 1
            assert told["Top above level mm"] == pytest.approx((x - FOOT_MM) * GRADE, abs=0.01)
            assert told["Top bevel °"] == pytest.approx(1.432, abs=0.001)
            assert told["Deck's gradient"] == "1 in 40"
        elif y > 300:
            at = line.interpolate(line.project(shapely.Point(x, y)))
            assert told["Top above level mm"] == pytest.approx(at.z, abs=0.1)
    assert seen >= 4


def test_the_joints_ends(bank: Pack) -> None:
    """The level line's deck lies on both ends of the joint, the branch's on a riser on the face of each,
    250 / 40 = 6.25 mm up at the joint's line and 12 + 6 mm from it 0.45 mm more or less."""
    for board in bank.boards.values():
        members = board["frame"]["members"]
        (end,) = (m for m in members if m["role"] == "end")
        assert end["top_mm"] == 0
        on_end = [
            m
            for m in members
            if m["role"] == "riser"
            and abs(
                board["origin"][0] + sum(p[0] for p in (m["outer_start"], m["inner_start"])) / 2 - JOINT_MM
            )
            < 20
        ]
        (riser,) = on_end
        middle = sum(riser["tops_mm"]) / 4
        assert middle == pytest.approx(6.25 + (-0.45 if board["id"] == "B01" else 0.45), abs=1e-3)
        assert riser["depth_mm"] == pytest.approx(30 + max(riser["tops_mm"]))


def test_pictures_and_steps_follow(bank: Pack) -> None:
    text = (bank.folder / "index.html").read_text()
    assert "no two need be alike" in text
    assert "are lacking in all" in text
    tall = [i for i, p in risers(bank).items() if p["width_mm"] - 30 > 100]
    assert tall == []  # 35 mm up and 60 mm of rise
    assert "from top to foot, or brace it" not in text
    notes = [e.dxf.text for e in bank.dxf("dxf/boards/B02.dxf").modelspace().query("TEXT")]
    assert any(n.startswith("R") and " +1" in n for n in notes)
    around = {e.dxf.text for e in bank.dxf("dxf/general-arrangement.dxf").modelspace().query("TEXT")}
    assert {"+6.3", "1 in 40", "+34.9"} <= around  # at the joint, on the climb, at its end
    shaping = [c["says"] for s in bank.data["cutting"]["sheets"] for c in s["contours"]]
    assert any("saw its top with the blade tilted" in says for says in shaping)


@pytest.mark.parametrize(
    ("what", "code"),
    [("a riser 0.2 mm lower", "039"), ("a bevel the other way", "039"), ("a way 0.5 mm up", "049")],
)
def test_what_is_wrong_is_told(bank: Pack, what: str, code: str) -> None:
    files = {str(p.relative_to(bank.folder)): p.read_bytes() for p in bank.folder.rglob("*") if p.is_file()}
    whole = msgspec.json.decode(files["pack.json"], type=Record)
    change = msgspec.structs.replace

    def wrong(board: Board) -> Board:
        if what == "a way 0.5 mm up":
            panels = tuple(
                change(p, ways=tuple(tuple((x, y, z + 0.5) for x, y, z in w) for w in p.ways))
                for p in board.frame.deck
            )
            return change(board, frame=change(board.frame, deck=panels))
        riser = next(p for p in board.parts if p.role == "riser" and p.top_bevel_deg)
        worse = (
            change(riser, placement=change(riser.placement, z_mm=riser.placement.z_mm - 0.2))
            if what == "a riser 0.2 mm lower"
            else change(riser, top_bevel_deg=-riser.top_bevel_deg)
        )
        return change(board, parts=tuple(worse if p is riser else p for p in board.parts))

    first, *others = whole.boards
    for boards, told in (((first, *others), set()), ((wrong(first), *others), {f"BW-VERIFY-{code}"})):
        notes = Notes()
        assert len(list(check_climbing(Opened(files, change(whole, boards=boards), notes)))) == 1
        assert {f.code for f in notes.findings} == told


def test_a_riser_along_the_edge_goes_with_its_own_track(bank: Pack) -> None:
    """One 42 mm from the middle of its track, half under the deck's edge (40 mm); another track, level, ends
    near it: that goes on there in thought only."""
    files = {str(p.relative_to(bank.folder)): p.read_bytes() for p in bank.folder.rglob("*") if p.is_file()}
    whole = msgspec.json.decode(files["pack.json"], type=Record)
    change = msgspec.structs.replace
    first, *others = whole.boards
    riser = next(p for p in first.parts if p.role == "riser" and p.top_bevel_deg)
    aside = change(riser, placement=change(riser.placement, y_mm=riser.placement.y_mm + 42))
    board = change(first, parts=tuple(aside if p is riser else p for p in first.parts))
    x, y = riser.placement.x_mm, NEAR_MM + AWAY_MM + 42
    level = change(whole.plan.tracks[0], points=((x - 400, y), (x - 50, y)), heights_mm=(0.0, 0.0))
    plan = change(whole.plan, tracks=(*whole.plan.tracks, level))
    notes = Notes()
    list(check_climbing(Opened(files, change(whole, plan=plan, boards=(board, *others)), notes)))
    assert not notes.findings


def test_verify_takes_a_place_for_the_pass_of_a_track_that_is_drawn_beside_it() -> None:
    """A track goes out 500 mm, 60 aside and 200 back, 1 in 25 all along. 40 mm beside its outward pass and
    50 mm past its end that is 54 mm from the end and as high as the outward pass; past its beginning it goes
    straight on. And of a track that comes back farther than the stretch looked at, a place beside the way
    back is the later stretch's alone."""
    points = ((0.0, 0.0), (500.0, 0.0), (500.0, 60.0), (300.0, 60.0))
    (line,) = _lines(Track(points=points, heights_mm=(0.0, 20.0, 22.4, 30.4), level_mm=0.0))
    assert line.height(250.0, 40.0, 0.0) == pytest.approx(10.0)
    assert line.height(-50.0, 10.0, 0.0) == pytest.approx(-2.0)
    assert line.height(290.0, 65.0, 0.0) == pytest.approx(30.8)
    out = tuple((1000.0 * n, 0.0) for n in range(4))
    back = tuple((3000.0 - 1000.0 * n, 60.0) for n in range(4))
    heights = tuple(10.0 * n for n in range(8))
    first, second = _lines(Track(points=(*out, *back), heights_mm=heights, level_mm=0.0))
    at = (2100.0, 40.0)
    assert (first.is_beside(*at), second.is_beside(*at)) == (False, True)
    assert second.height(*at, 0.0) == pytest.approx(49.0)
    deck = shapely.box(0, -100, 3100, 300)
    assert _near([first, second], [(deck, [first, second])], *at, 53.0) == [second]
    far = (2100.0, 250.0)  # under a turnout's deck, 190 mm from the way back
    assert _near([first, second], [(deck, [first, second])], *far, 53.0) == [second]
    assert _near([first, second], [(deck, [first])], *far, 53.0) == [first]


def test_boxes_are_told(tmp_path: Path) -> None:
    folder = draw(tmp_path)
    layout = folder / "layout.toml"
    layout.write_text(layout.read_text().replace("open-top", "box"))
    done = here("stage", "space", cwd=folder)
    assert done.returncode == 0
    assert "BW-SPACE-002: Board B01: its deck is level (box)" in " ".join(done.stderr.split())
