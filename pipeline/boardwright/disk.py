"""Files on disk: what lies in a folder, by digest, and reading one that a person named."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

LARGEST_BYTES = 500_000_000


def pack_folder(project_file: Path) -> Path:
    """Where a project's pack goes if nobody says otherwise: each project file of a folder has its own."""
    usual = project_file.name == "layout.toml"
    return project_file.parent / ("pack" if usual else f"pack-{project_file.stem}")


def read_file(path: Path) -> bytes:
    """The bytes of a plain file. Raises OSError, also for a device, a pipe or a file without end."""
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise OSError("it is not a plain file")
        if size > LARGEST_BYTES:
            raise OSError(f"it is larger than {LARGEST_BYTES // 1_000_000} MB")
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES)
    except ValueError as problem:
        raise OSError("no file can have this name") from problem


def nearest(folder: Path, name: str) -> str:
    """The file a misspelt name may mean, in a sentence; empty when there is none like it."""
    import difflib

    there = sorted(p.name for p in folder.iterdir() if p.is_file())
    near = difflib.get_close_matches(name, there, n=1, cutoff=0.7)
    return f"Did you mean {near[0]!r}? It lies there." if near else ""


def write_whole(path: Path, data: bytes) -> None:
    """Write a file at once or not at all: the older one stays until the new one is on disk."""
    fresh = path.with_name(f"{path.name}.new")
    try:
        with fresh.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(fresh, path)
    except OSError as problem:
        from .errors import InputError  # not at the top: the run that finds nothing changed loads none of it
        from .findings import Place

        fresh.unlink(missing_ok=True)
        raise InputError.of(
            "BW-MADE-014",
            f"{path.name} cannot be written: {problem.strerror or problem}",
            Place(file=path.name),
            "Check the free space and that you may write there. What was there is as it was.",
        ) from problem


def on_disk(out: Path) -> dict[str, str]:
    """Path -> digest of every file under a folder; empty when there is none."""
    if not out.is_dir():
        return {}
    start = os.fspath(out)
    found = {}
    for folder, _, names in os.walk(start):
        below = folder[len(start) :].strip(os.sep).replace(os.sep, "/")
        for name in names:
            with open(os.path.join(folder, name), "rb", buffering=0) as file:
                digest = hashlib.sha256(file.read()).hexdigest()
            found[f"{below}/{name}" if below else name] = digest
    return dict(sorted(found.items()))
