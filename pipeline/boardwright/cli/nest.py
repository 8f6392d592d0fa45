"""`boardwright nest`: only the cutting, on any list of rectangles."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

INDEX = "nest.json"


def add(commands: Any) -> None:
    p = commands.add_parser(
        "nest",
        help="cut a list of pieces from a stock",
        description="Plan the cutting of a list of rectangles: cuts in sawing order, DXF, workbook, JSON.",
    )
    p.add_argument("pieces", type=Path, metavar="PARTS.csv", help="the pieces, a CSV table")
    p.add_argument("--stock", type=Path, required=True, metavar="STOCK.toml", help="sheets and saw")
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", help="folder for the plan (default: nest beside the list)"
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from .. import deliver
    from ..errors import BoardwrightError
    from ..findings import Notes, Severity, worst_first
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from .telling import tell_findings
    from .together import joined_files

    out: Path = options.output or options.pieces.parent / "nest"
    if out.name in ("", ".."):
        out = out.resolve()
    notes = Notes()
    try:
        deliver.recover(out)
        deliver.check_place(out, INDEX)
        hook = make_plugin_manager().hook
        nested = hook.boardwright_nest(
            pieces=_source(options.pieces), stock=_source(options.stock), notes=notes
        )
        files = joined_files(hook.boardwright_nest_files(nested=nested))
        kept = deliver.deliver(out, files, {}, INDEX)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in (*error.findings, *notes.findings)])
        print("Nothing was written.", file=sys.stderr)
        return error.exit_status
    for sentence in kept:
        print(sentence[:1].upper() + sentence[1:] + ".", file=sys.stderr)
    tell_findings([shown(f) for f in worst_first(notes.findings)])
    print(f"Cutting plan written to {out} ({len(files)} files).")
    return 1 if any(f.severity is Severity.FAULT for f in notes.findings) else 0


def _source(path: Path) -> Any:
    from ..errors import InputError
    from ..findings import Place
    from ..plan.source import SourceFile

    try:
        return SourceFile(path.name, path.read_bytes())
    except OSError as problem:
        raise InputError.of(
            "BW-NEST-013",
            f"{path.name} cannot be read: {problem.strerror or problem}",
            Place(file=path.name),
            "Check the name and the folder.",
        ) from problem
