"""The command ends at once, but not before everything is said, and says it when it cannot be."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

FULL = Path("/dev/full")

LATE = """
import atexit, threading, time
import boardwright.cli as cli
atexit.register(print, "at exit")
def late():
    time.sleep(0.3)
    print("late")
if {beside}:
    threading.Thread(target=late).start()
cli.main = lambda: print("said") or 1
cli.command()
"""


@pytest.mark.parametrize("beside", [False, True])
def test_all_is_said_before_it_ends(beside: bool) -> None:
    done = subprocess.run(
        [sys.executable, "-c", LATE.format(beside=beside)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert done.stdout.split("\n")[:-1] == ["said", *(["late"] if beside else []), "at exit"]


@pytest.mark.skipif(not FULL.exists(), reason="a device that is always full is there on Linux only")
def test_what_cannot_be_written_is_no_success() -> None:
    with FULL.open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "boardwright", "--version"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode != 0
    assert "No space left" in done.stderr
