"""Draws small plans in memory and reads them."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import ezdxf
import msgspec
import pytest

from boardwright.errors import InputError
from boardwright.findings import Notes, Severity
from boardwright.plan.model import TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings
from boardwright.plan.source import SourceFile

SQUARE = [(0, 0), (1000, 0), (1000, 500), (0, 500)]


class Case:
    """A plan that was read: ``plan`` or, when it cannot be used, ``problems``, with the codes of what is told
    beside them; and what was noted."""

    def __init__(
        self, plan: TrackPlan | None, problems: dict[str, Any], notes: Notes, beside: tuple[str, ...] = ()
    ) -> None:
        self._plan, self.problems, self.beside = plan, problems, beside
        self.notes = {f.code: f for f in notes.findings}

    @property
    def plan(self) -> TrackPlan:
        assert self._plan is not None, self.problems
        return self._plan


def dxf_bytes(draw: Callable[[Any], None], units: int = 4) -> bytes:
    doc = ezdxf.new("R2010", units=units)
    draw(doc)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode()


def _read(
    draw: Callable[[Any], None] | bytes,
    csv: str | bytes | None = None,
    insunits: int = 4,
    kinds: dict[str, Any] | None = None,
    devices: dict[str, Any] | None = None,
    **drawing: Any,
) -> Case:
    data = draw if isinstance(draw, bytes) else dxf_bytes(draw, insunits)
    listed = csv.encode() if isinstance(csv, str) else csv
    notes = Notes()
    try:
        plan = read_plan(
            SourceFile("plan.dxf", data),
            None if listed is None else SourceFile("devices.csv", listed),
            msgspec.convert({"file": "plan.dxf", **drawing}, DrawingSettings),
            msgspec.convert({"kinds": kinds or {}, **(devices or {})}, DeviceSettings),
            "Test",
            notes,
        )
    except InputError as error:
        if not error.findings:
            pytest.fail("an input error must say something")
        faults = {f.code: f for f in error.findings if f.severity is Severity.FAULT}
        return Case(None, faults, notes, tuple(f.code for f in error.findings if f.code not in faults))
    return Case(plan, {}, notes)


@pytest.fixture(scope="session")
def read() -> Callable[..., Case]:
    """``read(draw, csv=…, insunits=$INSUNITS, devices=[devices] keys, **[drawing] keys)``."""
    return _read


@pytest.fixture(scope="session")
def to_bytes() -> Callable[..., bytes]:
    return dxf_bytes


@pytest.fixture(scope="session")
def board() -> Callable[[Any], None]:
    """Draws the edge of a plain board, 1000 × 500 mm from the origin."""

    def draw(doc: Any) -> None:
        doc.modelspace().add_lwpolyline(SQUARE, close=True, dxfattribs={"layer": "Edge"})

    return draw
