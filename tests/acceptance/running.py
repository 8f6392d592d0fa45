"""Runs the command line: as a process of its own, or here, which is quicker."""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from pathlib import Path

from boardwright.cli import main


def loaded(folder: Path, watched: set[str], *words: str) -> tuple[str, set[str]]:
    """Run a command; what it printed, and which of the watched libraries it had loaded when it ended."""
    code = (
        "import sys\n"
        "from boardwright.cli import main\n"
        f"main({list(words)!r})\n"
        f"print(*(name for name in {sorted(watched)!r} if name in sys.modules))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=folder, capture_output=True, text=True, check=True
    )
    *said, last = done.stdout.split("\n")[:-1]
    return "\n".join(said), set(last.split())


def command(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "boardwright", *map(str, words)],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
    )


def here(*words: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """The same in this process, with one process for the work: for tests of what is said and written."""
    words = (*words, "--jobs", "1") if words[0] == "pack" else words
    out, err = io.StringIO(), io.StringIO()
    with contextlib.chdir(cwd), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main([str(w) for w in words])
    return subprocess.CompletedProcess(words, status, out.getvalue(), err.getvalue())
