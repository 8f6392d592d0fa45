"""Killed at any transaction boundary: the store is usable, finished work is kept, the bytes are right."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
import toy
from dying import DyingStore, QuickStore, killed

from boardwright.engine.store import Store

SIZES = {f"b{i:02}": float(i) for i in range(16)}


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_killed_at_every_boundary(tmp_path: Path) -> None:
    clean = toy.run(Store(None), toy.plan(**SIZES))
    kills = 0
    computed_before = clean.computed
    for n in range(1, 1000):
        path = tmp_path / f"{n}.sqlite"
        if not killed(lambda path=path, n=n: toy.run(DyingStore(path, n), toy.plan(**SIZES))):
            break
        kills += 1
        after = toy.run(QuickStore(path), toy.plan(**SIZES))
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
