"""Nothing changed at all: proved from file digests alone, without loading plugins or libraries.

A receipt lists every file that a delivered pack came from (project file, drawing, device list, code of the
core and of every plugin), the entry points and versions, and every file of the pack. When all of it is
still so, the pack stands and what was said about it can be said again.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterable, Mapping
from importlib.metadata import PackageNotFoundError
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from ..disk import on_disk
from ..door import distribution, found
from ..installed import stated

NOTHING: Mapping[str, Any] = {}


def door() -> list[list[str]]:
    """Entry points as they are now: name, target, distribution, version."""
    return [[p.name, p.value, *distribution(p)] for p in found()]


def code_files(packages: Iterable[str]) -> dict[str, str]:
    """Digest of every file (code and data) in the top-level packages, by a name free of machine paths."""
    digests = {}
    for top in sorted(set(packages)):
        spec = find_spec(top)
        if spec is None or spec.origin is None:
            continue
        if spec.submodule_search_locations is None:
            digests[top] = _digest(spec.origin)
            continue
        start = os.path.dirname(spec.origin)
        for folder, folders, names in os.walk(start):
            folders[:] = sorted(f for f in folders if f != "__pycache__")
            below = folder[len(start) :].replace(os.sep, "/")
            for name in sorted(names):
                digests[f"{top}{below}/{name}"] = _digest(os.path.join(folder, name))
    return digests


def versions_now(names: Iterable[str]) -> dict[str, str]:
    now = {}
    for name in names:
        if name == "python":
            now[name] = sys.version.split()[0]
            continue
        try:
            now[name] = stated(name)[0]
        except PackageNotFoundError:
            now[name] = "missing"
    return now


def delivered(project: Path, out: Path) -> dict[str, Any] | None:
    """The receipt of the pack that a project delivered to a place last time; None when there is none."""
    import json
    import sqlite3

    store = project.parent / ".boardwright" / "store.sqlite"
    if not store.is_file():
        return None
    try:
        db = sqlite3.connect(f"{store.absolute().as_uri()}?mode=ro", uri=True, timeout=1)
        try:
            query = "SELECT receipt FROM receipts WHERE place = ?"
            row = db.execute(query, (str(out.resolve()),)).fetchone()
        finally:
            db.close()
        found: dict[str, Any] | None = json.loads(row[0]) if row else None
    except (sqlite3.DatabaseError, ValueError):
        return None
    return found


def still_stands(
    receipt: dict[str, Any], project: Path, out: Path, changes: Mapping[str, Any] = NOTHING
) -> bool:
    """Whether everything a receipt lists is as it was, and it was made with the same ``changes`` of settings.
    Any doubt is a no."""
    try:
        return (
            all(_digest(project.parent / name) == d for name, d in receipt["sources"].items())
            and project.name in receipt["sources"]
            and receipt.get("changes", {}) == dict(changes)
            and not any((project.parent / name).exists() for name in receipt["absent"])
            and receipt["door"] == door()
            and receipt["code"] == code_files(receipt["packages"])
            and receipt["versions"] == versions_now(receipt["versions"])
            and receipt["pack"].items() <= on_disk(out).items()
        )
    except (KeyError, OSError, ValueError):
        return False


def _digest(path: str | Path) -> str:
    with open(path, "rb", buffering=0) as file:
        return hashlib.sha256(file.read()).hexdigest()
