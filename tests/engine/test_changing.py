"""Code saved while a run is under way: nothing of the run is kept, and the next one makes all anew."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from boardwright import Files, output, stage
from boardwright.catalogue import arrange
from boardwright.engine.changing import Code
from boardwright.engine.codeprint import CodePrints
from boardwright.engine.outcome import Outcome
from boardwright.engine.run import Run
from boardwright.engine.store import Store
from boardwright.errors import PluginError
from boardwright.plan.model import TrackPlan
from boardwright.stages import Provenance, wire

from .toy import Names, plan

SAVES: list[Path] = []


@stage()
def names(plan: TrackPlan) -> Names:
    for file in SAVES:
        file.write_text("SPACING_MM = 250\n# saved meanwhile\n")
    return Names(tuple(o.id for o in plan.outlines))


@output()
def listed(names: Names) -> Files:
    return Files(files={"names.txt": " ".join(names.names).encode()})


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A package of rules that nobody has looked at yet."""
    name = f"rules_{abs(hash(tmp_path))}"
    folder = tmp_path / name
    (folder / "inner").mkdir(parents=True)
    for file in ("__init__.py", "spacing.py", "table.csv", "inner/bolts.py"):
        (folder / file).write_text("SPACING_MM = 300\n")
    monkeypatch.syspath_prepend(tmp_path)
    yield folder
    sys.modules.pop(name, None)
    SAVES.clear()


def go(store: Store, code: Code) -> Outcome:
    return Run(
        arrange([wire(f, "toy") for f in (names, listed)]),
        {TrackPlan: (plan(B01=500.0), ())},
        {},
        Provenance(),
        store,
        CodePrints(()),
        {},
        lambda _: None,
        code=code,
    ).go()


@pytest.mark.parametrize("file", ["spacing.py", "table.csv", "inner/bolts.py"])
def test_a_changed_or_vanished_file_is_named(package: Path, file: str) -> None:
    code = Code([package.name])
    assert code.changed() == ""
    (package / file).write_text("SPACING_MM = 3000\n")
    assert code.changed() == str(Path(package.name, file))
    assert Code([package.name]).changed() == str(Path(package.name, file))  # this process may have loaded it
    (package / file).unlink()
    assert code.changed() == str(Path(package.name, file))


def test_new_files_and_those_of_editors_do_not_count(package: Path) -> None:
    (package / ".spacing.py.swp").write_text("…")
    code = Code([package.name])
    (package / ".spacing.py.swp").unlink()
    (package / "other.py").write_text("")
    assert code.changed() == ""


def test_a_local_plugin_may_change_between_runs_but_not_during_one(package: Path, tmp_path: Path) -> None:
    rule = tmp_path / "rule.py"
    for text in ("A = 1\n", "A = 22\n"):
        rule.write_text(text)
        code = Code([package.name], rule)
        assert code.changed() == ""
    rule.unlink()
    assert code.changed() == "rule.py"


def test_nothing_of_such_a_run_is_kept(package: Path) -> None:
    store = Store(None)
    SAVES.append(package / "spacing.py")
    with pytest.raises(PluginError, match=r"spacing\.py changed while this command ran"):
        go(store, Code([package.name]))
    assert store.last_walk() == {}
    SAVES.clear()
    assert go(store, Code([])).ran == [("names", ""), ("listed", "")]
    assert go(store, Code([])).ran == []
