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
