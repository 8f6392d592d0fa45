"""Any sequence of edits to plan, devices and settings: the pack is, to the byte, that of a clean build.

As ``tests/engine/test_machine.py``, but on a fixture and with the real stages. By default a few short ones;
``BOARDWRIGHT_DEEP=1`` tries many long ones.
"""

from __future__ import annotations

import io
import os
import tempfile
from pathlib import Path
from typing import Any

import ezdxf
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule
from packs import FIXTURES

from boardwright.engine.run import Run
from boardwright.engine.store import Store
from boardwright.errors import InputError
from boardwright.packing import prepare

MODULE = FIXTURES / "exhibition-module"
ROWS = (MODULE / "devices.csv").read_text().splitlines()
TABLES = (MODULE / "layout.toml").read_text()
SETTINGS = {
    "joists": ("spacing_mm", (250, 300, 350)),
    "cutting": ("kerf_mm", (2.5, 3.2)),
    "framing": ("depth_mm", (70, 90)),
    "splitting": ("max_length_mm", (700, 1300)),
}
DEEP = bool(os.environ.get("BOARDWRIGHT_DEEP"))


def drawing(extra_track: bool) -> bytes:
    document = ezdxf.readfile(MODULE / "plan.dxf")
    if extra_track:
        space = document.modelspace()
        layer = next(e.dxf.layer for e in space if "TRACK" in e.dxf.layer.upper())
        space.add_line((100.0, 150.0), (500.0, 170.0), dxfattribs={"layer": layer})
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


DRAWINGS = {extra: drawing(extra) for extra in (False, True)}
CLEAN: dict[tuple[object, ...], object] = {}


class State:
    """What is on disk: enough to write it, and a name for it."""

    def __init__(self) -> None:
        self.extra_track = False
        self.moved_mm: dict[str, float] = {}
        self.gone: frozenset[str] = frozenset()
        self.chosen: dict[str, float] = {}

    @property
    def name(self) -> tuple[object, ...]:
        moved, chosen = sorted(self.moved_mm.items()), sorted(self.chosen.items())
        return self.extra_track, tuple(moved), self.gone, tuple(chosen)

    def write(self, folder: Path) -> Path:
        (folder / "plan.dxf").write_bytes(DRAWINGS[self.extra_track])
        rows = [ROWS[0]]
        for row in ROWS[1:]:
            cells = row.split(",")
            if cells[2]:
                cells[2] = str(float(cells[2]) + self.moved_mm.get(cells[0], 0.0))
            if cells[0] not in self.gone:
                rows.append(",".join(cells))
        (folder / "devices.csv").write_text("\n".join(rows) + "\n")
        text = TABLES
        for table, value in self.chosen.items():
            key = SETTINGS[table][0]
            lines = [line for line in text.splitlines() if not line.startswith(f"{key} ")]
            at = lines.index(f"[{table}]") if f"[{table}]" in lines else len(lines)
            lines[at : at + 1] = [f"[{table}]", f"{key} = {value}"]
            text = "\n".join(lines) + "\n"
        (folder / "layout.toml").write_text(text)
        return folder / "layout.toml"


def built(project: Path, store: Store) -> Any:
    """Files and findings of the pack, or the findings that make the input unusable."""
    try:
        outcome = prepare(project, store, lambda _: None, Run).run.go()
    except InputError as error:
        return error.findings
    assert not outcome.defects
    return outcome.files, outcome.findings


class Edits(RuleBasedStateMachine):
    def __init__(self) -> None:
        super().__init__()
        self.state = State()
        self.store = Store(None)
        self.folder = tempfile.TemporaryDirectory()

    def teardown(self) -> None:
        self.folder.cleanup()

    @rule(
        device=st.sampled_from([r.split(",")[0] for r in ROWS[1:]]), by_mm=st.sampled_from([-15, 0, 20, 5000])
    )
    def move(self, device: str, by_mm: float) -> None:
        self.state.moved_mm[device] = by_mm

    @rule(device=st.sampled_from([r.split(",")[0] for r in ROWS[1:]]))
    def take_away_or_put_back(self, device: str) -> None:
        self.state.gone ^= {device}

    @rule(table=st.sampled_from(sorted(SETTINGS)), which=st.integers(0, 2))
    def choose(self, table: str, which: int) -> None:
        values = SETTINGS[table][1]
        self.state.chosen[table] = values[which % len(values)]

    @rule()
    def draw(self) -> None:
        self.state.extra_track = not self.state.extra_track

    @rule()
    def harm(self) -> None:
        self.store._db.execute("UPDATE blobs SET data = x'00' WHERE rowid % 5 = 0")

    @rule()
    def tidy(self) -> None:
        self.store.tidy(0)

    @invariant()
    def equals_a_clean_build(self) -> None:
        project = self.state.write(Path(self.folder.name))
        kept = built(project, self.store)
        if self.state.name not in CLEAN:
            CLEAN[self.state.name] = built(project, Store(None))
        assert kept == CLEAN[self.state.name]


Edits.TestCase.settings = settings(
    max_examples=60 if DEEP else 2, stateful_step_count=15 if DEEP else 5, deadline=None, derandomize=True
)
TestEdits = Edits.TestCase
