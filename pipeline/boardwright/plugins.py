"""The plugin door: who supplies stages and outputs.

Entry points of the group ``boardwright`` are loaded in the order of their names, so that two machines with
the same packages make the same catalogue. A plugin that cannot be loaded is an error, never skipped.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pluggy

from . import hookspecs
from .door import GROUP, distribution, enabled, found, split
from .errors import PluginError
from .findings import Place
from .local import load
from .versions import misfits


def make_plugin_manager(named: Sequence[str] = (), local: Path | None = None) -> pluggy.PluginManager:
    """Load our own plugins, those named, and a local file.

    Raises PluginError naming the plugin that is not installed, is of a version that does not fit, does not
    load or has a mistyped hook.
    """
    missing = sorted({split(n)[0] for n in named} - {p.name for p in found()})
    if missing:
        raise PluginError.of(
            "BW-PLUG-015",
            f"the project file names plugins that are not installed: {', '.join(missing)}",
            Place(key="[stages] plugins"),
            "Install them beside Boardwright, or take their names out. A file beside the project file is "
            'named another way: local = "house.py".',
        )
    if faults := misfits(enabled(named), named):
        raise PluginError(faults)
    manager = pluggy.PluginManager(GROUP)
    manager.add_hookspecs(hookspecs)
    for point in enabled(named):
        try:
            plugin = point.load()
        except Exception as problem:  # anything can happen in a stranger's import; it is reported, not hidden
            raise PluginError.of(
                "BW-PLUG-005",
                f"plugin {point.name!r} of {distribution(point)[0]} does not load: {problem}",
                Place(item=point.value),
                "Repair or uninstall that plugin.",
            ) from problem
        manager.register(plugin, name=point.name)
    if local is not None:
        manager.register(load(local), name=local.name)
    try:
        manager.check_pending()
    except pluggy.PluginValidationError as problem:
        raise PluginError.of(
            "BW-PLUG-006",
            f"a plugin implements a hook that does not exist: {problem}",
            mend="Compare the hook's name with docs/hooks.md.",
        ) from problem
    return manager
