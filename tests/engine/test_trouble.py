"""Disk full, folder that cannot be written, locks, clocks: the work goes on, and what was lost is said."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest
import toy

from boardwright import packing
from boardwright.engine.store import Store


def test_disk_full_while_keeping_results(tmp_path: Path) -> None:
    """SQLite refuses to grow the file, as on a full disk: everything is computed all the same."""
    store = Store(tmp_path / "store.sqlite")
    pages = store._db.execute("PRAGMA page_count").fetchone()[0]
    store._db.execute(f"PRAGMA max_page_count = {pages + 2}")
    sizes = {f"b{i}": float(i) for i in range(20)}
    full = toy.run(store, toy.plan(**sizes))
    assert full.files == toy.run(Store(None), toy.plan(**sizes)).files
    assert "could not be kept" in store.note
    assert "full" in store.note
    store.close()
    # with room again, the store is usable and holds what fitted
    again = toy.run(Store(tmp_path / "store.sqlite"), toy.plan(**sizes))
    assert again.files == full.files
    assert again.computed > 0
    assert toy.run(Store(tmp_path / "store.sqlite"), toy.plan(**sizes)).computed == 0


def test_a_folder_that_takes_no_store(tmp_path: Path) -> None:
    (tmp_path / ".boardwright").write_text("a file where the folder should be")
    store = packing.open_store(tmp_path / "layout.toml")
    assert "cannot be kept for the next run" in store.note
    assert toy.run(store, toy.plan(a=1)).computed == 7


def test_a_lock_that_does_not_end(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    store = Store(path)
    store._db.execute("PRAGMA busy_timeout = 10")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    locked = toy.run(store, toy.plan(a=1))
    assert locked.computed == 7
    assert "locked" in store.note
    with store.alone():
        pass  # a lock that cannot be had does not stop a delivery
    other.execute("ROLLBACK")
    toy.run(store, toy.plan(a=1))
    assert toy.run(store, toy.plan(a=1)).computed == 0


def test_the_clock_plays_no_part(tmp_path: Path) -> None:
    """Every file of the store dated to 1970: still nothing is computed."""
    store = Store(tmp_path / "store.sqlite")
    toy.run(store, toy.plan(a=1))
    store.close()
    for path in tmp_path.iterdir():
        os.utime(path, (0, 0))
    assert toy.run(Store(tmp_path / "store.sqlite"), toy.plan(a=1)).computed == 0


def test_a_kept_lock_holds_others_off_and_ends_with_it(tmp_path: Path) -> None:
    one, two = Store(tmp_path / "s.sqlite"), Store(tmp_path / "s.sqlite")
    two._db.execute("PRAGMA busy_timeout = 10")
    with one.alone():
        one.keep_receipt("here", {"n": 1})
        two.keep_receipt("here", {"n": 2})
        assert "locked" in two.note
    assert two.receipt("here") == {"n": 1}
    two.keep_receipt("here", {"n": 3})
    assert one.receipt("here") == {"n": 3}


def test_an_error_inside_is_not_swallowed(tmp_path: Path) -> None:
    store = Store(tmp_path / "s.sqlite")
    with pytest.raises(KeyError), store.alone():
        raise KeyError("mine")
    store.keep_receipt("here", {"n": 1})
    assert store.receipt("here") == {"n": 1}
