"""Measure the engine and write docs/benchmarks.md: python tests/benchmarks/measure.py [--growth]

Nothing here is asserted: machines differ. Figures are ratios, each of two things measured in one go on one
machine, the least of several tries where a try is short.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import bare
import room
from layouts import list_devices, shelf

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "benchmarks.md"
#: As for a user: compiled modules are kept.
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def timed(*words: str, cwd: Path) -> tuple[float, str]:
    """Seconds of a whole process, and what it printed."""
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, *words], cwd=cwd, env=ENVIRONMENT, capture_output=True, text=True, check=False
    )
    seconds = time.perf_counter() - start
    assert done.returncode in (0, 1), done.stderr
    return seconds, done.stdout


def pack(folder: Path, *words: str) -> tuple[float, str]:
    return timed("-m", "boardwright", "pack", *words, cwd=folder)


def least(tries: int, *words: str, cwd: Path) -> float:
    return min(timed(*words, cwd=cwd)[0] for _ in range(tries))


def cold(folder: Path, *words: str, tries: int = 3) -> float:
    """A pack from nothing."""
    seconds = []
    for _ in range(tries):
        for name in ("pack", ".boardwright"):
            shutil.rmtree(folder / name, ignore_errors=True)
        seconds.append(pack(folder, *words)[0])
    return min(seconds)


type Move = Callable[[float], None]  #: writes the device list anew, its one motor moved so far


def moved(folder: Path, move: Move, by_mm: float, *words: str) -> tuple[float, str]:
    """A pack after one motor was moved to where it never was, and how many items were computed and reused."""
    runs = []
    for step in (0.0, 2.0, 5.0, 9.0):
        move(by_mm + step)
        runs.append(pack(folder, *words))
    seconds, said = min(runs)
    return seconds, said.partition("files; ")[2].partition(")")[0]


def followed(folder: Path, move: Move, by_mm: float) -> float:
    """Seconds from the save of a device list with a motor moved to the pack made, where a pack is watched."""
    said = folder / "said.txt"
    with said.open("wb") as log:
        words = [sys.executable, "-m", "boardwright", "pack", "--watch"]
        watching = subprocess.Popen(words, cwd=folder, env=ENVIRONMENT, stdout=log, stderr=subprocess.STDOUT)

    def until(packs: int) -> None:
        while said.read_text().count("Pack written") < packs:
            assert watching.poll() is None, said.read_text()
            time.sleep(0.01)

    seconds = []
    try:
        for step in range(6):  # the first loads what the others find loaded
            begun = time.perf_counter()
            move(by_mm + 1.5 * step)
            until(step + 1)
            seconds.append(time.perf_counter() - begun)
            time.sleep(0.3)  # as a builder, wait before the next save
    finally:
        watching.terminate()
        watching.wait()
    return min(seconds[1:])


def against_bare_libraries(folder: Path) -> float:
    out = folder / "bare"
    out.mkdir(exist_ok=True)
    (out / "counts.json").write_text(json.dumps(bare.count(folder / "pack")))
    return least(3, str(HERE / "bare.py"), str(folder / "pack"), str(out), cwd=folder)


def measure(boards: int, growth: bool) -> list[tuple[str, str]]:
    rows = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shelf(folder, boards)
        pack(folder)  # compiles what is not compiled yet
        whole, alone = cold(folder), cold(folder, "--jobs", "1")
        start = least(5, "-c", "pass", cwd=folder)
        nothing = least(5, "-m", "boardwright", "pack", cwd=folder)
        rows.append(("nothing changed ÷ a bare start of Python", f"{nothing / start:.1f} ({nothing:.2f} s)"))
        rows.append(
            (f"nothing changed ÷ cold, {boards} boards", f"{nothing / whole:.3f} ({whole:.1f} s cold)")
        )
        move = partial(list_devices, folder, boards)
        seconds, counts = moved(folder, move, 5.0)
        rows.append((f"one motor moved ÷ cold, {boards} boards", f"{seconds / whole:.2f} ({counts})"))
        follows = followed(folder, move, 31.0)
        rows.append(
            ("the same where `pack --watch` runs, from the save to the pack made", f"{follows / whole:.2f}")
        )
        seconds, _ = moved(folder, move, 21.0, "--jobs", "1")
        rows.append(("one motor moved ÷ cold, one process each", f"{seconds / alone:.2f}"))
        rows.append(("cold with a process a core ÷ cold with one process", f"{whole / alone:.2f}"))
        plain = against_bare_libraries(folder)
        rows.append(
            (
                "cold ÷ the bare libraries (imports, one solve, as many files), one process each",
                f"{alone / plain:.2f}",
            )
        )
        said = timed(str(HERE / "overhead.py"), str(folder / "layout.toml"), cwd=folder)[1]
        first, later, loop = map(float, said.split())
        rows.append(
            (
                "the engine ÷ its stages in a bare loop, the very first run after an installation",
                f"{first / loop:.2f}",
            )
        )
        rows.append(
            (
                "the engine ÷ its stages in a bare loop, any later run from nothing, in any folder",
                f"{later / loop:.2f}",
            )
        )
    rows.extend(measure_room())
    if growth:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            shelf(folder, 10 * boards)
            large = cold(folder, tries=1)
            rows.append((f"{10 * boards} boards ÷ {boards} boards, cold", f"{large / whole:.1f}"))
    return rows


def measure_room() -> list[tuple[str, str]]:
    """The same of a layout that has bends, and whose joints are looked for."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        room.room(folder)
        pack(folder)
        whole, move = cold(folder), partial(room.list_devices, folder)
        seconds, counts = moved(folder, move, 5.0)
        follows = followed(folder, move, 31.0)
    return [
        (
            "one motor moved ÷ cold, 12 boards round a room, no joints drawn",
            f"{seconds / whole:.2f} ({counts})",
        ),
        ("the same where `pack --watch` runs", f"{follows / whole:.2f}"),
    ]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--boards", type=int, default=12)
    options.add_argument("--growth", action="store_true", help="also ten times the boards (minutes)")
    chosen = options.parse_args()
    rows = measure(chosen.boards, chosen.growth)
    lines = [
        "# Benchmarks",
        "",
        "Made by `python tests/benchmarks/measure.py --growth`: ratios of things measured together on one",
        "machine of two cores. No promise; the first column says what was divided by what.",
        "",
        "| what | ratio |",
        "|---|---|",
        *(f"| {what} | {ratio} |" for what, ratio in rows),
        "",
    ]
    PAGE.write_text("\n".join(lines))
    print("\n".join(lines))


if __name__ == "__main__":
    main()
