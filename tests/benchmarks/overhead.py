"""The engine against the same functions in a bare loop: ``python tests/benchmarks/overhead.py FOLDER``.

Prints three numbers of processor seconds: a run from nothing that must fingerprint all code as after an
installation, a run from nothing in any new folder after that, and the functions called one after the other
with the same arguments.

A machine that others use too is now quick and now slow, for seconds at a time. So each call counts with the
least of several tries, in the engine and in the loop, and so does what the engine does between calls.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from collections.abc import Callable
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

TRIES = 9

type Seconds = list[float]
"""Of each call, and at last of all between them."""


def engine(project: Path, store: Store, listen: Callable[[Work], None] = lambda _: None) -> Seconds:
    seconds: Seconds = []

    def timed(work: Work) -> Any:
        listen(work)
        start = time.process_time()
        worked = do(work)
        seconds.append(time.process_time() - start)
        return worked

    engine_run.do = timed  # type: ignore[attr-defined]  # listening in, for this measurement only
    try:
        ready = prepare(project, store, lambda _: None, Run)
        start = time.process_time()
        ready.run.go()
        whole = time.process_time() - start
    finally:
        engine_run.do = do  # type: ignore[attr-defined]  # as it was
    return [*seconds, whole - sum(seconds)]


def engine_anew(project: Path, store: Store) -> Seconds:
    """With no fingerprint known."""
    known = printed.known
    printed.known = lambda _: {}
    try:
        return engine(project, store)
    finally:
        printed.known = known


def bare(calls: list[Work]) -> Seconds:
    """The same functions with the same values; what the values are made from is not counted."""
    seconds: Seconds = []
    for work in calls:
        arguments = {n: a.decoded() if hasattr(a, "decoded") else a for n, a in work.arguments.items()}
        if work.notes_name:
            arguments[work.notes_name] = Notes()
        start = time.process_time()
        work.function(**arguments)
        seconds.append(time.process_time() - start)
    return seconds


def least(tries: list[Seconds]) -> float:
    return sum(map(min, zip(*tries, strict=True)))


def main(project: Path) -> None:
    gc.set_threshold(*RUBBISH)  # as the command does, for both
    calls: list[Work] = []
    engine(project, Store(None), calls.append)
    first, later, plain = [], [], []
    with tempfile.TemporaryDirectory() as name:
        for n in range(TRIES):
            if n < TRIES // 3:
                first.append(engine_anew(project, Store(Path(name, f"{n}.sqlite"))))
            later.append(engine(project, Store(Path(name, f"{n}-later.sqlite"))))
            plain.append(bare(calls))
    print(least(first), least(later), least(plain))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
