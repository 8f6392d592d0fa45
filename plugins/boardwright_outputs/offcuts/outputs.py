"""The ``offcuts.toml`` output."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from boardwright import Files, output
from boardwright_timber.model import CuttingPlan

from .stock_file import stock_file

PATH = "offcuts.toml"


@output()
def offcuts(cutting: CuttingPlan) -> Files:
    """What is left of the sheets and worth keeping, as stock for the next project: ``offcuts.toml``."""
    return Files(files={PATH: stock_file(cutting.sheets)})


OUTPUTS: tuple[Callable[..., Any], ...] = (offcuts,)
