"""Versions and requirements read quickly are those that the standard library reads."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, distributions, requires, version
from pathlib import Path

import pytest

from boardwright.installed import stated


def test_every_distribution_here_is_read_as_the_library_reads_it() -> None:
    names = {d.metadata["Name"] for d in distributions()}
    assert len(names) > 10
    for name in sorted(names):
        assert stated(name) == (version(name), tuple(requires(name) or ()))


def test_what_is_not_there_is_told() -> None:
    with pytest.raises(PackageNotFoundError):
        stated("no-such-distribution")


def test_metadata_of_the_older_kind_is_left_to_the_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    older = tmp_path / "old_rules-1.2.egg-info"
    older.mkdir()
    (older / "PKG-INFO").write_text("Metadata-Version: 1.0\nName: old-rules\nVersion: 1.2\n")
    (older / "requires.txt").write_text("boardwright>=1\n")
    monkeypatch.syspath_prepend(str(tmp_path))
    assert stated("old-rules") == ("1.2", ("boardwright>=1",))
