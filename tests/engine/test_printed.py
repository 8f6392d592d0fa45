"""Fingerprints found once are found again by every project, and a damaged or absent file costs only time."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from boardwright.engine import printed

FOUND: printed.Prints = {"a" * 64: ("b" * 64, ("pack.one", "pack.two"))}


@pytest.fixture
def maker(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A module that makes fingerprints, in a folder where Python keeps compiled modules."""
    (tmp_path / "__pycache__").mkdir()
    module = tmp_path / "maker.py"
    module.write_text("RULE = 1\n")
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    forget(monkeypatch)
    return module


def forget(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a new process."""
    monkeypatch.setattr(printed, "_known", {})
    monkeypatch.setattr(printed, "_read", set())


def files(maker: Path) -> list[Path]:
    return sorted((maker.parent / "__pycache__").iterdir())


def test_what_one_process_found_the_next_one_knows(maker: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    printed.keep(maker, FOUND)
    forget(monkeypatch)
    assert printed.known(maker) == FOUND
    more: printed.Prints = {"c" * 64: ("d" * 64, ())}
    forget(monkeypatch)
    printed.keep(maker, more)
    forget(monkeypatch)
    assert printed.known(maker) == FOUND | more
    assert len(files(maker)) == 1  # nothing unfinished lies about


def test_another_maker_starts_anew(maker: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    printed.keep(maker, FOUND)
    maker.write_text("RULE = 2\n")
    forget(monkeypatch)
    assert printed.known(maker) == {}


@pytest.mark.parametrize("at", [0, 40, -1])
def test_a_damaged_file_is_as_good_as_none(maker: Path, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    printed.keep(maker, FOUND)
    [kept] = files(maker)
    data = bytearray(kept.read_bytes())
    data[at] ^= 1
    kept.write_bytes(data)
    forget(monkeypatch)
    assert printed.known(maker) == {}
    kept.write_bytes(b"")
    forget(monkeypatch)
    assert printed.known(maker) == {}


def test_nothing_is_written_where_python_keeps_nothing(maker: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    printed.keep(maker, FOUND)
    assert not files(maker)
    assert printed.known(maker) == FOUND  # in this process
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    (maker.parent / "__pycache__").rmdir()
    printed.keep(maker, FOUND)
    assert not (maker.parent / "__pycache__").exists()


def test_the_file_does_not_grow_for_ever(maker: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    printed.keep(maker, {f"{n:064}": ("x", ()) for n in range(printed.MOST)})
    printed.keep(maker, FOUND)
    forget(monkeypatch)
    assert printed.known(maker) == FOUND
