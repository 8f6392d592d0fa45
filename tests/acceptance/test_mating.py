"""Modules that mate with their like, in front of them a meadow on a level of its own: a whole pack, verified,
and every hole that must meet another read back from the parts' DXF files.

Nothing here uses the tool's own code: parts are put into place by their documented placement, and a hole is
at a joint when its circle stands on the joint's line.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from functools import cache
from itertools import product
from typing import Any

import ezdxf
import openpyxl
import pytest
from packs import Pack, circles, to_plan
from running import here

MEET_MM = 0.01
PILOT_MM = 5.0  # thinner holes are for screws
COPIES, SPARE = 3, 2
PROJECT = f"""
[layout]
name = "Modules with a meadow"
[drawing]
file = "plan.dxf"
[drawing.layers]
outline = ["Module", "Meadow"]
tracks = ["Track"]
joints = ["Joint"]
[[drawing.levels]]
layers = ["Meadow"]
height_mm = -30
[supports]
battens = {{ B01 = [[[0, 0], [400, 0]]] }}
[series]
copies = {COPIES}
spare_ends = {SPARE}
"""

type Hole = tuple[float, float, float]  # along a joint from its middle, height, diameter


@pytest.fixture(scope="module")
def modules(tmp_path_factory: pytest.TempPathFactory) -> Pack:
    """Two boards with both ends drawn, and a meadow 30 mm lower joined to the side of the first."""
    folder = tmp_path_factory.mktemp("modules")
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    for layer, x, y, wide, high in (("Module", 0, 0, 1000, 400), ("Meadow", 50, -400, 400, 400)):
        corners = [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    space.add_line((0, 200), (1000, 200), dxfattribs={"layer": "Track"})
    for start, end in (((0, 0), (0, 400)), ((500, 0), (500, 400)), ((1000, 0), (1000, 400))):
        space.add_line(start, end, dxfattribs={"layer": "Joint"})
    space.add_line((50, 0), (450, 0), dxfattribs={"layer": "Joint"})
    doc.saveas(folder / "plan.dxf")
    (folder / "layout.toml").write_text(PROJECT)
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return Pack(folder / "pack")


@cache
def drawn_in(pack: Pack, part: str) -> list[Hole]:
    return circles(pack.dxf(f"dxf/parts/{part}.dxf"), ("HOLE",))


def bored(pack: Pack, board_id: str, joint: dict[str, Any]) -> list[Hole]:
    """Holes on a joint's line, of all circles drawn in the parts of one board that stand."""
    board = pack.boards[board_id]
    (x, y), (u, v) = joint["start"], joint["end"]
    length = math.dist((x, y), (u, v))
    dx, dy = (u - x) / length, (v - y) / length
    found = []
    for part in (p for p in board["parts"] if p["placement"]["stands"]):
        for a, b, d in drawn_in(pack, part["id"]):
            px, py, z = to_plan(board, part, a, b)
            along, off = dx * (px - x) + dy * (py - y), dx * (py - y) - dy * (px - x)
            if d > PILOT_MM and abs(off) <= MEET_MM and 0 <= along <= length:
                found.append((along - length / 2, board["level_mm"] + z, d))
    return sorted(found)


def apart(one: list[Hole], other: list[Hole]) -> float:
    """The worst distance of a hole from its mate; a diameter apart counts as well."""
    assert len(one) == len(other) >= 6  # two bolts, two dowels, two wire holes
    return max(min(math.dist(h, k) for k in b) for a, b in ((one, other), (other, one)) for h in a)


def test_verify_holds(modules: Pack) -> None:
    done = here("verify", modules.folder, cwd=modules.folder)
    assert (done.returncode, done.stderr) == (0, "")
    assert "of 2 joints with mates" in " ".join(done.stdout.split())


def test_holes_meet_on_one_level_and_between_two(modules: Pack) -> None:
    joints = {j["drop_mm"]: j for j in modules.data["joints"]}
    assert sorted(joints) == [-30.0, 0.0]
    assert len({j["id"] for j in joints.values()}) == 2
    for joint in joints.values():
        one, two = (bored(modules, name, joint) for name in joint["boards"])
        assert apart(one, two) <= MEET_MM
    # the frames are 90 deep, one of them 30 lower: they have wood from -30 to -90 in common
    (high,) = (b["level_mm"] for b in modules.data["boards"] if b["ends"] and b["id"] == "B02")
    levels = {z - high for _, z, _ in bored(modules, "B02", joints[-30.0])}
    assert len(levels) == 1
    assert abs(levels.pop() + 60.0) <= MEET_MM


