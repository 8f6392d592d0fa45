"""Drawings on paper, read with an independent reader (pdfminer): lengths, words, and what lies on what."""

from __future__ import annotations

import hashlib
import io
from collections import Counter
from itertools import combinations
from types import SimpleNamespace

import msgspec
import pytest
from joined import views_of
from lying import hard_segments
from pdfminer.high_level import extract_pages, extract_text
from pdfminer.layout import LTCurve, LTTextLine

from boardwright.display import DisplaySettings
from boardwright.project import LayoutSettings
from boardwright_outputs.drawings.drawing import Drawing, Role, Text
from boardwright_outputs.drawings.ink import text_width_mm
from boardwright_outputs.drawings.outputs import board_drawings, distinct, sheet_drawings
from boardwright_outputs.drawings.paper import SIZES_MM
from boardwright_outputs.drawings.printing import BLOCK_MM, KEY_MM, MARGIN_MM, Head, Shown, pages
from boardwright_outputs.drawings.room import crosses
from boardwright_outputs.drawings.stages import BoardPicture, SheetPictures
from boardwright_outputs.drawings.views.part import part_drawing

MM = 25.4 / 72
HEAD = LayoutSettings(name="Two board test", author="A. Modeller", revision="C")


def files(layout: SimpleNamespace, b: str, show: DisplaySettings) -> dict[str, bytes]:
    picture = BoardPicture(board=b, views=views_of(layout, b, show))
    return board_drawings(layout.boards[b], picture, layout.parts[b], show, HEAD).files


@pytest.mark.parametrize(
    ("show", "bar_mm"),
    [
        (DisplaySettings(), 50.0),
        (DisplaySettings(paper="A3", units="mm and in"), 50.0),
        (DisplaySettings(paper="Letter", units="in"), 50.8),  # two inches
    ],
)
def test_lengths_on_paper_are_the_board_at_the_written_scale(
    layout: SimpleNamespace, show: DisplaySettings, bar_mm: float
) -> None:
    """Board B01, 1200 × 600: its deck's edge on page 1, measured in the PDF, and the bar."""
    written = files(layout, "B01", show)
    found = list(extract_pages(io.BytesIO(written["drawings/B01.pdf"])))
    short, long = SIZES_MM[show.paper]
    for page in found:
        assert sorted((page.width * MM, page.height * MM)) == pytest.approx([short, long], abs=0.01)
    (said,) = (w for w in _lines(found[0]) if w.startswith("Scale 1:"))
    scale = float(said.split()[1].removeprefix("1:"))
    sizes = [(c.width * MM, c.height * MM) for c in found[0] if isinstance(c, LTCurve)]
    edge = (1200 / scale, 600 / scale)
    assert min(max(abs(w - edge[0]), abs(h - edge[1])) for w, h in sizes) <= 0.01
    assert any(abs(w - bar_mm) <= 0.01 and h == pytest.approx(0, abs=0.01) for w, h in sizes)


def test_the_title_block_says_what_proves_it(layout: SimpleNamespace) -> None:
    written = files(layout, "B01", DisplaySettings())
    text = extract_text(io.BytesIO(written["drawings/B01.pdf"]), page_numbers=[0])
    digest = hashlib.sha256(written["dxf/boards/B01.dxf"]).hexdigest()[:16]
    for words in ("Two board test", "Board B01 from above", "Author: A. Modeller", "Revision C", "Page 1 of"):
        assert words in text
    assert f"SHA-256 {digest}" in text
    assert "Sizes in mm" in text
    whole = extract_text(io.BytesIO(written["drawings/B01.pdf"]))
    for part, alike in distinct(layout.parts["B01"].parts):
        assert {part.id, *alike} <= set(whole.replace(",", " ").split())
        assert hashlib.sha256(written[f"dxf/parts/{part.id}.dxf"]).hexdigest()[:16] in whole


def test_alike_parts_share_a_drawing(layout: SimpleNamespace) -> None:
    first, *_ = layout.parts["B01"].parts
    twin = msgspec.structs.replace(first, id="B01-X9", label="B01-X9")
    other = msgspec.structs.replace(first, id="B01-X8", length_mm=first.length_mm + 1)
    assert distinct((first, other, twin)) == ((first, ("B01-X9",)), (other, ()))


def test_same_bytes_twice(layout: SimpleNamespace) -> None:
    assert files(layout, "B02", DisplaySettings()) == files(layout, "B02", DisplaySettings())


def test_sheets_on_paper(layout: SimpleNamespace, drawings: dict[str, Drawing]) -> None:
    pictures = SheetPictures(drawings={"S01": drawings["S01"]}, warning="")
    written = sheet_drawings(pictures, DisplaySettings(), HEAD).files
    assert set(written) == {"dxf/sheets/S01.dxf", "drawings/sheets.pdf"}


def laid(layout: SimpleNamespace, show: DisplaySettings) -> tuple[Drawing, ...]:
    """Every page of a board's file before it is a PDF."""
    found: tuple[Drawing, ...] = ()
    for b in layout.boards:
        head = Head("A layout of a rather long name on the quay", "A. Modeller", "C", f"Board {b}")
        many = ", ".join(f"{b}-S{n}" for n in range(10, 40))
        views = [Shown(v, f"dxf/boards/{b}.dxf", "0" * 64) for v in views_of(layout, b, show)]
        parts = [
            Shown(
                part_drawing(p, show),
                f"dxf/parts/{p.id}.dxf",
                "0" * 64,
                f"alike: {many}",
            )
            for p in layout.parts[b].parts
        ]
        found += pages(head, views, parts, show)
    return found


def test_every_kind_of_line_on_a_page_is_named_once(layout: SimpleNamespace) -> None:
    for page in laid(layout, DisplaySettings()):
        counts = Counter(i.role for i in page.items)
        counts[Role.OUTLINE] -= 2  # the page's own frame and title block
        drawn = {role for role, n in counts.items() if n} - {Role.TEXT, Role.DIMENSION, Role.HATCH}
        row = MARGIN_MM + BLOCK_MM
        named = [i.text for i in page.items if isinstance(i, Text) and row < i.y_mm < row + KEY_MM]
        assert sorted(named) == sorted(drawn)


@pytest.mark.parametrize("paper", ["A4", "Tabloid"])
@pytest.mark.parametrize("units", ["mm", "mm and in"])
def test_nothing_lies_on_anything_on_any_page(layout: SimpleNamespace, paper: str, units: str) -> None:
    show = DisplaySettings(paper=paper, units=units)
    for page in laid(layout, show):
        texts = [i for i in page.items if isinstance(i, Text)]
        boxes = [(i.text, i.box_if(text_width_mm(i.text, i.height_mm))) for i in texts]
        for (one, a), (two, b) in combinations(boxes, 2):
            assert not a.grown(-1e-6).meets(b.grown(-1e-6)), f"{page.title}: {one!r} lies on {two!r}"
        for segment in hard_segments(page):
            for text, box in boxes:
                assert not crosses(segment, box.grown(-1e-6)), f"{page.title}: {text!r} lies across a line"
        for text, box in boxes:
            assert page.frame.holds(box), f"{page.title}: {text!r} leaves the paper"
        frames = [i for i in page.items if not isinstance(i, Text) and i.role is Role.OUTLINE]
        assert frames


def _lines(page: object) -> list[str]:
    found = []
    for box in page:  # type: ignore[attr-defined]  # a page is iterable
        for line in box if hasattr(box, "__iter__") else ():
            if isinstance(line, LTTextLine):
                found.append(line.get_text().strip())
    return found
