"""A pack killed in the middle: the store is usable, the pack old or new, the next run ends as a clean one.

As ``tests/engine/test_kill.py`` and ``tests/core/test_deliver.py``, on a fixture with the whole of ``pack``.
Some of the boundaries by default; ``BOARDWRIGHT_DEEP=1`` dies at every one.
"""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "engine"))

from dying import DyingStore, killed
from packs import FIXTURES

from boardwright.disk import on_disk
from boardwright.engine.store import Store
from boardwright.packing import pack, store_path

STEP = 1 if os.environ.get("BOARDWRIGHT_DEEP") else 97


def packed(folder: Path, store: Store) -> int:
    try:
        return pack(folder / "layout.toml", folder / "pack", store, lambda _: None).outcome.computed
    finally:
        store.close()


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")
def test_killed_between_transactions(layouts: dict[str, Path], tmp_path: Path) -> None:
    case = "exhibition-module"
    clean = on_disk(layouts[case] / "pack")
    whole = packed(copy(case, tmp_path / "whole"), Store(None))
    kept = [whole + 1]

    def dies(n: int) -> bool:
        """Whether a pack killed at the n-th boundary gets so far; what it leaves is looked at."""
        folder = copy(case, tmp_path / str(n))
        path = store_path(folder / "layout.toml")
        if not killed(lambda: packed(folder, DyingStore(path, n, "layout.toml"))):
            return False
        if (folder / "pack").exists():
            assert on_disk(folder / "pack") == clean  # delivered whole, or not at all
        kept.append(packed(folder, Store(path, "layout.toml")))
        assert on_disk(folder / "pack") == clean
        assert not [p for p in folder.iterdir() if p.name.startswith("pack") and p.name != "pack"]
        shutil.rmtree(folder)
        return True

    n = next(n for n in range(1, 1000, STEP) if not dies(n))
    last = n - STEP
    while n - last > 1:  # the very last boundary, between two that were tried
        middle = (last + n) // 2
        last, n = (middle, n) if dies(middle) else (last, middle)
    # what was finished before the kill is never computed again: ever less is left to do, at last nothing
    assert kept == sorted(kept, reverse=True)
    assert kept[-1] == 0
    assert len(kept) > 5


def copy(case: str, folder: Path) -> Path:
    folder.mkdir()
    for name in ("plan.dxf", "devices.csv", "layout.toml"):
        shutil.copy(FIXTURES / case / name, folder / name)
    return folder
