"""The engine against the same functions in a bare loop: ``python tests/benchmarks/overhead.py FOLDER``.

Prints three numbers of processor seconds: a run from nothing that must fingerprint all code as after an
installation, a run from nothing in any new folder after that, and the functions called with the same
arguments and nothing else.

A machine that others use too is now quick and now slow, for seconds at a time. So every call is made by the
engine and bare, one right after the other, which of them first in turns, and counts with the least of several
tries, in the engine and bare; and so does what the engine does between calls.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from pathlib import Path
from typing import Any, NamedTuple

from boardwright.cli import RUBBISH
from boardwright.engine import printed
from boardwright.engine import run as engine_run
from boardwright.engine.run import Run
from boardwright.engine.store import Store
from boardwright.engine.work import Work, do
from boardwright.findings import Notes
from boardwright.packing import prepare

TRIES = 9


class Try(NamedTuple):
    """Processor seconds of one run. ``engine``: of each call, and at last of all between them."""

    engine: list[float]
    bare: list[float]


def bare(work: Work) -> float:
    """The function with the same values; what the values are made from is not counted."""
    arguments = {n: a.decoded() if hasattr(a, "decoded") else a for n, a in work.arguments.items()}
    if work.notes_name:
        arguments[work.notes_name] = Notes()
    start = time.process_time()
    work.function(**arguments)
    return time.process_time() - start


def one_run(project: Path, store: Store, bare_first: bool) -> Try:
    made = Try([], [])
    listening = 0.0

    def timed(work: Work) -> Any:
        nonlocal listening
        entered = time.process_time()
        if bare_first:
            made.bare.append(bare(work))
        start = time.process_time()
        worked = do(work)
        made.engine.append(time.process_time() - start)
        if not bare_first:
            made.bare.append(bare(work))
        listening += time.process_time() - entered
        return worked

    engine_run.do = timed  # type: ignore[attr-defined]  # listening in, for this measurement only
    try:
        ready = prepare(project, store, lambda _: None, Run)
        start = time.process_time()
        ready.run.go()
        made.engine.append(time.process_time() - start - listening)
    finally:
        engine_run.do = do  # type: ignore[attr-defined]  # as it was
    return made


def anew(project: Path, store: Store, bare_first: bool) -> Try:
    """With no fingerprint known."""
    known = printed.known
    printed.known = lambda _: {}
    try:
        return one_run(project, store, bare_first)
    finally:
        printed.known = known


def least(tries: list[list[float]]) -> float:
    return sum(map(min, zip(*tries, strict=True)))


def main(project: Path) -> None:
    gc.set_threshold(*RUBBISH)  # as the command does, for both
    one_run(project, Store(None), bare_first=False)
    first, later = [], []
    with tempfile.TemporaryDirectory() as name:
        for n in range(TRIES):
            if n < TRIES // 3:
                first.append(anew(project, Store(Path(name, f"{n}.sqlite")), n % 2 == 0))
            later.append(one_run(project, Store(Path(name, f"{n}-later.sqlite")), n % 2 == 0))
    plain = least([t.bare for t in later])
    print(least([t.engine for t in first]), least([t.engine for t in later]), plain)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
