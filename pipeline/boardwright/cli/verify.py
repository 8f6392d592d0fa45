"""`boardwright verify`: a finished pack read back and proved, from its own files alone.

Exit status: 0 everything holds · 1 something contradicts · 2 the folder is no pack.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "verify",
        help="read a finished pack back and prove it",
        description="Put every board together again from the drawings of a delivered pack, follow its cuts "
        "and sums, and say what holds and what does not. Needs nothing but the folder.",
    )
    p.add_argument(
        "pack",
        nargs="?",
        type=Path,
        default=Path("pack"),
        metavar="DIR",
        help="folder of the pack, or of its layout (default: pack)",
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..deliver import INDEX
    from ..display import shown_by
    from ..errors import BoardwrightError
    from ..findings import Notes, Severity, worst_first
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from .telling import counted, plain, tell_end, tell_findings, terminal_width, wrapped

    notes = Notes()
    try:
        folder = of_layout(options.pack)
        files = read_folder(folder)
        answers = make_plugin_manager().hook.boardwright_verify(files=files, notes=notes)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    show = shown_by(files[INDEX])
    for sentence in (show.prose(s) for answer in answers for s in answer):
        print(plain("\n".join(wrapped(f"proved: {sentence}", terminal_width(), "", "  "))))
    findings = [shown(f, show) for f in worst_first(notes.findings)]
    sys.stdout.flush()
    tell_findings(findings)
    failed = any(f.severity is Severity.FAULT for f in notes.findings)
    if failed:
        tell_end(f"The pack in {folder} does NOT hold: {counted(findings)}.")
    else:
        tell_end(f"The pack in {folder} holds." + (f" {counted(findings)}." if findings else ""))
    return 1 if failed else 0


def of_layout(path: Path) -> Path:
    """The folder of the pack, where that of the layout or its project file was named."""
    from ..deliver import INDEX
    from ..disk import pack_folder

    project = path if path.suffix == ".toml" else path / "layout.toml"
    return pack_folder(project) if project.is_file() and not (path / INDEX).is_file() else path


def read_folder(folder: Path) -> dict[str, bytes]:
    """Path in the folder -> bytes. Raises InputError where there is no pack."""
    from ..deliver import INDEX
    from ..disk import read_file
    from ..errors import InputError
    from ..findings import Place

    if not folder.is_dir() or not (folder / INDEX).is_file():
        what = "is no folder" if not folder.is_dir() else f"holds no {INDEX}: it is no pack"
        raise InputError.of(
            "BW-VERIFY-001",
            f"{folder} {what}",
            Place(file=folder.name),
            "Name the folder that boardwright pack wrote.",
        )
    try:
        found = sorted(path for path in folder.rglob("*") if not path.is_dir())
        return {path.relative_to(folder).as_posix(): read_file(path) for path in found}
    except OSError as problem:
        raise InputError.of(
            "BW-VERIFY-001",
            f"the pack cannot be read: {problem.strerror or problem}",
            Place(file=folder.name),
            "Check that you may read its files.",
        ) from problem
