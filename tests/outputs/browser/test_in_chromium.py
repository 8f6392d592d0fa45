"""The page in a real browser, where there is one: seen, printed, used by keyboard, with script and without.

Where no Chromium is installed only what the page's own text can tell is asserted here (and in ``book``).
Rules of accessibility: axe-core, whose rules name their WCAG success criteria; contrast is reckoned apart, in
``book/test_contrast``. With ``BOARDWRIGHT_DEEP=1`` axe reckons contrast too.
"""

from __future__ import annotations

import io
import json
import os
import sys
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from pdfminer.high_level import extract_text
from pdfminer.pdfpage import PDFPage

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1]))

from chromium import Chromium, installed
from joined import make_layout
from joined_page import made

#: A4 in points.
A4 = (595, 842)
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "index.html"
    path.write_bytes(made(make_layout()))
    return path


@pytest.fixture(scope="module")
def browser() -> Iterator[Chromium | None]:
    program = installed()
    if program is None:
        yield None
        return
    with Chromium(program) as chromium:
        yield chromium


def test_no_complaint_and_no_overflow(page: Path, browser: Chromium | None) -> None:
    """At 360 and 1400 px, light and dark; wide pictures and tables scroll inside their own frames."""
    assert b'name="viewport" content="width=device-width' in page.read_bytes()
    if browser is None:
        return
    grounds = set()
    browser.open(page)
    for scheme in ("light", "dark"):
        browser.scheme(scheme)
        for width in (360, 1400):
            browser.resize(width)
            assert browser.ask("document.documentElement.scrollWidth") == width
        assert browser.errors() == []
        grounds.add(browser.ask("getComputedStyle(document.body).backgroundColor"))
    assert len(grounds) == 2
    browser.scheme("light")


def test_it_reads_whole_without_script(page: Path, browser: Chromium | None) -> None:
    """The same words with script and without; what only script can do is not there without it."""
    assert b"<noscript" not in page.read_bytes()
    if browser is None:
        return
    words = (
        "[...document.querySelectorAll('main h2,main h3,main h5,main td,main dd')].map(e=>e.innerText.trim())"
    )
    browser.open(page)
    with_script = browser.ask(words)
    assert browser.ask("document.querySelectorAll('button').length") > 10
    browser.scripts(False)
    browser.open(page)
    assert browser.errors() == []
    browser.scripts(True)
    assert browser.ask("document.querySelectorAll('button').length") == 0
    assert browser.ask(words) == with_script


def test_no_table_begins_at_the_foot_of_a_page_with_its_head_alone(
    tmp_path: Path, browser: Chromium | None
) -> None:
    """However far down the page it begins: its caption, its head and its first row are printed together."""
    style = (files("boardwright_outputs.book") / "style.css").read_text()
    assert "tbody>tr:first-child{break-before:avoid}" in style
    if browser is None:
        return
    page = tmp_path / "table.html"
    table = (
        "<table><caption>Parts{0}</caption><thead><tr><th>Head{0}</th></tr></thead><tbody>"
        "<tr><td>Row{0}</td></tr><tr><td>More</td></tr></tbody></table>"
    )
    begun = range(240, 274, 3)  # mm down the page
    page.write_text(
        f"<style>{style}</style>"
        + "".join(
            f'<div style="height:{n}mm;{"break-before:page" if n > 240 else ""}"></div>{table.format(n)}'
            for n in begun
        )
    )
    browser.open(page)
    pages = [text.split() for text in extract_text(io.BytesIO(browser.printed())).split("\f")]
    on = {word: n for n, words in reversed(list(enumerate(pages))) for word in words}
    assert all(on[f"Parts{n}"] == on[f"Head{n}"] == on[f"Row{n}"] for n in begun)
    assert len(begun) < len(pages) - 1 < 2 * len(begun)  # some go on a new page, not all


def test_it_prints_on_a4(page: Path, browser: Chromium | None) -> None:
    """Two boards, one sheet: no more than five pages a board and ten beside them."""
    assert b"@page{size:A4" in page.read_bytes()
    if browser is None:
        return
    browser.open(page)
    pages = list(PDFPage.get_pages(io.BytesIO(browser.printed())))
    assert 4 <= len(pages) <= 2 * 5 + 10
    for printed in pages:
        assert tuple(round(n) for n in printed.mediabox[2:]) == pytest.approx(A4, abs=1)


