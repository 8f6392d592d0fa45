"""Worker processes give what one process gives, and a failure in one is told like any other."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

import toy

from boardwright.engine.store import Store
from boardwright.engine.workers import Workers, start

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


class Recording(Workers):
    """Calls made one after the other, here; ``given`` lists what was handed over."""

    def __init__(self) -> None:
        super().__init__(1)
        self.given: list[str] = []

    @property
    def room(self) -> int:
        return 1

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Any:
        self.given.append(args[0].function.__name__)
        call: Future[Any] = Future()
        call.set_result(fn(*args, **kwargs))
        return call


def test_the_last_board_of_several_goes_to_a_worker_too(tmp_path: Path) -> None:
    """It may kill its process, which must not be the one that all else hangs on."""
    pool = Recording()
    toy.run(Store(tmp_path / "one.sqlite"), toy.plan(**SIZES), executor=pool)
    assert {name: pool.given.count(name) for name in ("names", "grown", "pair")} == {
        "names": 0,  # the only one
        "grown": len(SIZES),
        "pair": len(SIZES),
    }


KILLED = """
import os, signal
from boardwright.engine.workers import start
pool = start(2)
print(*{pool.submit(os.getpid).result() for _ in range(50)}, *pool._pool._processes, flush=True)
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_workers_end_with_a_process_that_is_killed() -> None:
    run = subprocess.run(
        [sys.executable, "-c", KILLED], capture_output=True, text=True, check=False, timeout=60
    )
    workers = {int(pid) for pid in run.stdout.split()}
    assert len(workers) == 2, run.stderr
    for _ in range(100):
        workers = {pid for pid in workers if alive(pid)}
        if not workers:
            return
        time.sleep(0.1)
    raise AssertionError(f"still there: {workers}")


def alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    status = Path(f"/proc/{pid}/stat")  # one that ended may stay listed until it is asked for
    return not status.exists() or status.read_text().rpartition(")")[2].split()[0] != "Z"
