"""`boardwright stage NAME[@BOARD]`: run one stage and only what it needs; print what it answers as JSON."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "stage",
        help="run one stage and print its result",
        description="Run one stage, and only what it needs, and print its result as JSON.",
    )
    p.add_argument("name", help="name of a stage, or NAME@BOARD for one board (see: boardwright plugins)")
    p.add_argument(
        "layout", nargs="?", type=Path, default=Path("layout.toml"), help="project file (layout.toml)"
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..engine.run import Run
    from ..errors import BoardwrightError
    from ..packing import opened_store, prepare, shown
    from .telling import ProgressLine, keep_defects, stage_and_project, tell_findings, tell_unknown

    wanted, project_file = stage_and_project(options.name, options.layout)
    name, _, board = (wanted or "").partition("@")
    try:
        with opened_store(project_file) as store, ProgressLine(sys.stderr) as line:
            ready = prepare(project_file, store, line.tell, Run)
            names = {s.name for s in ready.catalogue.stages}
            if name not in names:
                tell_unknown("stage", name, names)
                return 2
            outcome = ready.run.go(ready.catalogue.needs(name))
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    tell_findings([shown(f, ready.display) for f in outcome.findings])
    if outcome.defects:
        keep_defects(project_file, outcome.defects)
        return 3
    return _print(ready.catalogue, name, board, outcome)


def _print(catalogue: Any, name: str, board: str, outcome: Any) -> int:
    import msgspec

    from .. import canon
    from .telling import tell_unknown

    stage = next(s for s in catalogue.stages if s.name == name)
    found = {item: v.get() for (kind, item), v in outcome.values.items() if kind is stage.makes}
    if board and board not in found:
        tell_unknown(f"board of {name}", board, found)
        return 2
    answer = found.get(board, found)
    print(msgspec.json.format(canon.encode(answer), indent=2).decode())
    return 0
