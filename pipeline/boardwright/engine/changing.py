"""Code that changes while a command runs: what the command makes is then of nobody knows which code.

Modules are loaded when they are first needed, and fingerprinted from their files: between the two somebody
may save a plugin or install another version. A run looks at its end whether all files still are as this
process first saw them; if not, nothing of what it made is kept.

What this does not see: a file changed and put back with its old size and time; what a run had kept when it
was killed outright, after code had changed and before it could look.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from importlib.util import find_spec
from pathlib import Path

type Stamps = dict[str, tuple[int, int] | None]

_first_seen: dict[str, Stamps] = {}


class Code:
    """Files of packages as this process first saw them, and a local plugin as this run does."""

    def __init__(self, packages: Iterable[str], local: Path | None = None) -> None:
        self._local, self._local_then = local, _stamp(local)
        self._then = {top: _first_seen.setdefault(top, stamps(top)) for top in sorted(packages)}

    def changed(self) -> str:
        """The name of a file that is another now, or gone; empty when all are as they were."""
        if self._local and _stamp(self._local) != self._local_then:
            return self._local.name
        for top, then in self._then.items():
            now = stamps(top)
            if other := [path for path in sorted(then) if now.get(path) != then[path]]:
                return os.path.relpath(other[0], os.path.dirname(os.path.commonpath(list(then))))
        return ""


def stamps(top: str) -> Stamps:
    """Size and time of every source and data file of a top-level package or module, by path."""
    spec = find_spec(top)
    if spec is None or spec.origin is None:
        return {}
    if spec.submodule_search_locations is None:
        return {spec.origin: _stamp(Path(spec.origin))}
    found: Stamps = {}
    folders = [os.path.dirname(spec.origin)]
    while folders:
        try:
            entries = list(os.scandir(folders.pop()))
        except OSError:  # gone, and its files with it
            continue
        for entry in entries:
            if entry.name == "__pycache__" or entry.name.startswith("."):  # an editor's
                continue
            if entry.is_dir():
                folders.append(entry.path)
            else:
                found[entry.path] = _stamp(entry)
    return found


def _stamp(file: os.DirEntry[str] | Path | None) -> tuple[int, int] | None:
    try:
        status = file.stat() if file else None
    except OSError:
        return None
    return (status.st_size, status.st_mtime_ns) if status else None
