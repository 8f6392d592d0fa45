"""A sheet of hundreds of small parts stays as large on paper as one of a few."""

from __future__ import annotations

import re
from types import SimpleNamespace

import msgspec
import pytest

from boardwright_outputs.drawings.drawing import Drawing, Role, Text
from boardwright_outputs.drawings.views.sheet import sheet_drawing
from boardwright_timber.model import Cut, CutSheet, Part, PlacedPart

LONG, HIGH, KERF, TRIM = 45.0, 18.0, 3.0, 10.0  # a block is hardly larger than a letter
SHEET = CutSheet(
    id="ply-12-01",
    stock="ply 12",
    material="birch ply",
    thickness_mm=12.0,
    length_mm=2440.0,
    width_mm=1220.0,
    kerf_mm=KERF,
    trim_mm=TRIM,
)


def crowded(part: Part, columns: int, rows: int) -> tuple[CutSheet, dict[str, Part]]:
    """Blocks of 45 x 18 side by side: each row ripped, then each block cross-cut."""
    block = msgspec.structs.replace(
        part,
        ring=((0.0, 0.0), (LONG, 0.0), (LONG, HIGH), (0.0, HIGH)),
        openings=(),
        holes=(),
        marks=(),
        length_mm=LONG,
        width_mm=HIGH,
    )
    parts, placed, cuts = {}, [], []
    for row in range(rows):
        y = TRIM + row * (HIGH + KERF)
        rip = Cut(
            step=row + 1,
            piece="A",
            along="length",
            at_mm=y + HIGH,
            from_mm=TRIM,
            to_mm=2430.0,
            setting_mm=HIGH,
            from_edge="bottom",
            says="rip",
        )
        cuts.append(rip)
        for column in range(columns):
            x, id_ = TRIM + column * (LONG + KERF), f"B{row:02}-S{column:02}-B1"
            parts[id_] = msgspec.structs.replace(block, id=id_)
            placed.append(PlacedPart(part=id_, x_mm=x, y_mm=y, length_mm=LONG, width_mm=HIGH))
            cross = Cut(
                step=rows + row * columns + column + 1,
                piece=str(row + 1),
                along="width",
                at_mm=x + LONG,
                from_mm=y,
                to_mm=y + HIGH,
                setting_mm=LONG,
                from_edge="left",
                says="cut",
            )
            cuts.append(cross)
    return msgspec.structs.replace(SHEET, parts=tuple(placed), cuts=tuple(cuts)), parts


def said(drawing: Drawing) -> list[Text]:
    return [i for i in drawing.items if isinstance(i, Text)]


@pytest.fixture
def part(layout: SimpleNamespace) -> Part:
    found: Part = layout.parts["B01"].parts[0]
    return found


def test_every_part_is_named_on_itself_and_every_cut_numbered_or_told(part: Part) -> None:
    """30 x 20 blocks: names inside, numbers at the edges; all others are counted in one sentence."""
    few, many = (sheet_drawing(*crowded(part, columns, rows)) for columns, rows in ((1, 1), (30, 20)))
    assert many.frame.height < 1.15 * few.frame.height
    sheet, _ = crowded(part, 30, 20)
    boxes = {t.text: t.box for t in said(many)}
    for placed in sheet.parts:
        box = boxes[placed.part]
        assert placed.x_mm <= box.left < box.right <= placed.x_mm + LONG
        assert placed.y_mm <= box.bottom < box.top <= placed.y_mm + HIGH
    numbered = {int(t.text) for t in said(many) if t.role is Role.SAW_CUT}
    lines = sorted((t for t in said(many) if t.y_mm > 1220 and t.role is Role.TEXT), key=lambda t: -t.y_mm)
    words = " ".join(t.text for t in lines)
    found = re.search(r"No room here for the numbers of cuts ([\d, ]+) and (\d+) more: see the list", words)
    assert found is not None, words
    named = {int(n) for n in found[1].split(", ")}
    assert not named & numbered
    assert len(numbered) + len(named) + int(found[2]) == len(sheet.cuts)


def test_where_all_cuts_have_their_numbers_nothing_is_said(part: Part) -> None:
    drawing = sheet_drawing(*crowded(part, 2, 1))
    assert {int(t.text) for t in said(drawing) if t.role is Role.SAW_CUT} == {1, 2, 3}
    assert not any("No room" in t.text for t in said(drawing))
