"""Python's search for circles of objects: seldom, yet a process that reads many drawings stays small."""

from __future__ import annotations

import gc
import subprocess
import sys

from boardwright.cli import RUBBISH

CODE = f"""
import gc
gc.set_threshold(*{RUBBISH!r})
class Circle:
    now = most = 0
    def __init__(self):
        self.me = self
        Circle.now += 1
        Circle.most = max(Circle.most, Circle.now)
    def __del__(self):
        Circle.now -= 1
kept = [Circle() for _ in range(100_000)]
for _ in range(30):
    kept = [Circle() for _ in range(100_000)]
print(Circle.most, sum(s["collections"] for s in gc.get_stats()))
"""


def test_circles_pile_up_only_so_far() -> None:
    """3.1 million circles, of which 100,000 are wanted at a time (200,000 while they are replaced)."""
    done = subprocess.run([sys.executable, "-c", CODE], capture_output=True, text=True, check=True)
    most, looked = map(int, done.stdout.split())
    young, older, oldest = RUBBISH
    assert most <= 200_000 + young * (older + 1) * (oldest + 1)  # 2,000,000
    assert looked < 200  # 4,400 with Python's own choice


def test_a_command_takes_these() -> None:
    from boardwright.cli import main

    before = gc.get_threshold()
    try:
        gc.set_threshold(700, 10, 10)
        assert main(["verify", "no such pack"]) == 2
        assert gc.get_threshold() == RUBBISH
    finally:
        gc.set_threshold(*before)
