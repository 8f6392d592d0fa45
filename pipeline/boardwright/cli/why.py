"""`boardwright why`: what would run, and why; nothing is run."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "why",
        help="say what would run and why",
        description="Say which stages would run now, for which boards, and why. Nothing is run.",
    )
    p.add_argument(
        "layout", nargs="?", type=Path, default=Path("layout.toml"), help="project file (layout.toml)"
    )
    p.add_argument(
        "stage", nargs="?", metavar="STAGE[@BOARD]", help="only this stage, or this stage of one board"
    )
    p.add_argument("--parts", action="store_true", help="also show the parts of the key, for a developer")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..engine.why import Foresight
    from ..errors import BoardwrightError
    from ..packing import open_store, prepare, shown
    from .telling import tell_findings

    if options.stage is None and options.layout.suffix != ".toml" and not options.layout.exists():
        options.stage, options.layout = str(options.layout), Path("layout.toml")
    project_file: Path = options.layout / "layout.toml" if options.layout.is_dir() else options.layout
    store = open_store(project_file)
    try:
        ready = prepare(project_file, store, lambda _: None, Foresight)
        reasons = ready.run.look()
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    finally:
        store.close()
    stage, _, board = (options.stage or "").partition("@")
    names = {s.name for s in ready.catalogue.stages}
    if stage and stage not in names:
        print(f"There is no stage {stage!r}. Stages: {', '.join(sorted(names))}.", file=sys.stderr)
        return 2
    if board and board not in (boards := ready.run.boards):
        print(f"There is no board {board!r}. Boards: {', '.join(boards)}.", file=sys.stderr)
        return 2
    told = [r for r in reasons if (not stage or r.stage == stage) and (not board or r.item == board)]
    if not told:
        print("Nothing would run.")
    for r in told:
        of = f" of {r.item}" if r.item else ""
        if r.waits:
            print(f"{r.stage}{of} may run, {r.says[0]}: {'; '.join(r.roots)}")
        else:
            print(f"{r.stage}{of} would run: {'; '.join(r.says)}")
        if options.parts:
            for name, old, new in r.parts:
                print(f"    {name}: {old} → {new}")
    return 0
