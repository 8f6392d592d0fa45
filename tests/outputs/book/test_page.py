"""The build book: self-contained, whole without script, labelled, complete, harmless whatever its names."""

from __future__ import annotations

import base64
import hashlib
import re
from decimal import Decimal
from html.parser import HTMLParser
from itertools import pairwise
from types import SimpleNamespace

import msgspec
import pytest
from joined_page import made

from boardwright import Finding, FindingList, Place, Severity
from boardwright.display import DisplaySettings
from boardwright_outputs.book.content import drilling
from boardwright_outputs.book.matters import flat_settings

VOID = {"meta", "link", "br", "img", "input", "hr"}


class Page(HTMLParser):
    """What the tests ask about a page."""

    def __init__(self, data: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.tables_without_caption = 0
        self.feed(data.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.tags and self.tags[-1][0] == "table" and tag != "caption":
            self.tables_without_caption += 1
        self.tags.append((tag, {k: v or "" for k, v in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {k: v or "" for k, v in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag, f"</{tag}> closes nothing"

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] not in ("style", "script"):
            self.text.append(data)

    def every(self, tag: str) -> list[dict[str, str]]:
        return [a for t, a in self.tags if t == tag]


@pytest.fixture
def page(layout: SimpleNamespace) -> Page:
    return Page(made(layout))


def test_it_needs_nothing_else(page: Page) -> None:
    assert not page.open  # every element is closed
    assert page.every("script") == [{}]  # its own, in the page itself
    assert not page.every("link")
    assert not page.every("img")
    assert not page.every("iframe")
    for tag, attributes in page.tags:
        assert not [a for a in attributes if a.startswith("on")], tag
        for name in ("src", "xlink:href", "srcset"):
            assert name not in attributes
    policy = [a for a in page.every("meta") if a.get("http-equiv") == "Content-Security-Policy"]
    assert policy[0]["content"].startswith("default-src 'none'")


def test_the_policy_allows_this_script_alone(layout: SimpleNamespace) -> None:
    """The digest in the policy is that of the bytes between the tags, reckoned here from the page itself."""
    data = made(layout)
    (script,) = re.findall(rb"<script>(.*?)</script>", data, re.S)
    digest = base64.b64encode(hashlib.sha256(script).digest()).decode()
    assert f"script-src 'sha256-{digest}'\"".encode() in data
    assert b"unsafe-inline'; script-src" in data  # styles only
    assert not re.search(rb"https?://(?!www\.w3\.org/)", script)
    assert b"eval(" not in script
    assert b"innerHTML" not in script


def test_styles_load_nothing(layout: SimpleNamespace) -> None:
    style = re.search(r"<style>(.*?)</style>", made(layout).decode(), re.S)
    assert style is not None
    assert "url(" not in style[1]
    assert "@import" not in style[1]
    assert "prefers-color-scheme:dark" in style[1]
    assert "@media print" in style[1]
    assert "size:A4" in style[1]


def test_ids_are_unique_and_links_lead_somewhere(layout: SimpleNamespace, page: Page) -> None:
    ids = [a["id"] for _, a in page.tags if "id" in a]
    assert len(ids) == len(set(ids))
    for _, attributes in page.tags:
        for name in ("aria-labelledby", "aria-describedby"):
            for target in attributes.get(name, "").split():
                assert target in ids
    pack = {
        "workbook.xlsx",
        "labels.html",
        "pack.json",
        "dxf/general-arrangement.dxf",
        "dxf/splitting.dxf",
        "dxf/sheets/S01.dxf",
    }
    pack |= {f"dxf/boards/{b}.dxf" for b in layout.boards}
    pack |= {f"dxf/parts/{p.id}.dxf" for b in layout.parts.values() for p in b.parts}
    pack |= {f"templates/{b}.pdf" for b in layout.boards}
    pack |= {f"drawings/{name}.pdf" for name in (*layout.boards, "general-arrangement", "sheets")}
    links = {a["href"] for a in page.every("a")}
    assert {link for link in links if not link.startswith("#")} == pack
    assert {link[1:] for link in links if link.startswith("#")} <= set(ids)


def test_pictures_are_labelled_and_told_in_words(page: Page) -> None:
    pictures = [a for a in page.every("svg") if "aria-hidden" not in a]
    # the plan twice, five views of each of two boards, one sheet, two steps a board
    assert len(pictures) == 2 + 2 * 5 + 1 + 4
    assert all(a["role"] == "img" and a["aria-labelledby"] for a in pictures)
    said = " ".join(page.text)
    assert "Joists: 3, at most 414 mm apart" in said
    assert "Numbered saw cuts: 2" in said
    assert "Board B01 from below." in said
    assert "Board B01: elevations." in said
    assert len(page.every("figcaption")) == len(pictures)


def test_steps_are_told_with_their_parts_screws_and_checks(page: Page) -> None:
    said = " ".join(" ".join(page.text).split())
    assert "Step 1: The frame" in said
    assert "B01-E1 : against B01-S1." in said
    assert "2 wood screws 4 × 50, countersunk; 1 ml of wood glue." in said
    assert "No room for a drill behind the screws of B01-E1" in said
    assert "Added, drawn strong: B02-D. Already there, pale: B02-E1, B02-S1." in said
    assert "The deck is drawn 120 mm above its place." in said


def test_each_picture_shows_what_is_there_pale_and_what_is_added_strong(page: Page) -> None:
    """Step 2 of board B01: side and end pale, the deck strong, in the order they are painted."""
    start = next(n for n, (_, a) in enumerate(page.tags) if a.get("id") == "step-B01-2")
    used = []
    for tag, attributes in page.tags[start + 1 :]:
        if tag == "svg":
            break
        if tag == "use":
            used.append((attributes["data-part"], attributes["class"]))
    assert used == [("B01-S1", "old"), ("B01-E1", "old"), ("B01-D", "new")]
    ids = {a["id"] for _, a in page.tags if "id" in a}
    assert {a["href"][1:] for a in page.every("use")} <= ids


def test_headings_go_down_one_at_a_time(page: Page) -> None:
    levels = [int(t[1]) for t, _ in page.tags if re.fullmatch("h[1-6]", t)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b <= a + 1 for a, b in pairwise(levels))


def test_landmarks_and_tables(page: Page) -> None:
    for tag in ("header", "nav", "main", "footer"):
        assert len(page.every(tag)) == 1, tag
    assert page.tables_without_caption == 0
    assert all(a.get("scope") in ("row", "col", "rowgroup") for a in page.every("th"))
    html = page.every("html")[0]
    assert html["lang"] == "en"


def test_faults_come_first_and_are_loud(layout: SimpleNamespace, page: Page) -> None:
    said = " ".join(page.text)
    assert "1 fault: do not build" in " ".join(said.split())
    assert said.index("BW-TEST-001") < said.index("BW-TEST-002")
    assert "Move M1 or let the joist move." in said
    assert "devices.csv, row 3, board B01" in said
    layout.findings = FindingList()
    assert "No fault found." in " ".join(Page(made(layout)).text)


def test_safety_comes_before_the_first_cut(page: Page) -> None:
    said = " ".join(page.text)
    assert said.index("Wood dust harms the lungs") < said.index("Cut in the order of the numbers")
    assert said.index("Safety first") < said.index("Rip the strips")
    assert "licensed person" in said
    assert "not a structural design" in said


def test_lines_of_a_router_are_explained_where_there_is_one(page: Page) -> None:
    assert "SAW_CUT" in page.text
    assert not {"TOOL_PATH", "LEAD_IN", "TAB", "RELIEF", "HELIX"} & set(page.text)


def test_the_bill_and_the_drilling(layout: SimpleNamespace, page: Page) -> None:
    said = " ".join(" ".join(page.text).split())
    assert "at least 31.50 EUR" in said
    assert "no price" in said
    assert "31.50" in said
    rows = list(drilling(layout.parts["B01"]))
    end = [r for r in rows if r.part == "B01-E1"]
    assert [(r.count, r.diameter_mm, r.places) for r in end] == [
        (2, 8.5, "78, 45; 498, 45"),
        (2, 8.0, "168, 45; 408, 45"),
        (1, 25.0, "288, 45"),
    ]
    assert "78, 45; 498, 45" in said
    comma = list(drilling(layout.parts["B01"], DisplaySettings(decimal_sign=",")))
    assert [r.places for r in comma if r.part == "B01-E1"] == [
        "78 / 45; 498 / 45",
        "168 / 45; 408 / 45",
        "288 / 45",
    ]


def test_provenance(page: Page) -> None:
    said = " ".join(page.text)
    assert "ab" * 32 in said
    assert "joists.spacing_mm" in said
    assert "0.1.0" in said


def test_hostile_names_are_only_text(hostile: SimpleNamespace) -> None:
    data = made(hostile)
    page = Page(data)
    assert not page.open
    assert len(page.every("script")) == 1
    assert not page.every("img")
    assert data.count(b"<script") == 1
    assert "<script>alert(1)</script>" in " ".join(" ".join(page.text).split())


def test_hostile_ids_of_boards_and_sheets(layout: SimpleNamespace) -> None:
    """Even ids that should be ours alone cannot leave their attribute or their folder."""
    evil = '"><script>../../'
    sheet = msgspec.structs.replace(layout.cutting.sheets[0], id=evil)
    layout.cutting = msgspec.structs.replace(layout.cutting, sheets=(sheet,))
    data = made(layout)
    assert data.count(b"<script") == 1
    for _, attributes in Page(data).tags:
        for name in ("href", "id"):
            assert not set(attributes.get(name, "")) & set(' "<>')
            assert ".." not in attributes.get(name, "")


def test_same_bytes_twice(layout: SimpleNamespace) -> None:
    assert made(layout) == made(layout)


def test_an_empty_layout_still_makes_a_page(layout: SimpleNamespace) -> None:
    for name in (
        "boards",
        "plans",
        "frames",
        "joists",
        "fixings",
        "wiring",
        "parts",
        "strengths",
        "hardware",
    ):
        setattr(layout, name, {})
    layout.splitting = msgspec.structs.replace(layout.splitting, boards=(), joints=())
    layout.cutting = msgspec.structs.replace(layout.cutting, sheets=(), lower_bounds=())
    Page(made(layout))


def test_wires_and_pins_are_told(layout: SimpleNamespace) -> None:
    said = " ".join(" ".join(Page(made(layout)).text).split())
    assert "Mains is never routed here." in said
    assert "P01 <main> power bus PM1 F1 2 0.75 mm² red, black 3 0.75 0.60 1.2" in said
    assert "P01 <main> B01 PM1 plug J01 720 joist-1 at 241" in said
    assert "1, 2 P01 <main> 1 red" in said
    layout.wires = msgspec.structs.replace(layout.wires, runs=(), plugs=())
    assert "Mains is never routed" not in " ".join(Page(made(layout)).text)


def test_wood_without_a_sheet_makes_the_price_incomplete(layout: SimpleNamespace) -> None:
    layout.cost = msgspec.structs.replace(layout.cost, unsheeted=1)
    said = " ".join(" ".join(Page(made(layout)).text).split())
    assert "Cost, incomplete at least 31.50 EUR" in said
    assert "INCOMPLETE: 1 part fits on no sheet, their wood is not in the total" in said
    assert "Incomplete total: what is known of it 31.50" in said


def test_devices_are_listed_with_their_places(page: Page) -> None:
    """M1 is drawn at (650, 360) on board B01, whose own corner is the plan's origin."""
    said = " ".join(" ".join(page.text).split())
    assert "M1 point motor B01 650 360 0 650 360 80 × 40 60" in said


def test_numbers_and_words_agree(page: Page) -> None:
    said = " ".join(" ".join(page.text).split())
    assert "1 fault, 0 cautions, 0 mended, 1 note." in said


def test_one_matter_of_many_boards_is_one_entry(layout: SimpleNamespace) -> None:
    """Three boards with one code and mend: one entry, what differs and every place in it, the mend once."""

    def found(board: str, mend: str) -> Finding:
        return Finding(
            code="BW-TEST-003",
            severity=Severity.NOTE,
            says=f"{board} stands out by {board[-1]} mm",
            where=(Place(board=board),),
            mend=mend,
        )

    same = [found(b, "Cut it.") for b in ("B01", "B02", "B03")]
    layout.findings = FindingList(findings=(*same, found("B04", "Leave it.")))
    page = Page(made(layout))
    assert len([a for a in page.every("li") if a.get("class") == "note"]) == 2
    said = " ".join(" ".join(page.text).split())
    assert "B01 stands out by 1 mm BW-TEST-003 (board B01)" in said
    assert "The same for: B02 2 mm (board B02) ; B03 3 mm (board B03)" in said  # a word a tag
    assert said.count("Cut it.") == 1


def test_settings_read_as_a_person_writes_them() -> None:
    settings = {
        "stock": {"sheets": [{"name": "ply", "price": None, "length_mm": 2440.0}, {"name": "mdf"}]},
        "cutting": {"grain": True, "kerf_mm": 3.2},
        "drawing": {"layers": {"outline": ["EDGE", "RIM"], "tracks": []}, "file": ""},
    }
    assert list(flat_settings(settings)) == [
        ("stock.sheets 1", "name ply; price not set; length_mm 2440"),
        ("stock.sheets 2", "name mdf"),
        ("cutting.grain", "yes"),
        ("cutting.kerf_mm", "3.2"),
        ("drawing.layers.outline", "EDGE, RIM"),
        ("drawing.layers.tracks", "none"),
        ("drawing.file", "not set"),
    ]


def test_each_board_tells_its_sag_and_supports(layout: SimpleNamespace) -> None:
    said = " ".join(" ".join(Page(made(layout)).text).split())
    assert "Sag and strength of board B01 on legs" in said
    assert "Supports of board B02" in said
    assert "not a structural design" in said


def test_a_lift_out_is_not_bolted_down(layout: SimpleNamespace, page: Page) -> None:
    assert "from its datum corner; bolt the board down to them" in " ".join(page.text)
    layout.boards = {
        b: msgspec.structs.replace(board, lift_out=True) if layout.strengths[b].lines else board
        for b, board in layout.boards.items()
    }
    said = " ".join(Page(made(layout)).text)
    assert "from its datum corner: it lies there on what its neighbours carry" in said
    assert "bolt the board down" not in said


def test_tax_stands_with_the_cost(layout: SimpleNamespace, page: Page) -> None:
    """31.50 and 20 %: 37.80. Where prices have it in them nothing is said of it."""
    assert "tax" not in " ".join(page.text).replace("at these prices, before tax", "")
    layout.cost = msgspec.structs.replace(
        layout.cost, tax_percent=20.0, tax=Decimal("6.30"), total_with_tax=Decimal("37.80")
    )
    said = " ".join(" ".join(Page(made(layout)).text).split())
    assert "With 20 % tax 37.80 EUR" in said
    assert "Tax, 20 % 6.30 Total with tax 37.80" in said
    assert "For each square metre of board, before tax" in said
