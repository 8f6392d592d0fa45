"""`boardwright series`: modules of several kinds whose ends mate, packed, proved and bought together."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .batch import run_orders

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ..many.model import Series
    from ..many.projects import Order


def add(commands: Any) -> None:
    p = commands.add_parser(
        "series",
        help="pack modules of several kinds that join in any order",
        description="Pack every kind of module that a series file names, as often as it says, prove that "
        "their ends mate in all pairs and either way round, and buy and cut all of them together. Run it "
        "again and it goes on where it was.",
    )
    p.add_argument("file", type=Path, metavar="FILE", help="the series file (TOML)")
    p.add_argument(
        "-o", "--output", type=Path, metavar="DIR", help="folder for the summary (default: series, beside it)"
    )
    p.add_argument("--jobs", type=int, metavar="N", help="processes to work with (default: one a core)")
    p.add_argument(
        "--cluster", metavar="ADDRESS", help="let the workers of a running dask scheduler do the work"
    )
    p.set_defaults(run=run, buy_together=True)


def run(options: argparse.Namespace) -> int:
    def orders() -> tuple[Series | None, Mapping[str, Order]]:
        from ..many.series import read_series

        return read_series(options.file)

    if options.output is None:
        options.output = options.file.parent / "series"
    return run_orders(options, orders)
