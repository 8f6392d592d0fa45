"""A longer run of damaged files, each batch in a process of its own with its memory limited.

    python tests/fuzz/deep.py [--minutes 10] [--start 100000]

Prints every file that is not answered well and leaves with status 1 when there is one. A file is made again
by its format and number: ``mutants.mutant("svg", 123456)``.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
MOST_BYTES = 1_000_000_000
BATCH = 200
MOST_SECONDS = 300


def feed_batch(form: str, start: int, count: int) -> int:
    """In the child: feed a batch, telling each file that fails."""
    sys.path.insert(0, str(HERE))
    import resource

    resource.setrlimit(resource.RLIMIT_DATA, (MOST_BYTES, MOST_BYTES))
    from feeding import feed

    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        for number in range(start, start + count):
            try:
                feed(form, number, Path(folder))
            except AssertionError as problem:
                failed += 1
                print(problem, flush=True)
    return failed


def run_batch(form: str, start: int, count: int) -> str:
    """Run a batch in a process of its own; what was wrong, or nothing."""
    words = [sys.executable, str(HERE / "deep.py"), "--batch", form, str(start), str(count)]
    try:
        done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=MOST_SECONDS)
    except subprocess.TimeoutExpired:
        return f"{form} {start}…{start + count - 1}: no end after {MOST_SECONDS} s\n"
    if done.returncode == 0:
        return ""
    return (
        done.stdout + f"{form} {start}…{start + count - 1}: status {done.returncode} {done.stderr[-2000:]}\n"
    )


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--minutes", type=float, default=10)
    options.add_argument("--start", type=int, default=100_000)
    options.add_argument("--batch", nargs=3, metavar=("FORMAT", "START", "COUNT"))
    chosen = options.parse_args()
    if chosen.batch:
        form, start, count = chosen.batch
        return min(1, feed_batch(form, int(start), int(count)))
    ends, number, wrong = time.monotonic() + 60 * chosen.minutes, chosen.start, False
    files = 0
    while time.monotonic() < ends:
        for form in ("dxf", "svg", "csv", "xlsx", "toml"):
            told = run_batch(form, number, BATCH)
            files += BATCH
            wrong = wrong or bool(told)
            print(told, end="", flush=True)
        number += BATCH
    answer = "see above" if wrong else "all answered"
    print(f"{files} files fed, numbers {chosen.start} to {number - 1}: {answer}")
    return int(wrong)


if __name__ == "__main__":
    sys.exit(main())
