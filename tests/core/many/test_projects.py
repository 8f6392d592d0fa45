"""Which projects a batch packs, and what they are called."""

from __future__ import annotations

from pathlib import Path

import pytest

from boardwright.errors import InputError
from boardwright.many.projects import project_files


def laid(folder: Path, *names: str) -> None:
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("")


def test_folders_and_files_each_once(tmp_path: Path) -> None:
    laid(tmp_path, "north/a/layout.toml", "north/b/layout.toml", "quay/layout.toml", "quay/small.toml")
    found = project_files([tmp_path / "quay", tmp_path / "north", tmp_path / "quay" / "small.toml", tmp_path])
    assert {k: v.relative_to(tmp_path).as_posix() for k, v in found.items()} == {
        "quay": "quay/layout.toml",
        "a": "north/a/layout.toml",
        "b": "north/b/layout.toml",
        "quay/small": "quay/small.toml",
    }


def test_labels_are_told_apart(tmp_path: Path) -> None:
    laid(tmp_path, "one/yard/layout.toml", "two/yard/layout.toml", "two/quay/layout.toml")
    assert list(project_files([tmp_path])) == ["one/yard", "quay", "two/yard"]


def test_a_folder_without_projects_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="holds no layout"):
        project_files([tmp_path])
