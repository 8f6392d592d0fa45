"""The PDF measured with an independent reader (pdfminer): full size to a hundredth of a millimetre."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from itertools import pairwise
from types import SimpleNamespace

import pytest
from msgspec.structs import replace
from pdfminer.high_level import extract_pages, extract_text
from pdfminer.layout import LTCurve, LTLine, LTPage

from boardwright.display import DisplaySettings
from boardwright_outputs.drawings.drawing import box_of
from boardwright_outputs.templates.outputs import templates
from boardwright_outputs.templates.pages import BAR_MM, template_pages
from boardwright_outputs.templates.paper import Page
from boardwright_outputs.templates.settings import TemplateSettings
from boardwright_outputs.templates.tiling import tiled
from boardwright_outputs.templates.view import template, wanted
from boardwright_timber.model import Part

MM = 25.4 / 72
PAPERS = ("A4", "A3", "Letter", "roll")


def lines(page: LTPage) -> list[tuple[float, float, float, float]]:
    """Straight lines of a page, millimetres from its lower left corner."""
    return [
        (i.pts[0][0] * MM, i.pts[0][1] * MM, i.pts[-1][0] * MM, i.pts[-1][1] * MM)
        for i in page
        if isinstance(i, LTLine)
    ]


def read(data: bytes) -> list[LTPage]:
    return list(extract_pages(io.BytesIO(data)))


@pytest.fixture
def chosen(layout: SimpleNamespace) -> list[Part]:
    return [p for parts in layout.parts.values() for p in wanted(parts.parts, "decks and ends")]


def full_size(pages: list[LTPage], bar_mm: float = BAR_MM) -> Iterator[LTPage]:
    """Pages with both bars: all but maps."""
    for page in pages:
        bars = [n for n in lines(page) if math.isclose(math.dist(n[:2], n[2:]), bar_mm, abs_tol=0.01)]
        if len(bars) == 2:
            lying, upright = sorted(bars, key=lambda n: abs(n[3] - n[1]))
            assert lying[1] == pytest.approx(lying[3], abs=1e-3)
            assert upright[0] == pytest.approx(upright[2], abs=1e-3)
            yield page


@pytest.mark.parametrize("paper", PAPERS)
def test_bars_are_100_mm_on_every_page(chosen: list[Part], paper: str) -> None:
    for part in chosen:
        settings = TemplateSettings(paper=paper)
        pages = read(template_pages("Board", [part], settings))
        measured = len(list(full_size(pages)))
        assert measured == (len(pages) - 1 if len(pages) > 1 else 1)


def test_in_inches_the_bars_are_four_inches(chosen: list[Part]) -> None:
    """4 × 25.4 mm, exactly by definition; on Letter paper, since the drawings are."""
    show = DisplaySettings(units="in", paper="Tabloid")
    pages = read(template_pages("Board", chosen[:1], TemplateSettings(), show))
    assert {round(min(p.width, p.height) * MM, 1) for p in pages} == {215.9}
    assert len(list(full_size(pages, 101.6))) == max(1, len(pages) - 1)
    assert '4"' in extract_text(io.BytesIO(template_pages("Board", chosen[:1], TemplateSettings(), show)))


def test_holes_and_edges_are_where_the_part_has_them(chosen: list[Part]) -> None:
    """Every hole's centre cross and every corner of the deck's edge, read from the page that shows it."""
    settings = TemplateSettings()
    seen = 0
    for part in chosen:
        drawing = template(part)
        data = template_pages("Board", [part], settings)
        pages = list(full_size(read(data)))
        paper = Page(pages[0].width * MM, pages[0].height * MM, settings.margin_mm)
        tiling = tiled((part.ring,), drawing.frame, paper.window, settings.overlap_mm)
        assert len(pages) == len(tiling.tiles)
        corner = paper.corner
        for hole in part.holes:
            for page, tile in zip(pages, tiling.tiles, strict=True):
                w = tile.window
                if not (w.left + 5 < hole.x_mm < w.right - 5 and w.bottom + 5 < hole.y_mm < w.top - 5):
                    continue
                at = (corner[0] + hole.x_mm - w.left, corner[1] + hole.y_mm - w.bottom)
                middles = [((a + c) / 2, (b + d) / 2) for a, b, c, d in lines(page)]
                assert sum(math.dist(m, at) <= 0.01 for m in middles) == 2  # both arms of its cross
                seen += 1
        left, bottom = box_of(part.ring).left, box_of(part.ring).bottom
        corners = [
            (corner[0] + left - t.window.left, corner[1] + bottom - t.window.bottom, page)
            for page, t in zip(pages, tiling.tiles, strict=True)
            if t.window.left < left < t.window.right and t.window.bottom < bottom < t.window.top
        ]
        assert corners
        for x, y, page in corners:
            points = [(px * MM, py * MM) for i in page if isinstance(i, LTCurve) for px, py in i.pts]
            assert min(math.dist(p, (x, y)) for p in points) <= 0.01
    assert seen


def test_pages_meet_by_their_crosses_alone(chosen: list[Part]) -> None:
    """Lay page on page by the crosses, as one does on the bench: the deck's edge goes on within 0.1 mm."""
    deck = max((p for p in chosen if p.role == "deck"), key=lambda p: p.length_mm)
    pages = list(full_size(read(template_pages("Board", [deck], TemplateSettings()))))
    met = 0
    for a, b in pairwise(pages):
        rounds_a, rounds_b = _rings(a), _rings(b)
        shift = _shift(rounds_a, rounds_b)
        if shift is None:  # the next page begins a new row
            continue
        ends = [p for n in lines(a) for p in (n[:2], n[2:])]
        moved = [(p[0] + shift[0], p[1] + shift[1]) for n in lines(b) for p in (n[:2], n[2:])]
        shared = sum(any(math.dist(p, q) <= 0.1 for q in moved) for p in ends)
        assert shared >= 4  # the cross's own arms, and what both pages show
        met += 1
    assert met


