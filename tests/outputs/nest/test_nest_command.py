"""`boardwright nest` as a user types it: the files, the exit status, nothing half written."""

from __future__ import annotations

import io
from decimal import Decimal
from pathlib import Path

import ezdxf
import msgspec
import openpyxl
import pytest

from boardwright.cli import main
from boardwright_outputs.nest.model import NestFile

PARTS = """id,material,thickness_mm,length_mm,width_mm,quantity,grain
side,birch ply,12,1200,85,4,length
joist,birch ply,12,564,85,10,length
deck,birch ply,9,1200,600,3,length
"""
STOCK = """[saw]
kerf_mm = 3.0
trim_mm = 10.0
stages = 3
[[sheet]]
material = "birch ply"
thickness_mm = 12
length_mm = 2440
width_mm = 1220
price = 60.10
[[sheet]]
material = "birch ply"
thickness_mm = 9
length_mm = 1250
width_mm = 650
price = 20.05
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "parts.csv").write_text(PARTS)
    (tmp_path / "stock.toml").write_text(STOCK)
    return tmp_path


def nest(folder: Path, out: str = "out") -> int:
    return main(
        ["nest", str(folder / "parts.csv"), "--stock", str(folder / "stock.toml"), "-o", str(folder / out)]
    )


def contents(out: Path) -> dict[str, bytes]:
    return {str(p.relative_to(out)): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file()}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """One plan that several tests read."""
    folder = tmp_path_factory.mktemp("nest")
    (folder / "parts.csv").write_text(PARTS)
    (folder / "stock.toml").write_text(STOCK)
    assert nest(folder) == 0
    return contents(folder / "out")


def test_the_files_and_what_they_say(made: dict[str, bytes]) -> None:
    files = made
    # three decks, one a sheet, are sawn alike: one drawing
    assert sorted(files) == [
        "dxf/sheets/birch-ply-12-01.dxf",
        "dxf/sheets/birch-ply-9-01.dxf",
        "nest.json",
        "offcuts.toml",
        "workbook.xlsx",
    ]
    data = msgspec.json.decode(files["nest.json"], type=NestFile)
    assert (data.sheets_used, data.lower_bound, data.proven) == (4, 4, True)
    assert data.price == pytest.approx(60.10 + 3 * 20.05)
    assert [g.says for g in data.groups] == ["3 sheets; fewer is impossible", "1 sheet; fewer is impossible"]
    placed = [p.id for s in data.sheets for p in s.placements]
    assert {id_: placed.count(id_) for id_ in placed} == {"side": 4, "joist": 10, "deck": 3}
    assert all(s.cut_tree is not None and s.cuts for s in data.sheets)


def test_the_drawing_holds_the_sheet_at_full_size(made: dict[str, bytes]) -> None:
    drawing = ezdxf.read(io.StringIO(made["dxf/sheets/birch-ply-12-01.dxf"].decode(), newline=None))
    assert drawing.header["$INSUNITS"] == 4  # millimetres
    assert not drawing.audit().has_errors
    boxes = {
        tuple(round(v, 3) for v in (max(x for x, _ in pts) - min(x for x, _ in pts), max(y for _, y in pts)))
        for pts in ([(p[0], p[1]) for p in e.get_points()] for e in drawing.modelspace().query("LWPOLYLINE"))
    }
    assert (2440.0, 1220.0) in boxes
    assert sum(length == 564.0 for length, _ in boxes) >= 1


def test_the_workbooks_sum_is_a_formula_and_right(made: dict[str, bytes]) -> None:
    data = made["workbook.xlsx"]
    formulas = openpyxl.load_workbook(io.BytesIO(data))["Buying"]
    stored = openpyxl.load_workbook(io.BytesIO(data), data_only=True)["Buying"]
    (row,) = [c.row for column in formulas.iter_cols(1, 1) for c in column if c.value == "Total"]
    assert str(formulas.cell(row, 4).value).startswith("=SUM(")
    assert Decimal(str(stored.cell(row, 4).value)) == Decimal("120.25")


def test_the_same_list_gives_the_same_bytes(folder: Path, made: dict[str, bytes]) -> None:
    assert nest(folder, "again") == 0
    assert made == contents(folder / "again")


def test_a_part_no_stock_gives_is_status_1_and_the_rest_is_cut(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "parts.csv").write_text(PARTS + "wall,birch ply,12,3000,85,1,length\n")
    assert nest(folder) == 1
    assert "BW-CUT-002" in capsys.readouterr().err
    data = msgspec.json.decode((folder / "out/nest.json").read_bytes(), type=NestFile)
    assert [u.part for u in data.unplaced] == ["wall"]
    assert data.sheets_used == 4


@pytest.mark.parametrize(
    ("file", "text", "code"),
    [
        ("parts.csv", "", "BW-NEST-002"),
        ("parts.csv", PARTS.replace("564", "-564"), "BW-NEST-005"),
        ("stock.toml", "[[sheet]", "BW-NEST-010"),
        ("stock.toml", "", "BW-NEST-011"),
    ],
)
def test_bad_input_is_status_2_and_leaves_the_old_plan_whole(
    folder: Path, file: str, text: str, code: str, capsys: pytest.CaptureFixture[str]
) -> None:
    nest(folder)
    before = contents(folder / "out")
    capsys.readouterr()
    (folder / file).write_text(text)
    assert nest(folder) == 2
    said = capsys.readouterr().err
    assert code in said
    assert "Nothing was written." in said
    assert "Traceback" not in said
    assert contents(folder / "out") == before
    assert sorted(p.name for p in folder.iterdir()) == ["out", "parts.csv", "stock.toml"]


def test_a_missing_list_and_a_folder_that_is_not_ours(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "photos").mkdir()
    (folder / "photos" / "cat.jpg").write_bytes(b"not a plan")
    assert nest(folder, "photos") == 2
    assert contents(folder / "photos") == {"cat.jpg": b"not a plan"}
    (folder / "parts.csv").unlink()
    assert nest(folder) == 2
    assert "BW-NEST-013" in capsys.readouterr().err
    assert not (folder / "out").exists()
