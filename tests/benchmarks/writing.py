"""Measure writing alone and write docs/benchmarks-writing.md: python tests/benchmarks/writing.py [--boards N]

A pack of N boards is made twice in this process; of the second time the processor seconds of every output
are counted, and those of the libraries alone for as many files with as much in them (see ``bare``), of the
second time too. So imports count for nobody, nor does what stages compute. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import shutil
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from unittest.mock import patch

import bare
from layouts import shelf

from boardwright import Files
from boardwright.cli import main as command
from boardwright.engine import run, work
from boardwright_outputs.book.step_pictures import STAGES as STEPS
from boardwright_outputs.drawings.stages import STAGES as PICTURES

PAGE = Path(__file__).parents[2] / "docs" / "benchmarks-writing.md"
DRAWINGS = ("board_drawings", "sheet_drawings", "general_arrangement_drawings")


def ours(folder: Path) -> dict[str, float]:
    """Processor seconds of each output, and of all ``pictures``, in a pack from nothing."""
    taken: dict[str, float] = defaultdict(float)
    shown = {stage.__name__ for stage in (*PICTURES, *STEPS)}
    do = work.do

    def timed(asked: work.Work) -> work.Worked:
        start = time.process_time()
        done = do(asked)
        name = asked.function.__name__
        if name in shown or asked.answers is Files:
            taken["pictures" if name in shown else name] += time.process_time() - start
        return done

    for name in ("pack", ".boardwright"):
        shutil.rmtree(folder / name, ignore_errors=True)
    quiet = io.StringIO()
    with (
        patch.object(run, "do", timed),  # the one place that calls stages and outputs
        contextlib.redirect_stdout(quiet),
        contextlib.redirect_stderr(quiet),
        contextlib.suppress(SystemExit),
    ):
        command(["pack", str(folder), "--jobs", "1"])
    assert (folder / "pack" / "SHA256SUMS").is_file(), quiet.getvalue()
    return dict(taken)


def seconds(of: Callable[[], None]) -> float:
    start = time.process_time()
    of()
    return time.process_time() - start


def theirs(folder: Path) -> dict[str, float]:
    """Processor seconds of the libraries alone, for the files of the pack."""
    out = folder / "bare"
    out.mkdir(exist_ok=True)
    counts = json.loads(json.dumps(bare.count(folder / "pack")))
    papers = counts["papers"]
    full_size = {name: pages for name, pages in papers.items() if name.startswith("templates/")}
    others = {name: pages for name, pages in papers.items() if name not in full_size}

    def drawn() -> None:
        bare.draw(counts["drawings"], out)
        bare.paint(others, out)

    found = {}
    for _ in range(2):
        found = {
            "drawings": seconds(drawn),
            "templates": seconds(lambda: bare.paint(full_size, out)),
            "workbook": seconds(lambda: bare.tabulate(counts["sheets"], out)),
        }
    return found


def measure(boards: int) -> list[tuple[str, float]]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shelf(folder, boards)
        ours(folder)
        we, they = ours(folder), theirs(folder)
    pictures = we.pop("pictures")
    drawings = sum(we[name] for name in DRAWINGS)
    every, bare_all = sum(we.values()), sum(they.values())
    return [
        ("drawings, DXF and PDF ÷ ezdxf and reportlab", drawings / they["drawings"]),
        ("templates ÷ reportlab", we["templates"] / they["templates"]),
        ("workbook ÷ openpyxl", we["workbook"] / they["workbook"]),
        ("all files, page, labels and data with them ÷ the three libraries", every / bare_all),
        ("the same, and the pictures composed", (every + pictures) / bare_all),
    ]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--boards", type=int, default=12)
    boards = options.parse_args().boards
    lines = [
        "# Benchmarks: writing",
        "",
        "Made by `python tests/benchmarks/writing.py`: processor seconds for writing the files of a pack",
        f"of {boards} boards, divided by those that ezdxf, openpyxl and reportlab need for as many files",
        "with as much in them (polylines, lines, circles, texts, cells, strokes). Imports and what stages",
        "compute are left out on both sides. Page, labels and data have no counterpart: they count on our",
        "side alone.",
        "",
        "| what | ratio |",
        "|---|---|",
        *(f"| {what} | {ratio:.2f} |" for what, ratio in measure(boards)),
        "",
    ]
    PAGE.write_text("\n".join(lines))
    print("\n".join(lines))


if __name__ == "__main__":
    main()