def test_a_page_with_nothing_on_it_says_what_it_is_for(chosen: list[Part]) -> None:
    """A bare deck of 1.7 m square on A3: the pages in its middle show crosses alone."""
    deck = max((p for p in chosen if p.role == "deck"), key=lambda p: p.length_mm)
    square = ((0.0, 0.0), (1700.0, 0.0), (1700.0, 1700.0), (0.0, 1700.0))
    bare = replace(deck, ring=square, length_mm=1700.0, width_mm=1700.0, openings=(), holes=(), marks=())
    data = template_pages("B", [bare], TemplateSettings(paper="A3"))
    pages = extract_text(io.BytesIO(data)).split("\f")[:-1]
    blank = ["keeps its neighbours" in text for text in pages]
    columns = {text.partition("Page ")[2][0] for text in pages if "Page " in text}
    assert 0 < sum(blank) < len(pages) - 1
    for text, nothing in zip(pages[1:], blank[1:], strict=True):
        name = text.partition("Page ")[2].partition(",")[0]
        assert nothing <= (name[0] not in (min(columns), max(columns))), name  # an edge is on the outermost


def test_same_part_same_bytes_and_no_clock(chosen: list[Part]) -> None:
    once, again = (template_pages("Board", chosen, TemplateSettings()) for _ in range(2))
    assert once == again
    assert b"/CreationDate (D:2000" in once or b"/CreationDate" not in once


def test_strange_names_are_printed_as_letters_or_question_marks(hostile: SimpleNamespace) -> None:
    parts = [p for b in hostile.parts.values() for p in b.parts]
    text = extract_text(io.BytesIO(template_pages("轮\x00\nBoard", parts[:1], TemplateSettings())))
    assert "? Board" in " ".join(text.split()) or "?␀" in text or "?? Board" in " ".join(text.split())


def test_which_parts_get_a_template(layout: SimpleNamespace) -> None:
    parts = layout.parts["B01"].parts
    assert wanted(parts, "nothing") == ()
    assert wanted(parts, "all parts") == parts
    chosen = wanted(parts, "decks and ends")
    assert any(p.role == "deck" for p in chosen)
    assert all(not p.placement.stands or any(h.joint for h in p.holes) for p in chosen)
    board = layout.boards["B01"]
    assert templates(board, layout.parts["B01"], TemplateSettings(print="nothing")).files == {}
    assert list(templates(board, layout.parts["B01"], TemplateSettings()).files) == ["templates/B01.pdf"]


def _rings(page: LTPage) -> list[tuple[float, float]]:
    """Centres of the crosses' rings: curves as wide as high, of the crosses' size."""
    found = []
    for i in page:
        wide, high = (i.x1 - i.x0) * MM, (i.y1 - i.y0) * MM
        if (
            isinstance(i, LTCurve)
            and not isinstance(i, LTLine)
            and abs(wide - 4) < 0.01
            and abs(high - 4) < 0.01
        ):
            found.append(((i.x0 + i.x1) / 2 * MM, (i.y0 + i.y1) / 2 * MM))
    return found


def _shift(a: list[tuple[float, float]], b: list[tuple[float, float]]) -> tuple[float, float] | None:
    """What brings crosses on b's left onto those on a's right, at the same height."""
    if not a or not b:
        return None
    right, left = max(x for x, _ in a), min(x for x, _ in b)
    at_right = sorted(y for x, y in a if abs(x - right) < 0.01)
    at_left = sorted(y for x, y in b if abs(x - left) < 0.01)
    if right <= left or at_right != pytest.approx(at_left, abs=0.01):
        return None
    return right - left, 0.0
