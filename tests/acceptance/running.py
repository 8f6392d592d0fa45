"""Runs the command line as its own process."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def command(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "boardwright", *map(str, words)],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
    )
