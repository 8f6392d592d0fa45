"""Every delivered drawing as a reader takes it in: no text on another or across a cut, nothing outside the
frame, nothing without its name. DXF is read by nothing but ezdxf and shapely, the page by a plain parser.

A letter is taken as 0.7 of the text height wide, the lower end of plain stroke fonts (common practice, no
source); text stands from its base line to its height.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import Text
from ezdxf.enums import TextEntityAlignment
from ezdxf.path import make_path
from packs import Pack
from shapely import LineString, Polygon, STRtree, affinity, box

LETTER = 0.7
START = {"LEFT": 0.0, "CENTER": 0.5, "RIGHT": 1.0}
#: Through these no text may be drawn: a saw, a router or a drill follows them, or a sheet ends there.
CUT_LAYERS = {"THROUGH_CUT", "SHEET_EDGE", "HOLE", "POCKET", "BACK_HOLE"}
NUMBER = r"-?\d+(?:\.\d+)?"


@lru_cache(maxsize=200)
def read(path: Path) -> Drawing:
    return ezdxf.readfile(path)


def drawings(pack: Pack) -> list[Path]:
    files = [p for f in ("boards", "sheets", "parts") for p in pack.dxf_files(f)]
    return [*files, pack.folder / "dxf" / "general-arrangement.dxf"]


def texts(path: Path) -> list[Text]:
    return list(read(path).modelspace().query("TEXT"))


def words(path: Path) -> set[str]:
    return {t.dxf.text for t in texts(path)}


def covered(text: Text) -> Polygon:
    """The upright or turned rectangle a text covers."""
    align, at, _ = text.get_placement()
    assert align in (TextEntityAlignment.LEFT, TextEntityAlignment.CENTER, TextEntityAlignment.RIGHT)
    width = LETTER * text.dxf.height * len(text.dxf.text)
    left = at.x - START[align.name] * width
    flat = box(left, at.y, left + width, at.y + text.dxf.height)
    return affinity.rotate(flat, text.dxf.rotation, origin=(at.x, at.y))


def cut_lines(path: Path) -> list[LineString]:
    """What a machine or a hand follows, in chords."""
    found = []
    for entity in read(path).modelspace():
        if entity.dxf.layer not in CUT_LAYERS:
            continue
        if entity.dxftype() == "LWPOLYLINE":
            found.append(LineString([(p.x, p.y) for p in make_path(entity).flattening(0.1)]))
        elif entity.dxftype() == "CIRCLE":
            centre, r = entity.dxf.center, entity.dxf.radius
            turns = [math.tau * n / 24 for n in range(25)]
            found.append(
                LineString([(centre.x + r * math.cos(t), centre.y + r * math.sin(t)) for t in turns])
            )
    return found


def test_no_text_lies_on_another_or_across_a_cut(pack: Pack) -> None:
    counted = 0
    for path in drawings(pack):
        written = texts(path)
        boxes = [covered(t) for t in written]
        tree = STRtree(boxes)
        for one, two in tree.query(boxes, predicate="intersects").T:
            if one < two:
                shared = boxes[one].intersection(boxes[two]).area
                assert math.isclose(shared, 0.0, abs_tol=1e-3), (
                    f"{path.name}: {written[one].dxf.text!r} lies on {written[two].dxf.text!r}"
                )
        lines = cut_lines(path)
        for line, text in tree.query(lines, predicate="intersects").T if lines else ():
            letters = boxes[text].buffer(-0.01 * written[text].dxf.height)  # may stand against a line
            across = letters.intersection(lines[line]).length
            assert math.isclose(across, 0.0, abs_tol=1e-3), (
                f"{path.name}: {written[text].dxf.text!r} lies across a cut"
            )
        counted += len(written)
    assert counted > 100


def test_everything_bears_its_name(pack: Pack) -> None:
    """Boards name their members, joints and devices; sheets their parts; parts themselves; the whole all."""
    dxf = pack.folder / "dxf"
    for part in pack.parts.values():
        assert any(part["id"] in w for w in words(dxf / "parts" / f"{part['id']}.dxf")), part["id"]
    for sheet in pack.data["cutting"]["sheets"]:
        named = words(dxf / "sheets" / f"{sheet['id']}.dxf")
        for placed in sheet["parts"]:
            assert any(placed["part"] in w for w in named), f"{sheet['id']}: {placed['part']} has no name"
    whole = words(dxf / "general-arrangement.dxf")
    for board in pack.boards.values():
        named = words(dxf / "boards" / f"{board['id']}.dxf")
        own = board["id"] + "-"
        if f"{own} is left off the names of parts where that is clear" in named:
            named |= {own + name for name in named}
        wanted = [m["id"] for m in board["frame"]["members"]] + board["joints"] + [board["id"]]
        assert [name for name in wanted if name not in named] == [], board["id"]
        assert board["id"] in whole
    named = whole | {w for b in pack.boards for w in words(dxf / "boards" / f"{b}.dxf")}
    assert [d["id"] for d in pack.data["plan"]["devices"] if d["id"] not in named] == []
    assert [j["id"] for j in pack.data["joints"] if j["id"] not in whole] == []


class Picture(NamedTuple):
    """``box``: left, top, right, bottom; ``texts``: words and what they cover in the same way."""

    id: str
    box: tuple[float, float, float, float]
    points: list[tuple[float, float]]
    texts: list[tuple[str, tuple[float, float, float, float]]]
    added: set[str]


def pictures(page: str) -> list[Picture]:
    """Every picture of the build book. A capital is taken as 0.72 of the font size high, a letter 0.6 wide
    (common screen fonts; common practice, no source)."""
    shapes = {
        m[1]: re.findall(r' d="(.*?)"', m[2]) for m in re.finditer(r'<g id="(w-.*?)">(.*?)</g>', page, re.S)
    }
    found = []
    for markup in re.findall(r'<svg xmlns="[^"]*"[^>]*role="img".*?</svg>', page, re.S):
        root = ElementTree.fromstring(re.sub(' xmlns="[^"]*"', "", markup))
        left, top, width, height = (float(n) for n in root.attrib["viewBox"].split())
        points: list[tuple[float, float]] = []
        written, added = [], set()
        runs = [e.attrib["d"] for e in root.iter("path")]
        for use in root.iter("use"):
            runs += shapes[use.attrib["href"][1:]]
            if use.attrib["class"] == "new":
                added.add(use.attrib["data-part"])
        for run in runs:
            flat = [float(n) for n in re.findall(NUMBER, run)]
            points += zip(flat[::2], flat[1::2], strict=True)
        for text in root.iter("text"):
            says = "".join(text.itertext())
            x, y, size = (float(text.attrib[a]) for a in ("x", "y", "font-size"))
            wide = 0.6 * size * len(says)
            start = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.attrib.get("text-anchor", "start")] * wide
            corners = [(-start, -0.72 * size), (wide - start, 0.0)]
            turned = re.match(rf"rotate\(({NUMBER})", text.attrib.get("transform", ""))
            a = math.radians(float(turned[1])) if turned else 0.0
            placed = [
                (x + u * math.cos(a) - v * math.sin(a), y + u * math.sin(a) + v * math.cos(a))
                for u in (corners[0][0], corners[1][0])
                for v in (corners[0][1], corners[1][1])
            ]
            xs, ys = [p[0] for p in placed], [p[1] for p in placed]
            written.append((says, (min(xs), min(ys), max(xs), max(ys))))
        found.append(
            Picture(root.attrib["id"], (left, top, left + width, top + height), points, written, added)
        )
    return found


def test_the_pictures_of_the_book_keep_within_their_frames(pack: Pack) -> None:
    """Every line and word inside the picture; in assembly steps no name on another, each added part named."""
    found = pictures((pack.folder / "index.html").read_text("utf-8"))
    steps = [p for p in found if p.id.startswith("step-")]
    assert len(found) > len(steps) + len(pack.boards)
    for picture in found:
        left, top, right, bottom = picture.box
        air = 1e-3 * (right - left)
        for x, y in picture.points:
            assert left - air <= x <= right + air, f"{picture.id}: {x, y} is outside"
            assert top - air <= y <= bottom + air, f"{picture.id}: {x, y} is outside"
        for says, (x0, y0, x1, y1) in picture.texts:
            inside = left - air <= x0 and x1 <= right + air and top - air <= y0 and y1 <= bottom + air
            assert inside, f"{picture.id}: {says!r} runs out of the picture"
    board_of = {p["id"]: p["board"] for p in pack.parts.values()}
    for picture in steps:
        names = {says for says, _ in picture.texts}
        assert names == {part.removeprefix(f"{board_of[part]}-") for part in picture.added}
        boxes = [box(*where) for _, where in picture.texts]
        assert not [n for n, b in enumerate(boxes) for other in boxes[:n] if b.intersects(other)]
    assert {part for p in steps for part in p.added} == {
        p["id"] for b in pack.boards.values() for p in b["parts"]
    }
