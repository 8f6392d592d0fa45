"""`boardwright made`: keep the list of parts that are made, so that a change of plan does not remake them.

Exit status: 0 · 2 a name or the pack cannot be used · 3 a defect of ours.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "made",
        help="mark parts as made; show what is",
        description="Mark parts of the pack as made, by number (B01-S1) or all of a board (B01). The joints "
        "of their boards stay, they are not cut again, and a plan that leaves one behind says so. "
        "Without a name: show the list.",
    )
    p.add_argument("names", nargs="*", metavar="PART", help="numbers of parts or of whole boards")
    p.add_argument("--undo", action="store_true", help="take them off the list instead")
    p.add_argument(
        "--layout", type=Path, default=Path("layout.toml"), metavar="FILE", help="project file (layout.toml)"
    )
    p.add_argument("-o", "--output", type=Path, metavar="DIR", help="the layout's pack, if not beside it")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..disk import pack_folder, write_whole
    from ..errors import BoardwrightError
    from ..made import read_list
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from ..project import made_file
    from .changes import delivered
    from .telling import plain, tell_findings, terminal_width, wrapped

    project_file: Path = options.layout
    if project_file.is_dir():
        project_file = project_file / "layout.toml"
    try:
        name = made_file(project_file)
        if not name:
            print("[made] file is empty in the project file: no list is kept.", file=sys.stderr)
            return 2
        pack = delivered(options.output or pack_folder(project_file))
        made = read_list(project_file.parent, name)
        hook = make_plugin_manager().hook.boardwright_made
        answer = hook(made=made, pack=pack, names=options.names, undo=options.undo)
        if options.names:
            write_whole(project_file.parent / name, answer.text.encode())
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    for sentence in answer.lines:
        print(plain("\n".join(wrapped(sentence, terminal_width(), "", "  "))))
    return 0
