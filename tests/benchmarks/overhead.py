"""The engine against the same functions in a bare loop: ``python tests/benchmarks/overhead.py FOLDER``.

Prints three numbers of processor seconds: a run from nothing that must fingerprint all code as after an
installation, a run from nothing in any new folder after that, and the functions called one after the other
with the same arguments.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from boardwright.cli import RUBBISH
from boardwright.engine import printed
from boardwright.engine import run as engine_run
from boardwright.engine.run import Run
from boardwright.engine.store import Store
from boardwright.engine.work import Work, do
from boardwright.findings import Notes
from boardwright.packing import prepare

TRIES = 9  # a busy machine makes some of them a tenth longer


def engine(project: Path, store: Store) -> float:
    ready = prepare(project, store, lambda _: None, Run)
    start = time.process_time()
    ready.run.go()
    return time.process_time() - start


def engine_anew(project: Path, store: Store) -> float:
    """With no fingerprint known."""
    known = printed.known
    printed.known = lambda _: {}
    try:
        return engine(project, store)
    finally:
        printed.known = known


def recorded(project: Path) -> list[Work]:
    """Every call of a run, in order."""
    calls: list[Work] = []

    def record(work: Work) -> Any:
        calls.append(work)
        return do(work)

    engine_run.do = record  # type: ignore[attr-defined]  # listening in, for this measurement only
    try:
        engine(project, Store(None))
    finally:
        engine_run.do = do  # type: ignore[attr-defined]  # as it was
    return calls


def bare(calls: list[Work]) -> float:
    """The same functions with the same values; what the values are made from is not counted."""
    seconds = 0.0
    for work in calls:
        arguments = {n: a.decoded() if hasattr(a, "decoded") else a for n, a in work.arguments.items()}
        if work.notes_name:
            arguments[work.notes_name] = Notes()
        start = time.process_time()
        work.function(**arguments)
        seconds += time.process_time() - start
    return seconds


def main(project: Path) -> None:
    gc.set_threshold(*RUBBISH)  # as the command does, for both
    calls = recorded(project)
    first, later, plain = [], [], []
    with tempfile.TemporaryDirectory() as name:
        for n in range(TRIES):
            if n < TRIES // 3:
                first.append(engine_anew(project, Store(Path(name, f"{n}.sqlite"))))
            later.append(engine(project, Store(Path(name, f"{n}-later.sqlite"))))
            plain.append(bare(calls))
    print(min(first), min(later), min(plain))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
