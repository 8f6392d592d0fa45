"""`boardwright plugins`: who supplies what."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "plugins",
        help="show who supplies what",
        description="List stages and outputs in run order, with those a project file names.",
    )
    p.add_argument("layout", nargs="?", type=Path, help="project file whose plugins take part as well")
    p.add_argument(
        "--scaffold",
        metavar="NAME",
        help="write a package for rules of your own into a new folder NAME, with a test, and leave",
    )
    p.set_defaults(run=run)


def _instead(s: Any) -> str:
    return f"  (in the place of the built-in {s.replaces})" if s.replaces else ""


def _scaffold(wanted: str) -> int:
    """Write a package into a new folder beside us. Nothing that exists is ever written over."""
    import re

    from .. import __version__
    from ..errors import BoardwrightError, InputError
    from ..packing import shown
    from ..plugins import make_plugin_manager
    from .telling import tell_findings

    folder = Path(wanted)
    name = folder.name
    module = name.replace("-", "_")
    try:
        if not re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", name) or module in sys.stdlib_module_names:
            raise InputError.of(
                "BW-PLUG-019",
                f"{name!r} cannot be the name of a package",
                mend="Use small letters, digits and single hyphens, as in harbour-wood; no name of Python's.",
            )
        if folder.exists():
            raise InputError.of(
                "BW-PLUG-019", f"{folder} exists already", mend="Choose another name, or move it away."
            )
        hook = make_plugin_manager().hook.boardwright_scaffold
        files = hook(name=name, module=module, version=__version__)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    for path, data in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(data)
    print(f"Written: {folder}, with {', '.join(sorted(files))}")
    print(f'Install it (pip install ./{folder}), then name it in layout.toml: [stages] plugins = ["{name}"]')
    return 0


def run(options: argparse.Namespace) -> int:
    if options.scaffold:
        return _scaffold(options.scaffold)
    from ..catalogue import collect
    from ..door import distribution, enabled, found
    from ..errors import BoardwrightError
    from ..packing import shown
    from ..project import StagesSettings, read_stages, read_tables
    from .telling import tell_findings

    project_file: Path | None = options.layout
    if project_file and project_file.is_dir():
        project_file = project_file / "layout.toml"
    try:
        choice = read_stages(project_file) if project_file else StagesSettings()
        local = project_file.parent / choice.local if project_file and choice.local else None
        tables = read_tables(project_file) if project_file else {}
        catalogue = collect(choice.plugins, local, tables=tables)
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    sources = [(p.name, f"{' '.join(distribution(p))}, {p.value}") for p in enabled(choice.plugins)]
    sources += [(local.name, "beside the project file")] if local else []
    for name, what in sources:
        print(f"{name}  ({what})")
        for s in (*catalogue.stages, *catalogue.outputs):
            if s.plugin == name:
                how = "each board" if s.each else "all boards" if s.at_once else "layout"
                makes = "files" if s.output else s.makes.__name__
                print(
                    f"  {'output' if s.output else 'stage':<6} {s.name:<24} {how:<10} → {makes}{_instead(s)}"
                )
        for s in catalogue.styles:
            if s.plugin == name:
                taken = "takes part" if s in catalogue.stages else f'{s.chosen_by} = "{s.style}" picks it'
                print(f"  style  {s.style:<24} {s.name:<10}   {taken}")
    idle = [p.name for p in found() if p not in enabled(choice.plugins)]
    if idle:
        print(f"Installed but taking no part (name them in [stages] plugins): {', '.join(idle)}")
    return 0
