"""A store that kills its own process, and a way to run something until it does."""

from __future__ import annotations

import contextlib
import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path

from boardwright.engine.store import Store


class QuickStore(Store):
    """A store that does not wait for the disk. Waiting is for a power cut; what a killed process leaves
    behind is the same, for the system has what was written."""

    def __init__(self, path: Path | None, project: str = "") -> None:
        super().__init__(path, project)
        self._db.execute("PRAGMA synchronous=OFF")


class DyingStore(QuickStore):
    """Kills its own process at the n-th boundary: before and after each BEGIN and each COMMIT."""

    def __init__(self, path: Path, n: int, project: str = "") -> None:
        super().__init__(path, project)
        self.left = n

    def boundary(self) -> None:
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[None]:
        self.boundary()
        self._db.execute("BEGIN IMMEDIATE")
        self.boundary()
        yield
        self.boundary()
        self._db.execute("COMMIT")
        self.boundary()


def killed(work: Callable[[], object]) -> bool:
    """Do the work in a forked process; was it killed before it came to its end?"""
    child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
