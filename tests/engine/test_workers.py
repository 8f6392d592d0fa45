"""Worker processes give what one process gives, and a failure in one is told like any other."""

from __future__ import annotations

from concurrent.futures import Executor
from pathlib import Path

import toy

from boardwright.engine.store import Store
from boardwright.engine.workers import start

SIZES = {f"b{i}": float(i) for i in range(6)}


def workers() -> Executor:
    found = start(2)
    assert found
    return found


def test_one_job_needs_no_workers() -> None:
    assert start(1) is None


def test_same_outcome_with_workers(tmp_path: Path) -> None:
    sizes = SIZES | {"bad": -1.0}
    alone = toy.run(Store(tmp_path / "one.sqlite"), toy.plan(**sizes))
    with workers() as pool:
        together = toy.run(Store(tmp_path / "two.sqlite"), toy.plan(**sizes), executor=pool)
    assert together.files == alone.files
    assert together.findings == alone.findings
    assert together.not_built == alone.not_built
    assert together.computed == alone.computed


def test_stages_side_by_side_know_of_the_same_failures(tmp_path: Path) -> None:
    """What a stage is given depends on failures before it, never on one that happens beside it."""
    sizes = SIZES | {"bad": -1.0}
    runs = []
    for n in range(8):
        with workers() as pool:
            runs.append(toy.run(Store(tmp_path / f"{n}.sqlite"), toy.plan(**sizes), executor=pool))
    assert all(r.files == runs[0].files and r.findings == runs[0].findings for r in runs)


def test_only_the_board_that_kills_its_worker_fails(tmp_path: Path) -> None:
    sizes = SIZES | {"killer": toy.KILLS_ITS_PROCESS}
    with workers() as pool:
        outcome = toy.run(Store(tmp_path / "one.sqlite"), toy.plan(**sizes), executor=pool)
    assert [f.says for f in outcome.findings if f.code == "BW-ENG-001"] == [
        next(f.says for f in outcome.findings if "killer" in f.says and "its process died" in f.says)
    ]
    assert {f"cards/{b}.txt" for b in SIZES} <= outcome.files.keys()
    assert "cards/killer.txt" not in outcome.files


def test_a_run_with_nothing_side_by_side_starts_no_process(tmp_path: Path) -> None:
    store = Store(tmp_path / "one.sqlite")
    toy.run(store, toy.plan(**SIZES))
    with workers() as pool:
        outcome = toy.run(store, toy.plan(**SIZES), executor=pool)
        assert outcome.computed == 0
        assert pool.__dict__["_pool"] is None
