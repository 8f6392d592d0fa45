"""The order of stages: a dependency graph of artefact types, sorted so that it never depends on luck."""

from __future__ import annotations

import networkx as nx

from .errors import PluginError
from .stages import Reads, Stage


def graph(stages: list[Stage]) -> nx.DiGraph:
    """Stage names as nodes, an edge from maker to reader, labelled with the artefact."""
    makers = {s.makes: s.name for s in stages}
    g = nx.DiGraph()
    g.add_nodes_from(s.name for s in stages)
    for s in stages:
        for i in s.inputs:
            if i.reads in (Reads.ONE, Reads.ALL, Reads.NEAR) and i.type in makers:
                g.add_edge(makers[i.type], s.name, artefact=i.type.__name__)
    return g


def order(stages: list[Stage]) -> tuple[Stage, ...]:
    """Stages so that every maker comes before its readers; ties by name. Raises PluginError on a cycle."""
    g = graph(stages)
    by_name = {s.name: s for s in stages}
    try:
        return tuple(by_name[n] for n in nx.lexicographical_topological_sort(g))
    except nx.NetworkXUnfeasible:
        loop = [a for a, _ in nx.find_cycle(g)]
        raise PluginError.of(
            "BW-PLUG-011",
            "stages wait for each other in a circle: " + " → ".join([*loop, loop[0]]),
            mend="One of these stages must do without what the next one makes.",
        ) from None
