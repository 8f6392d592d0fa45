"""Every drawing of every fixture, read by GDAL (pyogrio) and measured by shapely: none of our own readers.

GDAL makes arcs of short chords, every 0.5° here, and the data hold them as chords within 0.05 mm (the plan's
chord error): lengths may differ by a ten-thousandth, areas by 0.06 mm along the whole edge.
"""

from __future__ import annotations

import hashlib
import importlib.util
import math
import re
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pyogrio
import pytest
import shapely
from packs import Pack

PART = 1e-4
CHORD_MM = 0.06


class Shape(NamedTuple):
    layer: str
    text: str
    shape: Any


@pytest.fixture(scope="module", autouse=True)
def fine_arcs() -> Iterator[None]:
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": 0.5})
    yield
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})


@cache
def read(path: Path) -> list[Shape]:
    _, _, shapes, (layers, texts) = pyogrio.raw.read(path, columns=["Layer", "Text"])
    return [
        Shape(layer, text or "", shape)
        for layer, text, shape in zip(layers, texts, shapely.from_wkb(shapes), strict=True)
    ]


def closed(shapes: Iterable[Shape], layer: str) -> list[tuple[float, float]]:
    """Area and length of every closed run of a layer, in order of size."""
    found = [s.shape for s in shapes if s.layer == layer and s.shape.geom_type == "LineString"]
    return sorted((shapely.Polygon(f).area, f.length) for f in found if f.is_ring)


def rings(part: Any) -> list[tuple[float, float]]:
    runs = [shapely.Polygon(ring) for ring in (part["ring"], *part["openings"])]
    slots = [h for h in part["holes"] if h.get("slot_mm")]
    straight = [(h["slot_mm"] - h["diameter_mm"], h["diameter_mm"]) for h in slots]
    oval = [(a * d + math.pi * d * d / 4, 2 * a + math.pi * d) for a, d in straight]
    return sorted([*((r.area, r.length) for r in runs), *oval])


def same(seen: tuple[float, float], wanted: tuple[float, float]) -> bool:
    """Two areas and lengths."""
    return math.isclose(seen[1], wanted[1], rel_tol=PART) and abs(seen[0] - wanted[0]) <= CHORD_MM * wanted[1]


def test_gdal_gets_the_same_areas_and_lengths(pack: Pack) -> None:
    parts = {p["id"]: p for b in pack.data["boards"] for p in (*b["parts"], *b["tools"])}
    for id_, part in parts.items():
        seen = closed(read(pack.folder / "dxf" / "parts" / f"{id_}.dxf"), "THROUGH_CUT")
        assert all(same(*pair) for pair in zip(seen, rings(part), strict=True)), id_
    for sheet in pack.data["cutting"]["sheets"]:
        shapes = read(pack.folder / "dxf" / "sheets" / f"{sheet['id']}.dxf")
        wanted = sorted(r for p in sheet["parts"] for r in rings(parts[p["part"]]))
        assert all(same(*pair) for pair in zip(closed(shapes, "THROUGH_CUT"), wanted, strict=True)), sheet[
            "id"
        ]
        edge = (sheet["length_mm"] * sheet["width_mm"], 2 * (sheet["length_mm"] + sheet["width_mm"]))
        assert closed(shapes, "SHEET_EDGE") == [pytest.approx(edge)]
    whole = closed(read(pack.folder / "dxf" / "general-arrangement.dxf"), "OUTLINE")
    for id_, board in pack.boards.items():
        edge = shapely.Polygon(board["ring"])
        own = closed(read(pack.folder / "dxf" / "boards" / f"{id_}.dxf"), "OUTLINE")
        for seen in (own, whole):
            assert any(same(one, (edge.area, edge.length)) for one in seen), id_


