"""`boardwright inspect`: what a drawing holds and how it would be read."""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "inspect",
        help="show what a drawing holds and how it would be read",
        description="Read a drawing and tell what it holds, by layer and by role. Nothing is written but "
        "the page asked for.",
    )
    p.add_argument("drawing", type=Path, help="the drawing, or a project file (its drawing and device list)")
    p.add_argument(
        "--project",
        type=Path,
        metavar="FILE",
        help="read it as this project file says (default: layout.toml beside it)",
    )
    p.add_argument("--html", type=Path, metavar="FILE", help="write a picture of what was read to this page")
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..errors import BoardwrightError
    from ..packing import shown
    from ..plan.picture import page
    from ..plan.report import describe, inspect_plan
    from ..plan.settings import DrawingSettings
    from .telling import tell_findings

    try:
        *sources, show = _sources(options.drawing, options.project)
        inspection = inspect_plan(*sources)
        if sources[2] == DrawingSettings():  # no project file: `new` looks at shapes as well as at names
            inspection = _as_guessed(*sources) or inspection
        if options.html:
            _write_page(options.html, page(inspection))
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    width = min(100, shutil.get_terminal_size((80, 24)).columns)
    print("\n".join(describe(inspection, width, show)))
    if options.html:
        print(f"\nPicture: {options.html}")
    return 0 if inspection.usable else 2


def _sources(drawing: Path, project_file: Path | None) -> tuple[Any, ...]:
    """Drawing, device list, settings and name, as ``inspect_plan`` takes them; then how to show lengths."""
    from .. import catalogue
    from ..display import IN_MM, DisplaySettings
    from ..plan.settings import DeviceSettings, DrawingSettings
    from ..project import LayoutSettings, read_project, read_stages, read_tables
    from ..sources import read_sources

    if drawing.suffix == ".toml" or drawing.is_dir():
        project_file = drawing / "layout.toml" if drawing.is_dir() else drawing
    elif project_file is None and (drawing.parent / "layout.toml").is_file():
        project_file = drawing.parent / "layout.toml"
    if project_file is None:
        return source_file(drawing), None, DrawingSettings(), DeviceSettings(), drawing.stem, IN_MM
    choice = read_stages(project_file)
    local = project_file.parent / choice.local if choice.local else None
    stages = catalogue.collect(choice.plugins, local, tables=read_tables(project_file))
    layout = read_project(project_file, stages.sections)
    settings = layout.section(DrawingSettings), layout.section(DeviceSettings)
    name, show = layout.section(LayoutSettings).name, layout.section(DisplaySettings)
    if drawing.suffix == ".toml" or drawing.is_dir():
        return *read_sources(layout), *settings, name, show
    print(f"Read as {project_file} says.", file=sys.stderr)
    own = drawing.name == settings[0].file
    return source_file(drawing), read_sources(layout)[1] if own else None, *settings, name, show


def _as_guessed(drawing: Any, device_list: Any, settings: Any, devices: Any, name: str) -> Any:
    """The drawing as `boardwright new` would read it, which is said; None where that finds no edge either."""
    import tomllib

    import msgspec

    from ..errors import InputError
    from ..plan.report import inspect_plan
    from ..plan.settings import DrawingSettings
    from ..plan.starting import several_edges, start

    try:
        begun = start(drawing, name, settings.scale)
    except InputError:  # no edge by a guess either: the reading without one stays, and tells it
        return None
    guessed = msgspec.convert(tomllib.loads(begun.text)["drawing"], DrawingSettings)
    said = "No project file tells what its layers hold; read as `boardwright new` would guess them."
    print(said, file=sys.stderr)
    if above := several_edges(begun):
        print(above, file=sys.stderr)
    return inspect_plan(drawing, device_list, guessed, devices, name)


def _write_page(path: Path, text: str) -> None:
    """Write over nothing but an older picture."""
    from ..errors import InputError
    from ..findings import Place
    from ..plan.picture import MARK

    try:
        if path.exists() and not (path.is_file() and path.read_bytes().startswith(MARK.encode())):
            raise InputError.of(
                "BW-PROJ-008",
                f"there is already a file {path.name}, and it is left as it is",
                Place(file=str(path)),
                "Name another file for the picture, or move that one away.",
            )
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as problem:
        raise InputError.of(
            "BW-PROJ-009",
            f"{path} cannot be written: {problem.strerror or problem}",
            Place(file=str(path)),
            "Choose a folder you may write in.",
        ) from problem


def source_file(path: Path) -> Any:
    from ..disk import read_file
    from ..errors import InputError
    from ..findings import Place
    from ..plan.source import SourceFile

    try:
        return SourceFile(path.name, read_file(path))
    except OSError as problem:
        raise InputError.of(
            "BW-PROJ-007",
            f"the file {path.name} cannot be read: {problem.strerror or problem}",
            Place(file=path.name),
            "Check the name and where you are.",
        ) from problem
