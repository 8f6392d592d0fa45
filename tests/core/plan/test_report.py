"""The report tells what a drawing holds, in lines that fit the terminal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from boardwright.plan.report import describe, inspect_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile

FIXTURES = Path(__file__).parents[3] / "fixtures"


def lines(data: bytes, width: int, **drawing: Any) -> list[str]:
    source, settings = SourceFile("plan.dxf", data), DrawingSettings(**drawing)
    return describe(inspect_plan(source, None, settings, DeviceSettings()), width)


@pytest.mark.parametrize("width", [50, 80])
@pytest.mark.parametrize("case", ["branch-terminus", "exhibition-module", "shed-three-walls"])
def test_lines_fit(case: str, width: int) -> None:
    told = lines((FIXTURES / case / "plan.dxf").read_bytes(), width)
    assert max(map(len, told)) <= width
    assert told[0] == "plan.dxf: can be read"


def test_what_is_told() -> None:
    told = "\n".join(lines((FIXTURES / "shed-three-walls" / "plan.dxf").read_bytes(), 80))
    for words in (
        "Overall size: 3000 × 2400 mm",
        "Outline O1: 4.307 m² of layout, 4 corners, 1 well",
        "'Joints' → joints: 2 line",
        "'Notes' → no role, not read: passed over: 2 text",
        "7 turnouts: T01,",
        "1 lift-outs",
        "BW-READ-007",
    ):
        assert words in told


def test_blocks_are_counted_as_blocks(to_bytes: Any, board: Any) -> None:
    """Three trees of two lines and a point each are three blocks, not six lines; what lies on a layer of its
    own inside them is told there."""

    def draw(doc: Any) -> None:
        board(doc)
        tree = doc.blocks.new("TREE")
        tree.add_line((0, 0), (9, 9))
        tree.add_line((9, 0), (0, 9), dxfattribs={"layer": "Track"})
        tree.add_point((1, 1))
        for x in (100, 200, 300):
            doc.modelspace().add_blockref("TREE", (x, 100), dxfattribs={"layer": "Scenery"})
        doc.modelspace().add_line((0, 50), (900, 50), dxfattribs={"layer": "Scenery"})

    told = "\n".join(lines(to_bytes(draw), 80))
    assert "'Scenery' → no role, not read: 3 block 'TREE', 1 line; out of blocks: 3 line," in told
    assert "3 point" in told
    assert "'Track' → tracks: out of blocks: 3 line" in told


def test_what_cannot_be_used_is_told_too() -> None:
    told = lines(b"nothing of use", 50)
    assert told[0] == "plan.dxf: CANNOT be used as it is"
    assert any("BW-READ-001" in line for line in told)
    odd = lines((FIXTURES / "exhibition-module" / "plan.dxf").read_bytes(), 50, units="m")
    assert "Drawing units: m" in odd
    assert any("BW-READ-005" in line for line in odd)


def test_settings_and_nouns_load_nothing_heavy() -> None:
    code = (
        "import sys, boardwright.plan.settings, boardwright.plan.model, boardwright.plan.source\n"
        "print(sorted({'ezdxf', 'shapely', 'numpy'} & set(sys.modules)))"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"
