"""The published sets of rectangles, three ways in one run: `boardwright nest`, the best of rectpack's
guillotine packers, and packingsolver as it comes, given as long as we took.

    python tests/benchmarks/cutting.py [--every N]      → docs/benchmarks-cutting.md

What this does not know: whether the machine was quiet; the clock stops packingsolver alone.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent / "published"))

from test_guillotine_sets import (  # noqa: E402  # its folder is no package
    BY_NAME,
    fewest_by_packers,
    fewest_by_the_solver_alone,
    nested,
    packers,
)

PAGE = HERE.parents[1] / "docs" / "benchmarks-cutting.md"
HEAD = """\
# Cutting, beside two others

Made by `python tests/benchmarks/cutting.py{asked}`: two-dimensional bin packing on {number} of
the {all} published instances (Berkey & Wang 1987, Martello & Vigo 1998) whose optimum is proven: nothing
turned, edge-to-edge cuts, any number of stages, no kerf; all three in one run. packingsolver as it comes
was given as long as `boardwright nest` took, at least 0.1 s; {packers} guillotine packers of rectpack were
tried on each and the best counted.

| | sheets in total | at the optimum | more than ours on | fewer than ours on |
|---|---|---|---|---|
"""


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--every", type=int, default=1)
    every = asked.parse_args().every
    rows = []
    for name in list(BY_NAME)[::every]:
        start = time.perf_counter()
        ours = len(nested(name).plan.sheets)
        taken = time.perf_counter() - start
        instance = BY_NAME[name]
        alone = fewest_by_the_solver_alone(instance, max(taken, 0.1))
        rows.append((instance["optimum"], ours, fewest_by_packers(instance), alone, taken))
        print(name, *rows[-1], flush=True)
    names = ("`boardwright nest`", "rectpack, best of all", "packingsolver as it comes")
    lines = []
    for n, who in enumerate(names, 1):
        none = sum(r[n] >= 10**6 for r in rows)
        found = [r for r in rows if r[n] < 10**6]
        total = str(sum(r[n] for r in found)) + (f", and no answer to {none}" if none else "")
        best = sum(r[n] == r[0] for r in rows)
        more, fewer = sum(r[n] > r[1] for r in rows), sum(r[n] < r[1] for r in rows)
        lines.append(f"| {who} | {total} | {best} of {len(rows)} | {more} | {fewer} |")
    longest, mean = max(r[4] for r in rows), sum(r[4] for r in rows) / len(rows)
    best = sum(r[0] for r in rows)
    tail = f"\n\nOurs took {mean:.2f} s each, {longest:.2f} s at most. Proven optima in total: {best}.\n"
    head = HEAD.format(
        packers=len(packers()),
        number=len(rows),
        all=len(BY_NAME),
        asked=f" --every {every}" if every > 1 else "",
    )
    PAGE.write_text(head + "\n".join(lines) + tail, encoding="utf-8")


if __name__ == "__main__":
    main()
