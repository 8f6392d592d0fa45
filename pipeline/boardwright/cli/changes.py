"""`boardwright changes`: what a changed plan means for wood that is already cut.

With one layout: the pack that lies there against what would be made now (nothing is delivered; what is
computed is kept for the next pack). With two packs: one against the other. Exit status: 0 · 2 input cannot
be used · 3 a defect of ours.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

AS_NOW = (
    "The pack is of the plan as it is now: look at changes before packing again, or compare it with a copy "
    "of an older one (boardwright changes OLD NEW); what changed last: boardwright why --last."
)


def add(commands: Any) -> None:
    p = commands.add_parser(
        "changes",
        help="what a change of plan means for parts already made",
        description="Compare the pack of a layout with what would be made now, or two packs with each other: "
        "parts to make, to drill further, unaffected, no longer needed; boards, joints, money.",
    )
    p.add_argument(
        "what",
        nargs="*",
        type=Path,
        metavar="LAYOUT | BEFORE AFTER",
        help="a project file (default: layout.toml), or the folders of two packs",
    )
    p.add_argument("-o", "--output", type=Path, metavar="DIR", help="the layout's pack, if not beside it")
    p.add_argument("--json", action="store_true", help="print every part's fate as JSON")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..display import shown_by
    from ..errors import BoardwrightError, DefectError
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from .telling import plain, tell_findings, terminal_width, wrapped

    if len(options.what) > 2:
        print("Name one layout, or two packs.", file=sys.stderr)
        return 2
    try:
        if len(options.what) == 2:
            before, after = (delivered(folder) for folder in options.what)
        else:
            before, after = _now(options.what[0] if options.what else Path("layout.toml"), options.output)
        answer = make_plugin_manager().hook.boardwright_changes(before=before, after=after)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return DefectError.exit_status if isinstance(error, DefectError) else error.exit_status
    if options.json:
        import msgspec

        from .. import canon

        print(msgspec.json.format(canon.encode(answer), indent=2).decode())
        return 0
    show = shown_by(after)
    told = (AS_NOW,) if len(options.what) < 2 and before == after else ()
    for sentence in (*told, *answer.lines):
        print(plain("\n".join(wrapped(show.prose(sentence), terminal_width(), "", "  "))))
    return 0


def delivered(folder: Path) -> bytes:
    """The data of a pack. Raises InputError where there is none."""
    from ..deliver import INDEX
    from ..disk import read_file
    from ..errors import InputError
    from ..findings import Place

    try:
        return read_file(folder / INDEX)
    except OSError as problem:
        raise InputError.of(
            "BW-CHANGE-002",
            f"{folder} holds no pack to compare with",
            Place(file=folder.name),
            f"Name the folder that boardwright pack wrote; or pack the layout first.{_beside(folder)}",
        ) from problem


def _beside(folder: Path) -> str:
    """Packs in the same place under other names, as boardwright series writes them."""
    from ..deliver import INDEX
    from .telling import as_typed

    others = sorted(index.parent for index in folder.parent.glob(f"*/{INDEX}"))
    return f" There is a pack in {', '.join(map(as_typed, others))}: name it with -o." if others else ""


def _now(project_file: Path, output: Path | None) -> tuple[bytes, bytes]:
    """The data of a layout's pack, and what it would be now."""
    from ..deliver import INDEX
    from ..disk import pack_folder
    from ..engine.run import Run
    from ..errors import DefectError
    from ..packing import opened_store, prepare
    from ..project import read_tables
    from .telling import ProgressLine, keep_defects

    if project_file.is_dir():
        project_file = project_file / "layout.toml"
    read_tables(project_file)  # told first if it is not there
    before = delivered(output or pack_folder(project_file))
    with opened_store(project_file) as store, ProgressLine(sys.stderr) as line:
        outcome = prepare(project_file, store, line.tell, Run).run.go(remember=False)
    if outcome.defects:
        keep_defects(project_file, outcome.defects)
        raise DefectError([f for f in outcome.findings if f.code.startswith("BW-ENG")])
    return before, outcome.files[INDEX]
