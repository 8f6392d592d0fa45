"""Which projects a batch packs: files as they are named, and every project in the folders that are.

Claim: each project file is packed once, however often it is found, in the order of the command line and,
within a folder, of the names. Labels are short, and no two are the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import msgspec

from ..disk import pack_folder
from ..errors import InputError
from ..findings import Place

LAYOUT = "layout.toml"


class Order(msgspec.Struct, frozen=True):
    """One pack to be made: from which project file, into which folder, with which settings in place of the
    file's ("joists.spacing_mm" -> value)."""

    file: Path
    out: Path
    changes: dict[str, Any] = {}


def as_they_stand(projects: Mapping[str, Path]) -> dict[str, Order]:
    """Each project as its file has it, into the folder that `boardwright pack` would take."""
    return {label: Order(file, pack_folder(file)) for label, file in projects.items()}


def project_files(named: Iterable[Path]) -> dict[str, Path]:
    """Label -> project file. A folder is its own ``layout.toml``, or those in the folders below it.

    Raises InputError for a folder that holds none. A file that is not there is found out when it is packed.
    """
    found: dict[Path, Path] = {}
    for path in named:
        for file in _within(path):
            found.setdefault(file.resolve(), file)
    return _labelled(list(found.values()))


def _within(path: Path) -> list[Path]:
    if not path.is_dir():
        return [path]
    if (path / LAYOUT).is_file():
        return [path / LAYOUT]
    below = sorted(p for p in path.rglob(LAYOUT) if ".boardwright" not in p.parts)
    if not below:
        raise InputError.of(
            "BW-MANY-002",
            f"the folder {path.name or path} holds no {LAYOUT}",
            Place(file=path.name),
            "Name project files, or a folder with a folder for each project.",
        )
    return below


def _labelled(files: list[Path]) -> dict[str, Path]:
    """By the folder's name; where that is not enough, with the folders above it, and then with a number."""
    labels = [_label(f, 1) for f in files]
    for depth in range(2, 6):
        double = {name for name, n in Counter(labels).items() if n > 1}
        labels = [
            _label(f, depth) if label in double else label for f, label in zip(files, labels, strict=True)
        ]
    found: dict[str, Path] = {}
    for file, label in zip(files, labels, strict=True):
        name, n = label, 2
        while name in found:
            name, n = f"{label} {n}", n + 1
        found[name] = file
    return found


def _label(file: Path, depth: int) -> str:
    """``quay`` for quay/layout.toml, ``quay/small`` for quay/small.toml; with ``depth`` folders."""
    folders = [p.name for p in file.resolve().parents if p.name][:depth]
    name = "/".join(reversed(folders))
    return name if file.name == LAYOUT else f"{name}/{file.stem}".lstrip("/")