def test_nothing_is_doubled_without_length_open_or_out_of_frame(pack: Pack) -> None:
    for path in sorted((pack.folder / "dxf").rglob("*.dxf")):
        shapes = read(path)
        left, bottom, right, top = frame(path)
        for s in shapes:
            if s.shape.geom_type != "Point":
                assert s.shape.length > 1e-6, f"{path.name}: a {s.layer} without length"
            x0, y0, x1, y1 = s.shape.bounds
            assert left <= x0 <= x1 <= right, f"{path.name}: {s} is out of the frame"
            assert bottom <= y0 <= y1 <= top, f"{path.name}: {s} is out of the frame"
            if s.layer == "THROUGH_CUT":
                assert s.shape.is_ring, f"{path.name}: an open cut"
                assert s.shape.is_simple, f"{path.name}: a cut that crosses itself"
        twice = Counter((s.layer, s.text, shapely.normalize(s.shape).wkb) for s in shapes)
        assert max(twice.values()) == 1, f"{path.name}: {twice.most_common(1)}"


def frame(path: Path) -> list[float]:
    """The extent that the file's head declares."""
    head = path.read_text("utf-8")[:4000].split()
    at = {name: head.index(name) for name in ("$EXTMIN", "$EXTMAX")}
    return [float(head[at[name] + place]) for name in at for place in (2, 4)]


def test_every_part_member_and_device_is_labelled(pack: Pack) -> None:
    for sheet in pack.data["cutting"]["sheets"]:
        said = [s.text for s in read(pack.folder / "dxf" / "sheets" / f"{sheet['id']}.dxf") if s.text]
        for placed in sheet["parts"]:
            assert any(placed["part"] in text for text in said), placed["part"]
    for id_, board in pack.boards.items():
        said = [s.text for s in read(pack.folder / "dxf" / "boards" / f"{id_}.dxf") if s.text]
        names = [text.split()[0] for text in said]
        apart = {part["id"] for part in board["parts"]}  # named without the board where it is taken apart
        for member in board["frame"]["members"]:
            whole, brief = member["id"], member["id"].removeprefix(f"{id_}-")
            full, short = sum(whole in text for text in said), names.count(brief)
            assert full >= 2 or short >= 2 + (whole in apart), whole  # from above and from below
            if full < 2:
                assert f"{id_}- is left off the names of parts where that is clear" in said, whole
        for part in (*board["parts"], *board["tools"]):
            own = read(pack.folder / "dxf" / "parts" / f"{part['id']}.dxf")
            assert any(part["id"] in s.text for s in own), part["id"]


def test_paper_names_the_files_it_shows(pack: Pack) -> None:
    """A PDF a board; read by poppler, where it is installed, each page names its files and their digests."""
    papers = sorted((pack.folder / "drawings").glob("*.pdf"))
    assert {p.stem for p in papers} == {"general-arrangement", "sheets", *pack.boards}
    if not shutil.which("pdftotext"):
        return
    named: dict[str, str] = {}
    for path in papers:
        text = subprocess.run(
            ["pdftotext", "-raw", str(path), "-"], check=True, capture_output=True, text=True
        ).stdout
        named |= dict(re.findall(r"(dxf/\S+\.dxf)\s+(?:SHA-256 )?([0-9a-f]{16})\b", text))
    for path, digest in named.items():
        assert hashlib.sha256((pack.folder / path).read_bytes()).hexdigest()[:16] == digest
    kinds = Counter(path.split("/")[1] for path in named)
    assert kinds["boards"] == len(pack.boards)
    assert kinds["sheets"] == len(pack.data["cutting"]["sheets"])
    assert kinds["parts"]


def test_the_pictures_of_readme_and_guide_are_current(layouts: dict[str, Path]) -> None:
    """If not: python docs/make_pictures.py"""
    docs = Path(__file__).parents[2] / "docs"
    spec = importlib.util.spec_from_file_location("make_pictures", docs / "make_pictures.py")
    assert spec is not None
    assert spec.loader is not None
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    page = (layouts["branch-terminus"] / "pack" / "index.html").read_text("utf-8")
    for name, picture in maker.pictures(page).items():
        assert (docs / "pictures" / name).read_text("utf-8") == picture, name
