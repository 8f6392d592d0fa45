"""The three layouts of ``fixtures/``, read and split as a user would."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest

from boardwright import Notes, Severity
from boardwright.plan.model import TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile

FIXTURES = Path(__file__).parents[3] / "fixtures"


def read(case: str) -> tuple[TrackPlan, dict[str, Any]]:
    folder = FIXTURES / case
    table = tomllib.loads((folder / "layout.toml").read_text(encoding="utf-8"))
    plan = read_plan(
        SourceFile("plan.dxf", (folder / "plan.dxf").read_bytes()),
        SourceFile("devices.csv", (folder / "devices.csv").read_bytes()),
        msgspec.convert(table["drawing"], DrawingSettings),
        msgspec.convert(table["devices"], DeviceSettings),
        case,
        Notes(),
    )
    return plan, table["splitting"]


@pytest.mark.parametrize(
    ("case", "most"), [("exhibition-module", 1), ("branch-terminus", 6), ("shed-three-walls", 8)]
)
def test_a_fixture_is_split_without_fault(cut: Any, case: str, most: int) -> None:
    """``most``: as many boards as a builder would make by hand; every joint free of turnouts and devices."""
    plan, wanted = read(case)
    made, findings = cut(plan, **wanted)
    assert len(made.boards) <= most
    assert [f.code for f in findings if f.severity in (Severity.FAULT, Severity.CAUTION)] == []


def test_the_lift_out_of_the_shed_is_freed_by_its_drawn_joints(cut: Any) -> None:
    plan, wanted = read("shed-three-walls")
    made, _ = cut(plan, **wanted)
    (lift_out,) = [b for b in made.boards if b.lift_out]
    assert [j.drawn for j in lift_out.joints] == [True, True]
