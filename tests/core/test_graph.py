"""The order of names, beside an independent library's."""

from __future__ import annotations

from graphlib import CycleError
from itertools import pairwise

import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boardwright.graph import in_order

NAMES = [chr(ord("a") + n) for n in range(12)]
EDGES = st.lists(st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)), max_size=25)


@given(EDGES)
def test_as_a_library_of_graphs_orders_them(edges: list[tuple[str, str]]) -> None:
    graph = networkx.DiGraph(edges)
    graph.add_nodes_from(NAMES)
    before = {name: list(graph.predecessors(name)) for name in NAMES}
    if networkx.is_directed_acyclic_graph(graph):
        assert in_order(before) == list(networkx.lexicographical_topological_sort(graph))
    else:
        with pytest.raises(CycleError) as stuck:
            in_order(before)
        loop = stuck.value.args[1]
        assert loop[0] == loop[-1]
        assert all(graph.has_edge(a, b) for a, b in pairwise(loop))


def test_of_several_the_first_by_alphabet_is_next() -> None:
    # c is free at once but stands behind a; b waits for c
    assert in_order({"b": ["c"], "c": [], "a": []}) == ["a", "c", "b"]
