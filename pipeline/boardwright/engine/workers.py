"""Worker processes for what does not depend on each other: board stages and the drawing of files.

Any ``concurrent.futures.Executor`` will do for a run; this one is for one machine. Where the system can fork
safely (Linux, while there is one thread) workers begin with everything loaded; elsewhere they start anew.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from pathlib import Path

from ..local import MODULE, load


class Workers(Executor):
    """So many processes, started at the first call: a run with nothing to do side by side starts none.

    When one of them dies, the calls under way fail and the next call starts them anew.

    ``local`` is the project's one-file plugin, which a new process must load before it can call its stages.
    """

    def __init__(self, count: int, local: Path | None = None) -> None:
        self._count, self._local = count, local
        self._pool: ProcessPoolExecutor | None = None

    @property
    def room(self) -> int:
        """How many calls keep every process busy: one each, and one to go on with."""
        return self._count + 1

    def begin(self) -> None:
        """Start the processes if they are not."""
        if self._pool is None:
            self._pool = self._start()

    def submit[**P, T](self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        self.begin()
        assert self._pool
        try:
            return self._pool.submit(fn, *args, **kwargs)
        except BrokenExecutor:  # a process of it died
            self._pool = self._start()
            return self._pool.submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait, cancel_futures=cancel_futures)

    def _start(self) -> ProcessPoolExecutor:
        forks = sys.platform == "linux" and threading.active_count() == 1
        pool = ProcessPoolExecutor(
            self._count,
            mp_context=multiprocessing.get_context("fork" if forks else "spawn"),
            initializer=_begin,
            initargs=(self._local,),
        )
        if forks:
            pool.submit(os.getpid).result()  # fork now, while there is a single thread
        return pool


def start(jobs: int | None, local: Path | None = None) -> Workers | None:
    """Workers for ``jobs`` processes (None: one a core); None when one process is enough."""
    cores = len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1
    count = jobs or cores
    return Workers(count, local) if count > 1 else None


def beside[**P, T](
    executor: Executor | None, function: Callable[P, T], *args: P.args, **kwargs: P.kwargs
) -> Callable[[], T]:
    """What a function answers, called in a worker where there is one: its first stages wait for others."""
    if executor is None:
        answer = function(*args, **kwargs)
        return lambda: answer
    return executor.submit(function, *args, **kwargs).result


def _begin(local: Path | None) -> None:
    """A worker leaves Ctrl-C to its parent, ends with it however that ends, and knows the local plugin."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    if local is not None and MODULE not in sys.modules:
        load(local)


def _end_with_parent() -> None:
    """An idle worker holds both ends of what it reads from: that its parent was killed it would never see."""
    if parent := multiprocessing.parent_process():
        parent.join()
        os._exit(1)
