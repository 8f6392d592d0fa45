"""A fascia round two joined boards with a curved front, a backscene behind: a whole pack, verified; and every
way to forge the strips is told."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import ezdxf
import msgspec
import pytest
from packs import Pack
from running import here

from boardwright import Notes
from boardwright_outputs.verify.edging import check_edging
from boardwright_outputs.verify.members import check_members
from boardwright_outputs.verify.opened import Opened
from boardwright_outputs.verify.record import EdgePiece
from boardwright_outputs.verify.record import Pack as Record

STRIPS = '[fascia]\nedges = "free"\n[backscene]\nnear = [[300, 405]]\n'
FASCIAS = {"B01-FA1", "B01-FA2", "B02-FA1"}  # front and left end; front and round the curve
BACKS = {"B01-BS1", "B02-BS1"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Pack:
    folder = tmp_path_factory.mktemp("fascia")
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    space = document.modelspace()
    quarter = math.tan(math.pi / 8)  # the bulge of a quarter of a circle, here of 400 mm radius
    edge = [(0, 0, 0), (1000, 0, quarter), (1400, 400, 0), (0, 400, 0)]
    space.add_lwpolyline(edge, format="xyb", close=True, dxfattribs={"layer": "EDGE"})
    space.add_line((0, 250), (1300, 250), dxfattribs={"layer": "TRACK"})
    space.add_line((700, 0), (700, 400), dxfattribs={"layer": "JOINT"})
    document.saveas(folder / "plan.dxf")
    (folder / "layout.toml").write_text(
        '[layout]\nname = "Curve"\n[drawing]\nfile = "plan.dxf"\n[drawing.layers]\n'
        f'outline = ["EDGE"]\ntracks = ["TRACK"]\njoints = ["JOINT"]\n{STRIPS}'
    )
    done = here("pack", cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "BW-EDGE" not in done.stdout + done.stderr
    return Pack(folder / "pack")


def test_strips_are_cut_priced_labelled_and_proved(made: Pack) -> None:
    """B01: 700 + 4 over the end strip's end, less 1 at the joint; its end 400, flush with the back. B02: 300
    less 1 at the joint and a quarter of a circle of 402 mm: 299 + 631.46, the curve's steps a hair less. The
    backscene covers the ends of both, 4 mm thick: 700 + 4 − 1 on each board, 300 + 9 + 80 high."""
    strips = {i: p for i, p in made.parts.items() if p["role"] in ("fascia", "backscene")}
    assert strips.keys() == FASCIAS | BACKS
    assert strips["B01-FA1"]["length_mm"] == 703.0
    assert strips["B01-FA2"]["length_mm"] == 400.0
    assert strips["B02-FA1"]["length_mm"] == pytest.approx(299 + math.pi / 2 * 402, abs=0.2)
    assert {strips[i]["width_mm"] for i in FASCIAS} == {114.0}
    for back in BACKS:  # the arc's last step ends a hair off square
        assert strips[back]["length_mm"] == pytest.approx(703.0, abs=0.001)
        assert strips[back]["width_mm"] == 389.0
    for thick, parts in ((4.0, FASCIAS), (6.5, BACKS)):
        sheets = [s for s in made.data["cutting"]["sheets"] if s["thickness_mm"] == thick]
        assert {p["part"] for s in sheets for p in s["parts"]} == parts
        (line,) = [x for x in made.data["cost"]["lines"] if x["item"] == sheets[0]["stock"]]
        assert float(line["quantity"]) == len(sheets) == 1
    assert all(c["passed"] for c in made.data["checks"]["lines"])
    assert [c["code"] for c in made.data["checks"]["lines"]][-1] == "BW-CHECK-016"
    for strip in strips:
        assert f'data-part="{strip}"' in (made.folder / "labels.html").read_text()
        assert (made.folder / "dxf" / "parts" / f"{strip}.dxf").exists()
    book = (made.folder / "index.html").read_text()
    assert "Step 5: The fascia" in book
    assert "Step 6: The backscene" in book
    drawn = {t.dxf.text for t in made.dxf("dxf/boards/B02.dxf").modelspace().query("TEXT")}
    assert {"FA1", "BS1"} <= drawn
    proof = here("verify", made.folder, cwd=made.folder)
    assert proof.returncode == 0, proof.stderr


def test_its_mass_is_in_the_boards(made: Pack) -> None:
    """Birch ply of 4 mm, 660 kg/m³ (published mill table): 703 × 114 × 4 mm³ and 400 × 114 × 4."""
    board = made.boards["B01"]
    own = sum(p["mass_kg"] for p in board["parts"] if p["role"] == "fascia")
    assert own == pytest.approx((703 + 400) * 114 * 4 * 660e-9, rel=1e-6)
    assert board["mass_kg"] == pytest.approx(sum(p["mass_kg"] for p in board["parts"]))


def test_screws_of_the_strips_are_bought(made: Pack) -> None:
    for board in made.boards.values():
        wanted: dict[str, int] = {}
        for strip in board["edging"]:
            for hold in strip["holds"]:
                diameter, length = hold["screw"]
                item = f"screw-{diameter:g}x{length:g}"
                wanted[item] = wanted.get(item, 0) + len(hold["heights_mm"])
        for item, number in wanted.items():
            lines = [x for x in board["hardware"] if x["item"] == item and "along edges" in x["why"]]
            assert [x["quantity"] for x in lines] == [number]


type Forged = Callable[[EdgePiece], EdgePiece]


def moved(dx: float, dy: float) -> Forged:
    def forge(piece: EdgePiece) -> EdgePiece:
        inner, outer = (tuple((x + dx, y + dy) for x, y in face) for face in (piece.inner, piece.outer))
        return msgspec.structs.replace(piece, inner=inner, outer=outer)

    return forge


@pytest.mark.parametrize(
    ("forge", "place", "code"),
    [
        (moved(0.0, 0.0), (0.0, 0.0, 0.0), None),
        (moved(0.0, 0.01), (0.0, 0.0, 0.0), "BW-VERIFY-034"),  # told elsewhere than cut
        (moved(0.0, 0.0), (0.0, 0.0, 0.1), "BW-VERIFY-034"),  # placed too high
        (moved(0.0, -1.0), (0.0, -1.0, 0.0), "BW-VERIFY-046"),  # off the edge
        (moved(0.0, 1.0), (0.0, 1.0, 0.0), "BW-VERIFY-046"),  # in the board
        (moved(1.5, 0.0), (1.5, 0.0, 0.0), "BW-VERIFY-046"),  # over the line of the joint
    ],
)
def test_a_forged_strip_is_told(
    made: Pack, forge: Forged, place: tuple[float, float, float], code: str | None
) -> None:
    files = {str(p.relative_to(made.folder)): p.read_bytes() for p in made.folder.rglob("*") if p.is_file()}
    whole = msgspec.json.decode(files["pack.json"], type=Record)
    first, *others = whole.boards
    strip, *more = first.edging
    parts: list[Any] = []
    for part in first.parts:
        at = part.placement
        if part.id == strip.pieces[0].id:
            x, y, z = at.x_mm + place[0], at.y_mm + place[1], at.z_mm + place[2]
            part = msgspec.structs.replace(
                part, placement=msgspec.structs.replace(at, x_mm=x, y_mm=y, z_mm=z)
            )
        parts.append(part)
    forged = msgspec.structs.replace(strip, pieces=tuple(map(forge, strip.pieces)))
    board = msgspec.structs.replace(first, parts=tuple(parts), edging=(forged, *more))
    notes = Notes()
    opened = Opened(files, msgspec.structs.replace(whole, boards=(board, *others)), notes)
    assert len(list(check_edging(opened))) == 1
    assert {f.code for f in notes.findings} == ({code} if code else set())


def test_a_strip_that_is_no_part_or_no_strip_is_told(made: Pack) -> None:
    files = {str(p.relative_to(made.folder)): p.read_bytes() for p in made.folder.rglob("*") if p.is_file()}
    whole = msgspec.json.decode(files["pack.json"], type=Record)
    first, *others = whole.boards
    gone = msgspec.structs.replace(first, parts=tuple(p for p in first.parts if p.id != "B01-FA1"))
    bare = msgspec.structs.replace(first, edging=first.edging[1:])
    for board, check in ((gone, check_edging), (bare, check_members)):
        notes = Notes()
        opened = Opened(files, msgspec.structs.replace(whole, boards=(board, *others)), notes)
        list(check(opened))
        assert "BW-VERIFY-035" in {f.code for f in notes.findings}
