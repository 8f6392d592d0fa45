"""`boardwright tidy`: forget old results."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any


def add(commands: Any) -> None:
    p = commands.add_parser(
        "tidy",
        help="forget stored results that are no longer needed",
        description="Forget the oldest stored results. What the current pack needs is always kept.",
    )
    p.add_argument(
        "layout", nargs="?", type=Path, default=Path("layout.toml"), help="project file (layout.toml)"
    )
    p.add_argument(
        "--keep-mb", type=float, default=0.0, metavar="N", help="keep up to N megabytes (default: 0)"
    )
    p.set_defaults(run=run)


def run(options: argparse.Namespace) -> int:
    from ..packing import open_store, store_path

    project_file: Path = options.layout / "layout.toml" if options.layout.is_dir() else options.layout
    if not store_path(project_file).is_file():
        print("There is nothing stored here.")
        return 0
    store = open_store(project_file)
    try:
        freed = store.tidy(round(options.keep_mb * 1e6))
        print(f"Freed {freed / 1e6:.1f} MB; {store.size_bytes() / 1e6:.1f} MB are kept.")
    finally:
        store.close()
    return 0
