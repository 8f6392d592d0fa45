"""`boardwright plugins`: who supplies what."""

from __future__ import annotations

import argparse
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "plugins", help="show who supplies what", description="List stages and outputs in run order."
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..catalogue import collect
    from ..door import distribution, found
    from ..errors import BoardwrightError
    from ..packing import shown
    from .telling import tell_findings

    try:
        catalogue = collect()
    except BoardwrightError as error:
        tell_findings([shown(f) for f in error.findings])
        return error.exit_status
    for point in found():
        name, version = distribution(point)
        print(f"{point.name}  ({name} {version}, {point.value})")
        for s in (*catalogue.stages, *catalogue.outputs):
            if s.plugin != point.name:
                continue
            how = "each board" if s.each else "layout"
            what = "files" if s.output else s.makes.__name__
            print(f"  {'output' if s.output else 'stage ':<6} {s.name:<20} {how:<10} → {what}")
    return 0
