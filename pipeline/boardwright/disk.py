"""What lies in a folder, by digest."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path


def on_disk(out: Path) -> dict[str, str]:
    """Path -> digest of every file under a folder; empty when there is none."""
    if not out.is_dir():
        return {}
    found = {}
    for folder, _, names in os.walk(out):
        for name in names:
            path = Path(folder, name)
            found[path.relative_to(out).as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    return dict(sorted(found.items()))