def test_what_holds_the_meadow_to_the_wall_is_listed(modules: Pack) -> None:
    """A batten 400 long: an anchor 50 from each end, 300 apart. Three copies want six."""
    board = modules.boards["B01"]
    assert [(a["along_mm"], a["y_mm"], a["screw"], a["plug"]) for a in board["anchors"]] == [
        (50.0, -400.0, "6x100", "8x50"),
        (350.0, -400.0, "6x100", "8x50"),
    ]
    bought = {line["item"]: line["says"] for line in modules.data["cost"]["lines"]}
    assert bought["wall-screw-6x100"] == "Screw 6 × 100, into the wall (6 needed)"
    assert bought["wall-plug-8x50"] == "Wall plug 8 × 50, for solid walls (6 needed)"
    (why,) = (line["why"] for line in board["hardware"] if line["item"] == "wall-screw-6x100")
    book = openpyxl.load_workbook(modules.folder / "workbook.xlsx", read_only=True)
    listed = [row[0] for row in book["Wall anchors"].values]
    assert listed[-2:] == ["B01-A1", "B01-A2"]
    page = (modules.folder / "index.html").read_text()
    assert page.count("B01-A2") >= 1
    for text in (str(listed), page, why):
        assert "local codes" in text


def test_a_bolt_is_called_by_one_length_and_stands_below_each_boards_own_top(modules: Pack) -> None:
    """24 of wood + 3 washer + 6.8 nut + 1.25 pitch = 35.05, so 40. 30 below the meadow's top is 60 below the
    module's."""
    bolts = {(f["size"], f["length_mm"]) for f in modules.data["fixings"] if f["kind"] == "bolt"}
    assert bolts == {("M8", 40.0)}
    lines = [line for b in modules.data["boards"] for line in b["hardware"] if line["item"] == "bolt-M8x40"]
    assert {line["says"] for line in lines} == {
        "Cup-head square-neck bolt M8 × 40, grade 4.6 or better (DIN 603)"
    }
    book = openpyxl.load_workbook(modules.folder / "workbook.xlsx", read_only=True)
    told = {row[0]: row[12] for row in book["Joints"].values}
    assert {told[j] for j in ("J01", "J02", "E01", "E02")} == {"2 of M8 × 40"}
    page = (modules.folder / "index.html").read_text()
    table = page.split("Bolts and dowels, joint by joint.")[1].split("</table>")[0]
    (row,) = (r for r in table.split("<tr>") if "<td>J01-A</td>" in r)
    told_here = re.findall(r">([^<>\n]+)<", row)
    assert told_here[:6] == ["J01", "B01 + B02", "J01-A", "bolt", "M8 × 40", "44"]
    assert told_here[6] == "30 on B01, 60 on B02"


def test_any_end_mates_with_any_other_and_so_do_the_spare_plates(modules: Pack) -> None:
    ends = [(b["id"], end) for b in modules.data["boards"] for end in b["ends"]]
    drilled = [bored(modules, name, end) for name, end in ends]
    assert len(drilled) == 2
    cut: Counter[str] = Counter()
    for sheet in modules.data["cutting"]["sheets"]:
        for placed in sheet["parts"]:
            cut[placed["part"]] += sheet["times"]
    (plate,) = (name for name, n in cut.items() if n == COPIES + SPARE)
    assert {n for name, n in cut.items() if name != plate} == {COPIES}
    part = modules.parts[plate]
    middle, z = part["length_mm"] / 2, part["placement"]["z_mm"]
    drilled.append([(x - middle, z + y, d) for x, y, d in drawn_in(modules, plate) if d > PILOT_MM])
    for one, other in product(drilled, repeat=2):
        facing = [(-t, z, d) for t, z, d in other]  # two ends face to face run opposite ways
        assert apart(one, facing) <= MEET_MM
        assert apart([(-t, z, d) for t, z, d in one], facing) <= MEET_MM  # one module turned round
