"""The one-file plugin: a Python file beside the project file, for a club that wants to try a rule.

It runs only when the project file names it (``[stages] local``), so that opening somebody's project never
runs code unasked. Its bytes are part of every key of its stages.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

from .errors import PluginError
from .findings import Place

MODULE = "boardwright_local"


def load(path: Path) -> ModuleType:
    """Load the file as a plugin module. Raises PluginError when it is missing or does not load."""
    spec = importlib.util.spec_from_file_location(MODULE, path)
    if spec is None or spec.loader is None or not path.is_file():
        raise PluginError.of(
            "BW-PLUG-013",
            f"the local plugin {path.name} is not there",
            Place(file=path.name, key="[stages] local"),
            "Put the file beside the project file, or take the setting out.",
        )
    module = importlib.util.module_from_spec(spec)
    sys.modules[MODULE] = module
    try:
        spec.loader.exec_module(module)
    except Exception as problem:  # a stranger's code: anything can happen, and it is told
        del sys.modules[MODULE]
        raise PluginError.of(
            "BW-PLUG-014",
            f"the local plugin {path.name} does not load: {type(problem).__name__}: {problem}",
            Place(file=path.name),
            "Repair the file, or take [stages] local out of the project file.",
        ) from problem
    return module
