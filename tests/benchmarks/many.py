"""Measure many at once and write docs/benchmarks-many.md: python tests/benchmarks/many.py [--projects 40]

Copies of one plan, many projects in one process and in two, many constructions of one layout. Ratios of
what was measured in one go on one machine; nothing is asserted.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

import ezdxf
from measure import ENVIRONMENT, cold, timed

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "benchmarks-many.md"
FIXTURES = HERE.parents[1] / "fixtures"
COPIES = 200
VARIED = (
    "framing.depth_mm=80,90,100,110",
    "joists.spacing_mm=300,350,400",
    "framing.deck_thickness_mm=9,12",
    "framing.member_thickness_mm=9,12",
)
assert ENVIRONMENT  # compiled modules are kept, as for a user


def project(folder: Path, number: int) -> None:
    """A shelf board no other is like: its length, its width and where its feeds are."""
    folder.mkdir()
    length, width = 800 + 11 * number, 350 + 5 * (number % 13)
    document = ezdxf.new()
    document.units = ezdxf.units.MM
    space = document.modelspace()
    edge = [(0, 0), (length, 0), (length, width), (0, width)]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "EDGE"})
    for y in (150, 210):
        space.add_line((0, y), (length, y), dxfattribs={"layer": "TRACK"})
    document.saveas(folder / "plan.dxf")
    feeds = "".join(f"F{n},feed,{200 + 180 * n + 7 * number},{150 + 60 * (n % 2)}\n" for n in range(2))
    (folder / "devices.csv").write_text(f"id,kind,x_mm,y_mm\n{feeds}")
    (folder / "layout.toml").write_text(
        f'[layout]\nname = "Shelf {number}"\n[drawing]\nfile = "plan.dxf"\n[drawing.layers]\n'
        'outline = ["EDGE"]\ntracks = ["TRACK"]\n[devices]\nfile = "devices.csv"\n'
    )


def batches(number: int, tries: int) -> list[tuple[str, str]]:
    """A cold batch with one process and with two, in turn; the least of each."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for n in range(number):
            project(folder / f"p{n:02d}", n)
        seconds: dict[str, list[float]] = {"1": [], "2": []}
        for _ in range(tries):
            for jobs in ("2", "1"):
                for made in (*folder.glob("*/pack"), *folder.glob("*/.boardwright")):
                    shutil.rmtree(made)
                seconds[jobs].append(timed("-m", "boardwright", "batch", ".", "--jobs", jobs, cwd=folder)[0])
        stands = timed("-m", "boardwright", "batch", ".", "--jobs", "2", cwd=folder)[0]
    one, two = min(seconds["1"]), min(seconds["2"])
    return [
        (f"{number} different projects, one process ÷ two", f"{one / two:.2f} ({one:.0f} s, {two:.0f} s)"),
        ("the same batch once more, nothing changed ÷ two processes cold", f"{stands / two:.3f}"),
    ]


def copied(tries: int) -> list[tuple[str, str]]:
    """A pack of many copies and a pack of one."""
    found = []
    for copies in (1, COPIES):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "module"
            shutil.copytree(FIXTURES / "exhibition-module", folder)
            text = (folder / "layout.toml").read_text()
            (folder / "layout.toml").write_text(f"{text}\n[series]\ncopies = {copies}\n")
            found.append(cold(folder, tries=tries))
    one, many = found
    return [(f"{COPIES} modules alike ÷ one", f"{many / one:.2f} ({many:.1f} s, {one:.1f} s)")]


def studied(tries: int) -> list[tuple[str, str]]:
    """A study of the demonstration layout from nothing, and one pack of it from nothing."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "demo"
        shutil.copytree(FIXTURES / "branch-terminus", folder)
        pack = cold(folder, tries=tries)
        shutil.rmtree(folder / ".boardwright")
        words = [w for text in VARIED for w in ("--vary", text)]
        whole = timed("-m", "boardwright", "study", *words, cwd=folder)[0]
        said = f"{whole / pack:.1f} ({whole:.0f} s, {pack:.1f} s)"
        return [("48 constructions of the demo ÷ one pack, a process a core each", said)]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--projects", type=int, default=40)
    options.add_argument("--tries", type=int, default=1)
    options.add_argument("--only", choices=("batch", "copies", "study"))
    options.add_argument("--write", action="store_true", help="write the page")
    chosen = options.parse_args()
    rows = []
    if chosen.only in (None, "copies"):
        rows += copied(chosen.tries)
    if chosen.only in (None, "batch"):
        rows += batches(chosen.projects, chosen.tries)
    if chosen.only in (None, "study"):
        rows += studied(chosen.tries)
    table = "\n".join(f"| {what} | {ratio} |" for what, ratio in rows)
    print(table)
    if chosen.write:
        varied = "".join(f"- `--vary {text}`\n" for text in VARIED)
        PAGE.write_text(
            "# Benchmarks: many at once\n\nMade by `python tests/benchmarks/many.py --write`: ratios of what"
            " was measured together on\none machine of two cores, from nothing. No promise.\n\n"
            f"| what | ratio |\n|---|---|\n{table}\n\nThe study varies:\n\n{varied}"
        )


if __name__ == "__main__":
    main()
