"""What worker processes have loaded before there is work: imported once, in the process they are forked from.

Only the built-in plugins are loaded here: what else a project names is known when its file has been read. A
module that cannot be imported is left to the stage that needs it, which then says so.
"""

from __future__ import annotations

import contextlib
import importlib

from ..plugins import make_plugin_manager


def load_libraries() -> None:
    """Import what the built-in plugins name in ``boardwright_libraries``."""
    manager = make_plugin_manager()
    manager.hook.boardwright_stages()
    manager.hook.boardwright_outputs()
    for names in manager.hook.boardwright_libraries():
        for name in names:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)


load_libraries()
