"""Names that strangers' drawings and lists bring are text in every output: no formula, no markup, no path.

The layout is a small quay drawn as SVG, so this is also the whole way from an SVG plan to a pack.
"""

from __future__ import annotations

import csv
import html.parser
import io
import json
import subprocess
import zipfile
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import openpyxl
import pytest
from running import command

from boardwright.disk import on_disk

DEVICES = [
    "=1+1",
    '=HYPERLINK("http://nowhere.invalid","here")',
    "+cmd|' /C calc'!A0",
    "@SUM(A1:A9)",
    "-2+3",
    "../../outside",
    "/dev/null",
    "long " * 60,
    "bell\x07 and \x1b[31mred",
    "line\nbreak",
    "<script>alert(1)</script>",
    "{\\fArial;%%d^J}",
    "CON",
    "right\u202eleft",
    "tab\there",
    '"quo\'ted"',
    "boat \U0001f6a2",
    "\ufffe",
]
PLAN = """<svg xmlns="http://www.w3.org/2000/svg" width="1600mm" height="500mm" viewBox="0 0 1600 500">
<defs><g id="t"><path d="M0 0h200l0 30z"/></g></defs>
<g id="=EDGE()"><path d="M0 0H1600V400A100 100 0 0 1 1500 500H0z"/></g>
<g id="&lt;i>quay line"><path d="M0 100H1600"/></g>
<g id="../../points"><use id="=T1()" href="#t" x="300" y="400"/>
<use id="../../T2&lt;b>" href="#t" x="700" y="400"/></g></svg>
"""
PROJECT = r"""[layout]
name = "=1+1 ../../<b>Quay</b>\u0007"
author = "=cmd()\u001b"
[drawing]
file = "plan.svg"
[drawing.layers]
outline = ["=EDGE*"]
tracks = ["<i>*"]
turnouts = ["../*"]
[devices]
file = "devices.csv"
"""


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, subprocess.CompletedProcess[str]]:
    folder = tmp_path_factory.mktemp("around") / "quay"
    folder.mkdir()
    table = io.StringIO(newline="")
    rows = csv.writer(table)
    rows.writerow(["id", "kind", "x_mm", "y_mm"])
    for n, name in enumerate(DEVICES):
        rows.writerow([name, "feed", 100 + 70 * n, 200 if n % 2 else 300])
    (folder / "devices.csv").write_text(table.getvalue(), encoding="utf-8", newline="")
    (folder / "plan.svg").write_text(PLAN, encoding="utf-8")
    (folder / "layout.toml").write_text(PROJECT, encoding="utf-8")
    return folder, command("pack", cwd=folder)


@pytest.fixture(scope="module")
def pack(done: tuple[Path, subprocess.CompletedProcess[str]]) -> Path:
    return done[0] / "pack"


def test_a_pack_is_made_and_the_terminal_stays_itself(
    done: tuple[Path, subprocess.CompletedProcess[str]],
) -> None:
    folder, process = done
    assert process.returncode == 0, process.stderr
    assert (
        sum(
            d["id"].startswith("=")
            for d in json.loads((folder / "pack" / "pack.json").read_text())["plan"]["devices"]
        )
        == 2
    )
    for text in (process.stdout, process.stderr):
        assert all(c.isprintable() or c == "\n" for c in text)


def test_nothing_is_written_outside_the_project(done: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    folder, _ = done
    assert [p.name for p in folder.parent.iterdir()] == ["quay"]
    assert {p.name for p in folder.iterdir()} == {
        "devices.csv",
        "plan.svg",
        "layout.toml",
        "pack",
        ".boardwright",
    }
    for path in on_disk(folder / "pack"):
        assert all((c.isalnum() and c.isascii()) or c in "-_./" for c in path), path
        assert ".." not in path
        assert len(path) < 120


def test_the_workbook_holds_them_as_text(pack: Path) -> None:
    """No formula holds any of the words that came in as names, and some names are there to be read."""
    book = openpyxl.load_workbook(pack / "workbook.xlsx")
    shown: set[str] = set()
    for sheet in book:
        for cell in (c for row in sheet.iter_rows() for c in row if c.value is not None):
            text = str(cell.value)
            if cell.data_type == "f":
                assert not any(
                    word in text for word in ("HYPERLINK", "cmd", "1+1", "SUM(A1:A9)", "EDGE", "T1")
                )
            else:
                shown.add(text)
    assert any("=1+1" in text for text in shown)
    with zipfile.ZipFile(pack / "workbook.xlsx") as archive:
        for name in archive.namelist():
            assert ".." not in name
            if name.endswith(".xml"):
                ElementTree.fromstring(archive.read(name))


def test_the_drawings_hold_them_as_text(pack: Path) -> None:
    said: list[str] = []
    for path in sorted(pack.rglob("*.dxf")):
        raw = path.read_bytes()
        assert all(c >= 32 or c in b"\r\n" for c in raw), path
        document = ezdxf.readfile(path)
        assert not document.audit().has_errors
        assert all(c.isalnum() or c in "_-" for layer in document.layers for c in layer.dxf.name)
        texts = [t.dxf.text for t in document.modelspace().query("TEXT")]
        assert all("%%" not in t for t in texts)
        said += texts
    assert any("=1+1" in t for t in said)


class _Page(html.parser.HTMLParser):
    """Collects the tags of a page, and its words."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.scripts: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.scripts += [""] if tag == "script" else []
        assert not any(name.startswith("on") for name, _ in attrs)

    def handle_data(self, data: str) -> None:
        if self.cdata_elem == "script":
            self.scripts[-1] += data
        else:
            self.words += data


def test_the_page_holds_them_as_text(pack: Path) -> None:
    page = _Page()
    page.feed((pack / "index.html").read_text(encoding="utf-8"))
    ours = files("boardwright_outputs.book").joinpath("book.js").read_text("utf-8")
    assert page.scripts == [ours]  # and none that a name brought in
    assert "<script>alert(1)</script>" in page.words
    assert all(c.isprintable() or c in "\n\t" for c in page.words)
    assert "bell␇ and ␛[31mred" in page.words


def test_the_data_holds_them_as_they_are_written(pack: Path) -> None:
    data = json.loads((pack / "pack.json").read_text(encoding="utf-8"))
    names = {d["id"] for d in data["plan"]["devices"]}
    assert {"../../outside", "<script>alert(1)</script>", "=1+1"} <= names
