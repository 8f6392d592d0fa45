"""Feeds a damaged file to the reader as the commands do, and judges the answer.

A good answer is a plan or findings, each with a code and words that a terminal can show. Anything raised but
an input error is a defect of ours, and so is an answer that takes too long.
"""

from __future__ import annotations

import time
from functools import cache
from pathlib import Path
from typing import Any

import mutants
import seeds

from boardwright import catalogue
from boardwright.errors import InputError, PluginError
from boardwright.plan.report import describe, inspect_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile
from boardwright.project import LayoutSettings, read_project, read_stages
from boardwright.sources import read_sources

LONGEST_S = 10.0


@cache
def _sections() -> Any:
    return catalogue.collect((), None).sections


def feed(form: str, number: int, folder: Path) -> float:
    """Feed one mutant; how long it took, in seconds. Raises AssertionError when the answer is no good one.

    One that took too long is fed once more: a machine that stood still for a moment says nothing of the file.
    """
    took = _fed(form, number, folder)
    if took >= LONGEST_S:
        took = _fed(form, number, folder)
    assert took < LONGEST_S, f"{form} {number} took {took:.1f} s, twice"
    return took


def _fed(form: str, number: int, folder: Path) -> float:
    data = mutants.mutant(form, number)
    began = time.perf_counter()
    try:
        if form == "toml":
            _project(data, folder)
        elif form in ("dxf", "svg"):
            _look(SourceFile(f"plan.{form}", data), SourceFile("devices.csv", seeds.CSV))
        else:
            _look(SourceFile("plan.svg", seeds.BOARD), SourceFile(f"devices.{form}", data))
    except Exception as problem:
        if not (isinstance(problem, InputError | PluginError) and problem.findings):
            raise AssertionError(f"{form} {number}: {type(problem).__name__}: {problem}") from problem
    return time.perf_counter() - began


def _look(drawing: SourceFile, listed: SourceFile, settings: Any = None) -> None:
    drawing_settings, device_settings = settings or (DrawingSettings(), DeviceSettings())
    inspection = inspect_plan(drawing, listed, drawing_settings, device_settings, "Quay")
    assert inspection.usable or inspection.findings
    for finding in inspection.findings:
        assert finding.code.startswith("BW-")
        assert finding.says
    assert all(line.isprintable() for line in describe(inspection))


def _project(data: bytes, folder: Path) -> None:
    """As ``inspect`` and ``pack`` begin, in a folder with a sound drawing and list."""
    for name, content in (("plan.svg", seeds.SVG), ("devices.csv", seeds.CSV), ("layout.toml", data)):
        (folder / name).write_bytes(content)
    read_stages(folder / "layout.toml")
    project = read_project(folder / "layout.toml", _sections())
    assert project.section(LayoutSettings).name is not None
    drawing, listed = read_sources(project)
    settings = project.section(DrawingSettings), project.section(DeviceSettings)
    _look(drawing, listed or SourceFile("none.csv", b""), settings)
    assert {p.name for p in folder.iterdir()} == {"plan.svg", "devices.csv", "layout.toml"}
