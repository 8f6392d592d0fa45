"""Labels: one a part, with its board, size, what it is fixed to and how many; harmless whatever its names."""

from __future__ import annotations

import re
from types import SimpleNamespace

import msgspec

from boardwright.display import IN_MM, DisplaySettings
from boardwright_outputs.labels.outputs import labels
from boardwright_timber.model import Tie


def made(layout: SimpleNamespace, show: DisplaySettings = IN_MM) -> str:
    files = labels(layout.plan, layout.parts, layout.steps, layout.cutting, show).files
    assert list(files) == ["labels.html"]
    return files["labels.html"].decode()


def words(page: str) -> dict[str, str]:
    """By part: the words of its label."""
    found = re.findall(r'<li data-part="(.*?)">(.*?)</li>', page, re.S)
    return {part: " ".join(re.sub("<.*?>", " ", says).split()) for part, says in found}


def test_one_label_a_part(layout: SimpleNamespace) -> None:
    told = words(made(layout))
    assert sorted(told) == sorted(p.id for b in layout.parts.values() for p in b.cut)
    for found in layout.parts.values():
        for part in found.cut:
            assert told[part.id].startswith(f"{part.id} board {part.board} , {part.role}")
            assert f"{part.thickness_mm:g} mm, {part.material}" in told[part.id]


def test_what_it_is_fixed_to_its_step_and_the_number_cut(layout: SimpleNamespace) -> None:
    """Six names are cut to four; three copies of the layout need three of each part."""
    tops = tuple(f"B01-J{n}" for n in range(1, 7))
    ties = (Tie(part="B01-E1", to=("B01-S1",)), Tie(part="B01-D", to=tops))
    layout.steps["B01"] = msgspec.structs.replace(layout.steps["B01"], ties=ties)
    assert "copies of these pages" not in made(layout)
    layout.cutting = msgspec.structs.replace(layout.cutting, copies=3)
    assert "print 3 copies of these pages" in made(layout)
    told = words(made(layout))
    assert "step 1" in told["B01-E1"]
    assert told["B01-E1"].endswith("fixed to B01-S1 pieces: 3")
    assert "fixed to B01-J1, B01-J2, B01-J3, B01-J4 and 2 more" in told["B01-D"]
    assert "step 2" in told["B01-D"]


def test_in_inches_and_on_other_paper(layout: SimpleNamespace) -> None:
    """12 mm are 15/32 in to the nearest 1/32: 12 / 25.4 × 32 = 15.1."""
    page = made(layout, DisplaySettings(units="in", inch_fraction=32, paper="Letter"))
    assert "15/32" in words(page)["B01-E1"]
    assert "size:Letter" in page
    assert "size:A4" in made(layout)


def test_it_is_only_text(hostile: SimpleNamespace) -> None:
    page = made(hostile)
    assert "<script" not in page
    assert "<img" not in page
    assert "default-src 'none'" in page
    assert not re.search(r"(src|href)=\"(?!index\.html)", page)
    assert made(hostile) == page
