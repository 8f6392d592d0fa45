"""`boardwright pack`: run what changed and deliver the pack."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from ..engine.known import KnownCode
    from .watch import Make

OTHERWISE = (
    "Boards have changed since the pack before: {}. What that means for boards already begun, `boardwright "
    "changes` tells: before packing, or with a copy of the old pack (boardwright changes OLD NEW)."
)


def add(commands: Any) -> None:
    p = commands.add_parser(
        "pack",
        help="make the fabrication pack of a layout",
        description="Run what changed since last time and write the pack.",
    )
    p.add_argument(
        "layout", nargs="?", type=Path, default=Path("layout.toml"), help="project file (layout.toml)"
    )
    p.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="DIR",
        help="folder for the pack (default: pack beside it)",
    )
    p.add_argument("--jobs", type=int, metavar="N", help="processes to work with (default: one a core)")
    p.add_argument(
        "--watch", action="store_true", help="make it again at every save, and show a page that follows"
    )
    p.add_argument(
        "--port",
        type=int,
        default=0,
        metavar="N",
        help="with --watch: the page's port (default: any free one)",
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..disk import pack_folder

    project_file: Path = options.layout
    if project_file.is_dir():
        project_file = project_file / "layout.toml"
    out: Path = options.output or pack_folder(project_file)
    if out.name in ("", ".."):  # "." and ".." name a folder too; it must have a name to be swapped by
        out = out.resolve()

    def make(executor: Executor | None = None, known: KnownCode | None = None) -> int:
        status = _unchanged(project_file, out)
        return _pack(project_file, out, options.jobs, executor, known) if status is None else status

    return _watch(project_file, out, make, options) if options.watch else make()


def _watch(project_file: Path, out: Path, make: Make, options: argparse.Namespace) -> int:
    from ..errors import BoardwrightError
    from ..packing import shown
    from .telling import tell_findings
    from .watch import watch

    words = ["pack", str(project_file), "-o", str(out), "--watch"]
    words += ["--jobs", str(options.jobs)] if options.jobs else []
    try:
        return watch(project_file, out, make, options.jobs, options.port, words)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status


def _unchanged(project_file: Path, out: Path) -> int | None:
    """Say so and return the exit status when nothing changed since the last pack; None when something did."""
    from ..engine import receipt

    last = receipt.delivered(project_file, out)
    if last is None or not receipt.still_stands(last, project_file, out):
        return None
    from .telling import counted, tell_end, tell_findings

    tell_findings(last["findings"])
    if found := counted(last["findings"]):
        print(f"{found}.", file=sys.stderr, flush=True)
    tell_end(last.get("comes_to", ""))
    tell_end(f"Nothing changed: 0 computed, {last['items']} reused. The pack in {out} stands as it is.")
    return 1 if last["faults"] else 0


def _pack(
    project_file: Path, out: Path, jobs: int | None, executor: Executor | None, known: KnownCode | None
) -> int:
    from ..deliver import INDEX
    from ..errors import BoardwrightError
    from ..packing import opened_store, pack, shown
    from .telling import ProgressLine, counted, keep_defects, tell_end, tell_findings

    try:
        with opened_store(project_file) as store, ProgressLine(sys.stderr) as line:
            packed = pack(project_file, out, store, line.tell, jobs, executor=executor, known=known)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        if (out / INDEX).is_file():
            print(f"Nothing was written. The pack in {out} is older than these inputs.", file=sys.stderr)
        else:
            print("Nothing was written.", file=sys.stderr)
        return error.exit_status
    if packed.store_note:
        print(packed.store_note[:1].upper() + packed.store_note[1:] + ".", file=sys.stderr)
    for sentence in packed.kept:
        print(sentence[:1].upper() + sentence[1:] + ".", file=sys.stderr)
    outcome = packed.outcome
    told = [shown(f, packed.display) for f in outcome.findings]
    tell_findings(told)
    if found := counted(told):
        print(f"{found}.", file=sys.stderr, flush=True)
    counts = f"{outcome.computed} computed, {outcome.reused} reused"
    otherwise = OTHERWISE.format(packed.otherwise) if packed.otherwise else ""
    if outcome.defects:
        keep_defects(project_file, outcome.defects)
        if not packed.delivered:
            print(f"No pack was written: a stage failed ({counts}).", file=sys.stderr)
            return 3
        print(f"The pack in {out} is INCOMPLETE: a stage failed ({counts}).", file=sys.stderr)
        tell_end(otherwise)
        return 3
    tell_end(packed.comes_to)
    tell_end(
        f"Pack written to {out} ({len(outcome.files)} files; {counts}). Start with {out / 'index.html'}."
    )
    tell_end(otherwise)
    return 1 if packed.faults else 0
