"""The engine on a toy: what runs again, what does not, and what a failure leaves."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

import msgspec
import pytest
import toy

from boardwright import All, Files, FindingList, output, stage
from boardwright.catalogue import arrange
from boardwright.engine.codeprint import CodePrints
from boardwright.engine.run import Run
from boardwright.engine.store import Store
from boardwright.engine.workers import start
from boardwright.errors import PluginError
from boardwright.grouping import alike, told
from boardwright.plan.model import TrackPlan
from boardwright.stages import Provenance, wire


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / ".boardwright" / "store.sqlite")


def test_first_run_computes_everything_and_second_nothing(store: Store) -> None:
    first = toy.run(store, toy.plan(a=1, b=2, c=3))
    # names, items, total, report once; grown, pair, card for each of three
    assert (first.computed, first.reused) == (4 + 9, 0)
    # grown 2, 4, 6; pairs a 2+4, b 4+2+6, c 6+4; total 6 + 12 + 10 = 28
    assert first.files["pack.json"] == b"28.0 0"
    second = toy.run(store, toy.plan(a=1, b=2, c=3))
    assert (second.computed, second.reused) == (0, 13)
    assert toy.CALLS == []
    assert second.files == first.files


def test_one_item_changed_runs_it_and_its_neighbours_only(store: Store) -> None:
    toy.run(store, toy.plan(a=1, b=2, c=3, d=4))
    toy.run(store, toy.plan(a=1, b=2, c=3, d=5))
    # names answers as before (cut-off at its digest); d is grown, its pair and c's run, c's card does not
    assert sorted(toy.CALLS) == sorted(
        ["names", "items", "grown@d", "pair", "pair", "card@d", "total", "report"]
    )


def test_input_put_back_recomputes_nothing(store: Store) -> None:
    before = toy.run(store, toy.plan(a=1, b=2))
    toy.run(store, toy.plan(a=1, b=7))
    again = toy.run(store, toy.plan(a=1, b=2))
    assert toy.CALLS == []
    assert again.files == before.files


def test_setting_nobody_read_does_not_count(store: Store) -> None:
    toy.run(store, toy.plan(a=1))
    toy.run(store, toy.plan(a=1), toy.ToySettings(unread="changed"))
    assert toy.CALLS == []


def test_setting_that_was_read_runs_its_stage_and_what_follows(store: Store) -> None:
    toy.run(store, toy.plan(a=1))
    outcome = toy.run(store, toy.plan(a=1), toy.ToySettings(factor=3.0))
    assert sorted(toy.CALLS) == sorted(["grown@a", "pair", "card@a", "total", "report"])
    assert outcome.files["pack.json"] == b"3.0 0"


def test_library_version_runs_everything(store: Store) -> None:
    toy.run(store, toy.plan(a=1))
    outcome = toy.run(store, toy.plan(a=1), libraries={"shapely": "99"})
    assert outcome.reused == 0


def test_findings_are_replayed(store: Store) -> None:
    first = toy.run(store, toy.plan(a=1000))
    second = toy.run(store, toy.plan(a=1000))
    assert [f.code for f in first.findings] == ["BW-TOY-001"]
    assert second.findings == first.findings
    assert toy.CALLS == []


def test_failure_of_one_item_leaves_the_others(store: Store) -> None:
    outcome = toy.run(store, toy.plan(a=1, b=-2, c=3, d=4))
    # b's grown failed; the pairs of a, b and c need it; a, c and d have their cards, b has none
    assert outcome.not_built == [("grown", "b"), ("pair", "a"), ("pair", "b"), ("pair", "c"), ("card", "b")]
    assert [f.code for f in outcome.findings] == ["BW-ENG-001"] + 4 * ["BW-ENG-002"]  # outputs too
    assert sorted(outcome.files) == ["cards/a.txt", "cards/c.txt", "cards/d.txt", "pack.json"]
    # of the pairs only d's is whole: 8 + 6 = 14; the report counts the four faults known before outputs ran
    assert outcome.files["pack.json"] == b"14.0 4"
    assert len(outcome.defects) == 1
    assert "cannot grow a negative size" in outcome.defects[0]
    # a failure is never stored: the next run tries again, and succeeds when the input is mended
    toy.run(store, toy.plan(a=1, b=-2, c=3, d=4))
    assert "grown@b" in toy.CALLS
    assert toy.run(store, toy.plan(a=1, b=2, c=3)).defects == []


@pytest.mark.parametrize("harm", ["UPDATE blobs SET data = substr(data, 1, 3)", "DELETE FROM blobs"])
def test_damaged_blob_is_a_miss(store: Store, tmp_path: Path, harm: str) -> None:
    first = toy.run(store, toy.plan(a=1))
    db = sqlite3.connect(tmp_path / ".boardwright" / "store.sqlite")
    db.execute(harm)
    db.commit()
    db.close()
    second = toy.run(store, toy.plan(a=1))
    # seven items, but grown, pair and total all answer {"size": 2.0}: one blob, made good by the first
    assert (second.computed, second.reused) == (5, 2)
    assert second.files == first.files
    assert toy.run(store, toy.plan(a=1)).computed == 0


def test_garbage_instead_of_a_store_is_set_aside(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    path.write_bytes(b"not a database at all" * 100)
    store = Store(path)
    assert "could not be used" in store.note
    assert toy.run(store, toy.plan(a=1)).computed == 7
    assert toy.run(store, toy.plan(a=1)).computed == 0
    assert (tmp_path / "store.sqlite.damaged").read_bytes().startswith(b"not a database")


def test_two_stores_open_on_one_file(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    one, two = Store(path), Store(path)
    toy.run(one, toy.plan(a=1))
    assert toy.run(two, toy.plan(a=1)).computed == 0


class Silent(msgspec.Struct, frozen=True):
    size: float


@stage()
def silent(grown: All[toy.Grown]) -> Silent:
    """Takes no Notes: outputs do not wait for it."""
    if sum(g.size for g in grown.values()) > 50:
        raise ValueError("too much")
    return Silent(0.0)


@output()
def listing(findings: FindingList) -> Files:
    return Files(files={"listing.txt": " ".join(f.code for f in findings.findings).encode()})


def test_a_failure_is_told_with_its_line_and_what_waits_for_it_once(store: Store) -> None:
    """The line of the stage's own file, not that of what it called."""
    first, *waiting = toy.run(store, toy.plan(a=1, b=-2, c=3)).findings
    line = next(
        n for n, text in enumerate(Path(toy.__file__).read_text().splitlines(), 1) if "cannot grow" in text
    )
    assert (
        first.says
        == f"grown failed for board b: ValueError: cannot grow a negative size (toy.py, line {line})"
    )
    assert first.mend.startswith("This is a defect of the plugin named")  # toy is no package of ours
    (group,) = alike(told(f) for f in waiting)
    assert len(group) == len(waiting) == 4
    assert waiting[0].data[0].says == "needs Grown"


