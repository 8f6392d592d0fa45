"""Reading a file that a project names: only plain files, whatever the name."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from boardwright import disk


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/stdin", ".", "a\0b", "x" * 5000, "gone.svg"])
def test_no_plain_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(OSError, match=r".+"):
        disk.read_file(tmp_path / name)


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.svg")
    with pytest.raises(OSError, match="plain file"):
        disk.read_file(tmp_path / "pipe.svg")


def test_a_file_that_is_far_too_large(tmp_path: Path) -> None:
    with (tmp_path / "huge.dxf").open("wb") as file:
        file.truncate(disk.LARGEST_BYTES + 1)  # takes no room: it is one hole
    with pytest.raises(OSError, match="larger"):
        disk.read_file(tmp_path / "huge.dxf")
    (tmp_path / "small.dxf").write_bytes(b"abc")
    assert disk.read_file(tmp_path / "small.dxf") == b"abc"
