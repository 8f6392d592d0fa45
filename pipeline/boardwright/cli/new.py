"""`boardwright new`: look into a drawing, guess what its layers hold, write a commented project file."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "new",
        help="start a layout's folder from a drawing",
        description="Guess what the layers of a drawing hold and write a commented layout.toml. "
        "Nothing that exists is ever written over.",
    )
    p.add_argument("folder", type=Path, help="the layout's folder; made if it is not there")
    p.add_argument("--drawing", type=Path, required=True, metavar="FILE", help="the track plan")
    p.add_argument("--scale", default="1:87", metavar="1:N", help="the model's scale (default: 1:87)")
    p.add_argument("--name", default="", help="what the layout is called")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..errors import BoardwrightError
    from ..packing import shown
    from ..plan.starting import several_edges, start
    from .inspect import source_file
    from .telling import as_typed, tell_end, tell_findings

    folder: Path = options.folder
    try:
        drawing = source_file(options.drawing)
        target, copy = folder / "layout.toml", folder / drawing.name
        _refuse_if_there(target, copy, drawing.data)
        begun = start(drawing, options.name or folder.resolve().name, options.scale)
        _write(folder, target, begun.text, copy, drawing.data)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    print(f"Written: {target}")
    if begun.size_mm:
        print(f"Overall size read: {begun.size_mm[0]:.0f} × {begun.size_mm[1]:.0f} mm")
    for g in begun.guesses:
        tell_end(f"  {g.layer!r} → {(g.role or 'not read').replace('_', '-')}: {g.confidence} ({g.why})")
    if above := several_edges(begun):
        tell_end(above)
    if begun.problems:
        print("Before it can be packed:", file=sys.stderr)
        tell_findings([shown(f) for f in begun.problems])
        return 1
    print("Look it over, then: boardwright pack " + as_typed(target))
    return 0


def _refuse_if_there(target: Path, copy: Path, data: bytes) -> None:
    from ..errors import InputError
    from ..findings import Place

    for path, same in ((target, False), (copy, True)):
        if path.exists() and not (same and path.is_file() and path.read_bytes() == data):
            raise InputError.of(
                "BW-PROJ-008",
                f"there is already a file {path.name}, and it is left as it is",
                Place(file=str(path)),
                "Name another folder, or move that file away.",
            )


def _write(folder: Path, target: Path, text: str, copy: Path, data: bytes) -> None:
    from ..errors import InputError
    from ..findings import Place

    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not copy.exists():
            with copy.open("xb") as stream:
                stream.write(data)
        with target.open("x", encoding="utf-8", newline="\n") as stream_of_text:
            stream_of_text.write(text)
    except OSError as problem:
        raise InputError.of(
            "BW-PROJ-009",
            f"{folder} cannot be written: {problem.strerror or problem}",
            Place(file=str(folder)),
            "Choose a folder you may write in.",
        ) from problem
