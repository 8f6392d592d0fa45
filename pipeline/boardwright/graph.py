"""The order of stages: a dependency graph of artefact types, sorted so that it never depends on luck.

The sorting is the standard library's: a library of graphs costs a seventh of a second to load, at every
command that looks at stages.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from .errors import PluginError
from .stages import Reads, Stage


def makers_of(stages: list[Stage]) -> dict[str, set[str]]:
    """Stage name → the names of the stages that make what it reads."""
    makers = {s.makes: s.name for s in stages}
    return {
        s.name: {
            makers[i.type]
            for i in s.inputs
            if i.reads in (Reads.ONE, Reads.ALL, Reads.NEAR) and i.type in makers
        }
        for s in stages
    }


def in_order(before: Mapping[str, Iterable[str]]) -> list[str]:
    """Names so that each stands behind those before it; of several that could be next, the first by alphabet.
    Raises CycleError."""
    sorter = TopologicalSorter(before)
    sorter.prepare()
    waiting: list[str] = []
    found = []
    while sorter.is_active():
        for name in sorter.get_ready():
            heapq.heappush(waiting, name)
        found.append(heapq.heappop(waiting))
        sorter.done(found[-1])
    return found


def order(stages: list[Stage]) -> tuple[Stage, ...]:
    """Stages so that every maker comes before its readers; ties by name. Raises PluginError on a cycle."""
    by_name = {s.name: s for s in stages}
    before = makers_of(stages)
    try:
        return tuple(by_name[n] for n in in_order({name: sorted(before[name]) for name in sorted(before)}))
    except CycleError as stuck:
        raise PluginError.of(
            "BW-PLUG-011",
            "stages wait for each other in a circle: " + " → ".join(stuck.args[1]),
            mend="One of these stages must do without what the next one makes.",
        ) from None
