"""`boardwright study`: compare constructions of one layout."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ..many.model import Construction, Study

INDEX = "study.json"


def add(commands: Any) -> None:
    p = commands.add_parser(
        "study",
        help="compare constructions of a layout",
        description="Vary settings of a layout and compare what each construction comes to: a table, a "
        "workbook, a page with a picture. Nothing of the layout's own pack is changed.",
    )
    p.add_argument(
        "layout", nargs="?", type=Path, default=Path("layout.toml"), help="project file (layout.toml)"
    )
    p.add_argument("study", nargs="?", type=Path, metavar="STUDY.toml", help="what is varied (docs/many.md)")
    p.add_argument(
        "--vary",
        action="append",
        default=[],
        metavar="KEY=A,B,…",
        help="a setting and its values, a range as FROM..TO/STEP; may be given again",
    )
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", help="folder for the study (default: study beside it)"
    )
    p.add_argument("--jobs", type=int, metavar="N", help="processes to work with (default: one a core)")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from .. import deliver
    from ..errors import BoardwrightError
    from ..many.study import study
    from ..many.varying import read_option, read_study
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from .telling import ProgressLine, tell_end, tell_findings
    from .together import joined_files

    project_file: Path = options.layout
    if project_file.is_dir():
        project_file = project_file / "layout.toml"
    out: Path = options.output or project_file.parent / "study"
    if out.name in ("", ".."):
        out = out.resolve()
    try:
        deliver.recover(out)
        deliver.check_place(out, INDEX)
        varied = read_study(options.study) if options.study else []
        varied += [read_option(text) for text in options.vary]
        with ProgressLine(sys.stderr) as line:
            found = study(project_file, varied, line.tell, options.jobs)
        if (tried := [c for c in found.constructions if c.settings]) and all(c.refused for c in tried):
            tell_findings(tried[0].findings)
            print("None of the constructions can be made. Nothing was written.", file=sys.stderr)
            return 2
        files = joined_files(make_plugin_manager().hook.boardwright_study_files(study=found))
        deliver.deliver(out, files, {}, INDEX)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        print("Nothing was written.", file=sys.stderr)
        return error.exit_status
    _tell(found)
    tell_end(f"Study written to {out} ({len(files)} files). Start with {out / 'index.html'}.")
    return 0


def _tell(study: Study) -> None:
    from .columns import columns
    from .telling import plain, tell_end, terminal_width, wrapped

    keys = [k for v in study.varied for k in v.keys]
    figures = next((c.figures for c in study.constructions if c.figures), ())
    counted = [f for f in figures if f.key in study.counts]
    heading = ["no.", *keys, *(f.says.lower() for f in counted), "faults", "cautions", ""]
    rows = [[*_row(c, keys, study.counts), _mark(c)] for c in study.constructions]
    print("\n".join(columns(heading, rows, frozenset({0, *range(len(keys) + 1, len(heading) - 1)}))))
    tell_end(
        "best: no other is as good in every figure shown and better in one. No. 0: the project as it stands."
    )
    for c in study.constructions:
        if not c.sound:
            print(plain("\n".join(wrapped(f"No. {c.number}: {c.trouble}", terminal_width()))))
    for step in study.steps:
        print(plain("\n".join(wrapped(step.says, terminal_width()))))


def _row(c: Construction, keys: list[str], counts: tuple[str, ...]) -> list[str]:
    from ..many.choosing import shown

    settings = dict(c.settings)
    values = [shown(settings[k]) if k in settings else "" for k in keys]
    figures = [f.shown if (f := c.figure(key)) else "–" for key in counts]
    return [str(c.number), *values, *figures, str(c.faults), str(c.cautions)]


def _mark(c: Construction) -> str:
    if c.refused:
        return "cannot be made"
    if c.faults:
        return "FAULTS"
    return "best" if c.best else f"beaten by {c.beaten_by}"
