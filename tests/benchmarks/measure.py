"""Measure the engine and write docs/benchmarks.md: python tests/benchmarks/measure.py [--growth]

Nothing here is asserted: machines differ. Figures are ratios, each of two things measured in one go on one
machine, the least of several tries where a try is short.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import ezdxf

PAGE = Path(__file__).parents[2] / "docs" / "benchmarks.md"
BOARD_MM = 1200


def shelf(folder: Path, boards: int, move_mm: float = 0.0) -> None:
    """A straight shelf of so many boards: two tracks, and a turnout, a motor and two feeds on each board."""
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    for layer in ("EDGE", "TRACK", "TURNOUT", "JOINT"):
        document.layers.add(layer)
    space = document.modelspace()
    length = boards * BOARD_MM
    edge = [(0, 0), (length, 0), (length, 500), (0, 500)]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "EDGE"})
    for n in range(1, boards):
        ends = (n * BOARD_MM, 0), (n * BOARD_MM, 500)
        space.add_line(*ends, dxfattribs={"layer": "JOINT"})
    for y in (200, 260):
        space.add_line((0, y), (length, y), dxfattribs={"layer": "TRACK"})
    block = document.blocks.new("POINT")
    block.add_line((0, 0), (180, 0))
    block.add_arc((0, 500), 500, 270, 290)
    rows = ["id,kind,x_mm,y_mm"]
    for n in range(boards):
        x = n * BOARD_MM
        space.add_blockref("POINT", (x + 300, 200), dxfattribs={"layer": "TURNOUT"})
        motor_at = x + 310 + (move_mm if n == boards // 2 else 0.0)
        rows += [f"M{n},point_motor,{motor_at},200", f"FA{n},feed,{x + 600},200", f"FB{n},feed,{x + 900},260"]
    document.saveas(folder / "plan.dxf")
    (folder / "devices.csv").write_text("\n".join(rows) + "\n")
    (folder / "layout.toml").write_text(
        '[drawing]\nfile = "plan.dxf"\n[drawing.layers]\noutline = ["EDGE"]\ntracks = ["TRACK"]\n'
        'turnouts = ["TURNOUT"]\njoints = ["JOINT"]\n[devices]\nfile = "devices.csv"\n'
    )


def timed(*words: str, cwd: Path) -> tuple[float, str]:
    """Seconds of a whole process, and what it printed."""
    start = time.perf_counter()
    done = subprocess.run([sys.executable, *words], cwd=cwd, capture_output=True, text=True, check=False)
    seconds = time.perf_counter() - start
    assert done.returncode in (0, 1), done.stderr
    return seconds, done.stdout


def pack(folder: Path, jobs: str = "") -> tuple[float, str]:
    return timed("-m", "boardwright", "pack", *(["--jobs", jobs] if jobs else []), cwd=folder)


def least(tries: int, *words: str, cwd: Path) -> float:
    return min(timed(*words, cwd=cwd)[0] for _ in range(tries))


def measure(boards: int, growth: bool) -> list[tuple[str, str]]:
    rows = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shelf(folder, boards)
        cold, _ = pack(folder)
        bare = least(5, "-c", "pass", cwd=folder)
        nothing = least(5, "-m", "boardwright", "pack", cwd=folder)
        rows.append(("nothing changed ÷ a bare start of Python", f"{nothing / bare:.1f} ({nothing:.2f} s)"))
        rows.append((f"nothing changed ÷ cold, {boards} boards", f"{nothing / cold:.3f} ({cold:.1f} s cold)"))
        moves = []
        for step in (7.0, 13.0, 19.0):
            shelf(folder, boards, move_mm=step)
            seconds, said = pack(folder)
            moves.append((seconds, said))
        seconds, said = min(moves)
        counts = said.partition("files; ")[2].partition(")")[0]
        rows.append((f"one motor moved ÷ cold, {boards} boards", f"{seconds / cold:.2f} ({counts})"))
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shelf(folder, boards)
        alone, _ = pack(folder, "1")
        rows.append(("cold with a process a core ÷ cold with one process", f"{cold / alone:.2f}"))
    if growth:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            shelf(folder, 10 * boards)
            large, _ = pack(folder)
            rows.append((f"{10 * boards} boards ÷ {boards} boards, cold", f"{large / cold:.1f}"))
    return rows


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
