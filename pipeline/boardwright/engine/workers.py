"""Worker processes for what does not depend on each other: board stages and the drawing of files.

Any ``concurrent.futures.Executor`` will do for a run; this one is for one machine. Where the system can fork
safely (Linux, before any thread is started) workers begin with everything loaded; elsewhere they start anew.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from concurrent.futures import Executor, ProcessPoolExecutor
from pathlib import Path

from ..local import MODULE, load


def start(jobs: int | None, local: Path | None = None) -> Executor | None:
    """A pool of ``jobs`` processes (None: one a core); None when one process is enough.

    ``local`` is the project's one-file plugin, which a new process must load before it can call its stages.
    """
    cores = len(os.sched_getaffinity(0)) if sys.platform == "linux" else os.cpu_count() or 1
    count = jobs or cores
    if count < 2:
        return None
    forks = sys.platform == "linux" and threading.active_count() == 1
    pool = ProcessPoolExecutor(
        count,
        mp_context=multiprocessing.get_context("fork" if forks else "spawn"),
        initializer=_begin,
        initargs=(local,),
    )
    if forks:
        pool.submit(os.getpid).result()  # fork now, while there is a single thread
    return pool


def _begin(local: Path | None) -> None:
    """A worker leaves Ctrl-C to its parent, and knows the local plugin."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if local is not None and MODULE not in sys.modules:
        load(local)