def test_by_keyboard_alone(page: Path, browser: Chromium | None) -> None:
    """Tab, Enter, Space and Escape: skip to the book, tick a part, find it, look closer."""
    assert b'<a class="skip" href="#main">' in page.read_bytes()
    if browser is None:
        return
    browser.open(page)
    focused = "document.activeElement"
    browser.press("Tab", 9)
    assert browser.ask(f"{focused}.textContent") == "Skip to the book"
    assert browser.ask(f"{focused}.getBoundingClientRect().left") >= 0
    browser.press("Enter", 13, "\r")
    assert browser.ask("location.hash") == "#main"
    browser.ask("document.querySelector('#board-B01 input').focus()")
    browser.press(" ", 32, " ")
    assert browser.ask(f"{focused}.checked")
    browser.open(page)  # and again: the tick is kept
    assert browser.ask("document.querySelector('#board-B01 input').checked")
    assert browser.ask("document.querySelectorAll('input:checked').length") == 1
    browser.ask("document.querySelector('#board-B01 tbody button.part').focus()")
    part = browser.ask(f"{focused}.textContent")
    browser.press("Enter", 13, "\r")
    told = browser.ask("document.querySelector('[role=status]').textContent")
    assert told.startswith(f"{part}: place ")  # the one where the button stands
    places = int(told.rpartition(" ")[2])
    assert places >= 3  # in its table, its drawing or its step, the cut sheet
    assert browser.ask("document.querySelectorAll('.found-here').length") == places
    browser.press("Escape", 27)
    assert browser.ask("document.querySelector('.found').hidden")
    assert browser.ask(f"{focused}.textContent") == part
    view = "document.querySelector('#pic-plan').getAttribute('viewBox')"
    whole = browser.ask(view)
    browser.ask("document.querySelector('#plan .zoom button').focus()")
    browser.press("Enter", 13, "\r")
    assert browser.ask(view) != whole
    browser.ask("document.querySelector('#plan .zoom button[aria-label=\"Whole picture\"]').focus()")
    browser.press("Enter", 13, "\r")
    assert browser.ask(view) == whole
    assert browser.errors() == []


def test_a_click_on_a_drawn_part_finds_it(page: Path, browser: Chromium | None) -> None:
    """The shape of B01-S1 in the picture of step 1."""
    assert b'data-part="B01-S1"' in page.read_bytes()
    if browser is None:
        return
    browser.open(page)
    at = browser.ask(
        "(()=>{const e=document.querySelector('#step-B01-1 use[data-part=B01-S1]');"
        "e.scrollIntoView({block:'center'});const r=e.getBoundingClientRect();"
        "return {x:r.x+r.width/4,y:r.y+r.height/2}})()"
    )
    for kind in ("mousePressed", "mouseReleased"):
        browser.send("Input.dispatchMouseEvent", type=kind, button="left", clickCount=1, **at)
    assert browser.ask("document.querySelector('[role=status]').textContent").startswith("B01-S1: place")


def test_axe_finds_nothing(page: Path, browser: Chromium | None) -> None:
    engine = files("axe_core_python").joinpath("axe.min.js").read_text("utf-8")
    assert "wcag2aa" in engine
    if browser is None:
        return
    browser.open(page)
    browser.ask(f"{engine};0")
    contrast: dict[str, Any] = (
        {} if os.environ.get("BOARDWRIGHT_DEEP") else {"rules": {"color-contrast": {"enabled": False}}}
    )
    asked = {"resultTypes": ["violations"], "runOnly": TAGS, **contrast}
    told = browser.ask(
        f"axe.run(document,{json.dumps(asked)}).then(r=>({{passes:r.passes.length,"
        "found:r.violations.map(v=>[v.id,v.nodes.map(n=>n.html.slice(0,120))])}))"
    )
    assert told["found"] == []
    assert told["passes"] > 20
