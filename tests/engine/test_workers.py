"""Worker processes give what one process gives, and a failure in one is told like any other."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import toy

from boardwright.engine.store import Store
from boardwright.engine.work import Work, do_all


def test_same_outcome_with_workers(tmp_path: Path) -> None:
    sizes = {f"b{i}": float(i) for i in range(6)} | {"bad": -1.0}
    alone = toy.run(Store(tmp_path / "one.sqlite"), toy.plan(**sizes))
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        together = toy.run(Store(tmp_path / "two.sqlite"), toy.plan(**sizes), executor=pool)
    assert together.files == alone.files
    assert together.findings == alone.findings
    assert together.computed == alone.computed


def die() -> int:
    os._exit(9)


def test_a_dead_worker_is_told(tmp_path: Path) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        told = dict(do_all({n: Work(die, {}, None, int) for n in "ab"}, pool))
    assert all(w.data is None and "worker process died" in w.error for w in told.values())
