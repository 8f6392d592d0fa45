"""Damaged files of every format are answered with a plan or with findings: never a traceback, never a hang.

2,050 files a run, the same ones every time. ``deep.py`` feeds more.
"""

from __future__ import annotations

from pathlib import Path

import deep
import mutants
import pytest
import seeds
from feeding import feed

from boardwright.plan.report import inspect_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile

COUNTS = {"dxf": 400, "svg": 600, "csv": 500, "xlsx": 200, "toml": 350}


@pytest.mark.parametrize("form", COUNTS)
def test_mutants(form: str, tmp_path: Path) -> None:
    for number in range(COUNTS[form]):
        feed(form, number, tmp_path)


def test_the_files_they_descend_from_are_sound() -> None:
    for drawing in (seeds.SVG, seeds.dxf_r12(), seeds.dxf_new(), seeds.dxf_binary()):
        for listed in (seeds.CSV, seeds.xlsx()):
            sources = SourceFile("plan", drawing), SourceFile("devices", listed)
            inspection = inspect_plan(*sources, DrawingSettings(), DeviceSettings())
            assert inspection.usable, inspection.findings


def test_most_mutants_differ_and_are_the_same_again() -> None:
    for form in COUNTS:
        made = [mutants.mutant(form, n) for n in range(50)]
        assert len(set(made)) > 45
        assert made[7] == mutants.mutant(form, 7) or form == "xlsx"  # a zip carries the time it was packed


def test_the_deep_runs_batches_end_well_within_their_memory() -> None:
    for form in ("dxf", "svg"):
        assert deep.run_batch(form, 50_000, 20) == ""
