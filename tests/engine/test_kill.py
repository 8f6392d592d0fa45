"""Killed at any transaction boundary: the store is usable, finished work is kept, the bytes are right."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import toy

from boardwright.engine.store import Store

SIZES = {f"b{i:02}": float(i) for i in range(16)}


class DyingStore(Store):
    """Kills its own process at the n-th boundary: before and after each BEGIN and each COMMIT."""

    def __init__(self, path: Path, n: int) -> None:
        super().__init__(path)
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


def killed(path: Path, n: int) -> bool:
    """Run the toy in a forked process that dies at boundary n; False when it got to the end first."""
    child = os.fork()
    if child == 0:
        toy.run(DyingStore(path, n), toy.plan(**SIZES))
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_killed_at_every_boundary(tmp_path: Path) -> None:
    clean = toy.run(Store(None), toy.plan(**SIZES))
    kills = 0
    computed_before = clean.computed
    for n in range(1, 1000):
        path = tmp_path / f"{n}.sqlite"
        if not killed(path, n):
            break
        kills += 1
        after = toy.run(Store(path), toy.plan(**SIZES))
        assert after.files == clean.files
        assert after.findings == clean.findings
        assert after.computed + after.reused == clean.computed
        # work kept never shrinks from one boundary to the next
        assert after.computed <= computed_before
        computed_before = after.computed
        for leftover in tmp_path.iterdir():
            leftover.unlink()
    assert kills >= 200
    assert computed_before == 0