def test_an_answer_of_the_wrong_kind_is_told(store: Store) -> None:
    @stage()
    def silent(names: toy.Names) -> Silent:
        return None  # type: ignore[return-value]  # what is tested

    fits = arrange([wire(f, "toy") for f in (toy.names, silent)])
    given = ({"toy": toy.ToySettings()}, Provenance(), store, CodePrints(()), {}, lambda _: None)
    outcome = Run(fits, {TrackPlan: (toy.plan(a=1), ())}, *given).go()
    (finding,) = outcome.findings
    assert finding.says.startswith("silent failed: what it answers is no Silent: Expected `object`")


@output()
def twice(names: toy.Names) -> Files:
    return Files(files={"a.txt": b"", "A.txt": b""})


def test_one_output_that_writes_a_path_twice_is_told_as_such(store: Store) -> None:
    fits = arrange([wire(f, "toy") for f in (toy.names, twice)])
    given = ({"toy": toy.ToySettings()}, Provenance(), store, CodePrints(()), {}, lambda _: None)
    with pytest.raises(PluginError) as refused:
        Run(fits, {TrackPlan: (toy.plan(a=1), ())}, *given).go()
    (finding,) = refused.value.findings
    assert finding.says.endswith("writes a.txt twice: two things of one name")


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_silent_stage_that_fails_is_in_every_list_of_findings(store: Store, jobs: int) -> None:
    fits = arrange([wire(f, "toy") for f in (*toy.TOYS, silent, listing)])
    plan = {TrackPlan: (toy.plan(a=20, b=30), ())}
    given = ({"toy": toy.ToySettings()}, Provenance(), store, CodePrints(()), {}, lambda _: None)
    with contextlib.ExitStack() as ends:
        pool = start(jobs)
        if pool:
            ends.enter_context(pool)
        outcome = Run(fits, plan, *given, pool).go()
    assert outcome.not_built == [("silent", "")]
    assert outcome.files["listing.txt"] == b"BW-ENG-001"
    assert len(outcome.defects) == 1
    assert outcome.files.keys() == {"listing.txt", "pack.json", "cards/a.txt", "cards/b.txt"}
