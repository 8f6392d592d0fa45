"""Shortest trees against trying everything, against a lower bound, and against a library's approximation."""

from __future__ import annotations

import math
import random
from itertools import combinations, pairwise

import networkx as nx
import pytest
from networkx.algorithms.approximation import steiner_tree

from boardwright_stages.wiring.tree import (
    WINDOW,
    _part,
    improved,
    key_paths,
    length_of,
    links_of,
    shortest_tree,
    windows,
)
from boardwright_stages.wiring.ways import direct, edge, spread, way

SMALL, LARGE = 140, 50


def scattered(seed: int, nodes: int, joined_to: int) -> list[dict[int, float]]:
    """Points on a board-like strip, each joined to its nearest, with the distance as length."""
    rng = random.Random(seed)
    at = [(rng.uniform(0, 3000), rng.uniform(0, 600)) for _ in range(nodes)]
    graph: list[dict[int, float]] = [{} for _ in at]
    for a in range(nodes):
        for b in sorted(range(nodes), key=lambda o: math.dist(at[a], at[o]))[1 : joined_to + 1]:
            graph[a][b] = graph[b][a] = math.dist(at[a], at[b])
    parts = list(nx.connected_components(as_nx(graph)))
    for one, two in pairwise(parts):
        a, b = min(one), min(two)
        graph[a][b] = graph[b][a] = math.dist(at[a], at[b])
    return graph


def as_nx(graph: list[dict[int, float]]) -> nx.Graph:
    made = nx.Graph()
    made.add_nodes_from(range(len(graph)))
    made.add_weighted_edges_from((a, b, w) for a, near in enumerate(graph) for b, w in near.items())
    return made


def by_trying_everything(graph: list[dict[int, float]], terminals: list[int]) -> float:
    """The least spanning tree over the terminals and every choice of other nodes, shortest edges first."""
    edges = sorted((w, a, b) for a, near in enumerate(graph) for b, w in near.items() if a < b)
    others, best = sorted(set(range(len(graph))) - set(terminals)), math.inf
    for count in range(len(others) + 1):
        for chosen in combinations(others, count):
            group = {node: node for node in (*terminals, *chosen)}
            long, missing = 0.0, len(group) - 1
            for w, a, b in edges:
                if a in group and b in group and group[a] != group[b]:
                    old, new = group[a], group[b]
                    group |= {node: new for node, g in group.items() if g == old}
                    long, missing = long + w, missing - 1
            if not missing:
                best = min(best, long)
    return best


def bound(graph: list[dict[int, float]], terminals: list[int]) -> float:
    """Dual ascent (Wong): what every tree must pay at least, raised cut by cut round the terminals."""
    rest = {(a, b): w for a, near in enumerate(graph) for b, w in near.items()}
    root, total = terminals[0], 0.0
    waiting = set(terminals[1:])
    while waiting:
        cuts = []
        for t in sorted(waiting):
            inside, todo = {t}, [t]
            while todo:
                b = todo.pop()
                for a in graph[b]:
                    if a not in inside and rest[a, b] <= 1e-9:
                        inside.add(a)
                        todo.append(a)
            if root in inside:
                waiting.discard(t)
            else:
                arcs = [(a, b) for b in inside for a in graph[b] if a not in inside]
                cuts.append((len(arcs), t, arcs))
        if cuts:
            arcs = min(cuts)[2]
            least = min(rest[e] for e in arcs)
            total += least
            for e in arcs:
                rest[e] -= least
    return total


def joins(tree: tuple[tuple[int, int], ...], terminals: list[int]) -> bool:
    made = nx.Graph(list(tree))
    return nx.is_tree(made) and set(terminals) <= set(made)


@pytest.mark.parametrize("seed", range(SMALL))
def test_small_trees_are_the_shortest(seed: int) -> None:
    rng = random.Random(1000 + seed)
    nodes = rng.randint(6, 11)
    graph = scattered(seed, nodes, 3)
    terminals = sorted(rng.sample(range(nodes), rng.randint(2, nodes - 2)))
    tree = shortest_tree(graph, terminals)
    assert joins(tree, terminals)
    assert length_of(graph, tree) == pytest.approx(by_trying_everything(graph, terminals), abs=1e-6)


@pytest.mark.parametrize("seed", range(LARGE))
def test_large_trees_are_near_the_bound_and_never_longer_than_a_library_makes_them(seed: int) -> None:
    rng = random.Random(2000 + seed)
    nodes = rng.randint(60, 140)
    graph = scattered(seed, nodes, 6)
    terminals = sorted(rng.sample(range(nodes), rng.randint(8, 30)))
    tree = shortest_tree(graph, terminals)
    assert joins(tree, terminals)
    long = length_of(graph, tree)
    assert long <= 1.05 * bound(graph, terminals)
    for method in ("kou", "mehlhorn"):
        assert long <= steiner_tree(as_nx(graph), terminals, method=method).size("weight") + 1e-6


def test_the_bound_is_no_longer_than_the_shortest_tree() -> None:
    for seed in range(20):
        graph = scattered(seed, 9, 3)
        assert bound(graph, [0, 3, 5, 7]) <= by_trying_everything(graph, [0, 3, 5, 7]) + 1e-6


def test_a_branching_by_hand() -> None:
    """Three ends 10 from a middle, 17 from each other: 3 × 10 = 30 beats 2 × 17 = 34."""
    graph = [{1: 17.0, 2: 17.0, 3: 10.0}, {0: 17.0, 2: 17.0, 3: 10.0}, {0: 17.0, 1: 17.0, 3: 10.0}]
    graph.append({0: 10.0, 1: 10.0, 2: 10.0})
    assert shortest_tree(graph, (0, 1, 2)) == ((0, 3), (1, 3), (2, 3))
    long_way = {(0, 1), (1, 2)}
    assert improved(graph, frozenset((0, 1, 2)), long_way) == {(0, 3), (1, 3), (2, 3)}
    assert shortest_tree(graph, (1,)) == ()


def test_key_paths_run_between_branchings_and_terminals() -> None:
    tree = {(0, 1), (1, 2), (2, 3), (2, 4)}
    assert key_paths(tree, frozenset((0, 3, 4))) == [[0, 1, 2], [2, 3], [2, 4]]
    assert links_of(tree)[2] == {1, 3, 4}


def test_a_way_by_hand() -> None:
    graph = [{1: 2.0, 2: 9.0}, {0: 2.0, 2: 3.0}, {0: 9.0, 1: 3.0}]
    far, before = spread(graph, (0,))
    assert (far[2], way(before, 2)) == (5.0, [0, 1, 2])
    assert edge(5, 2) == (2, 5)
    assert spread(graph, (0,), within_mm=2.5)[0] == {0: 0.0, 1: 2.0}


def test_the_direct_way_is_the_shortest() -> None:
    for seed in range(40):
        rng = random.Random(seed)
        at = [(rng.uniform(0, 3000), rng.uniform(0, 600)) for _ in range(60)]
        graph: list[dict[int, float]] = [{} for _ in at]
        for a in range(60):
            for b in [*rng.sample(range(60), 3), (a + 1) % 60]:
                if a != b:
                    graph[a][b] = graph[b][a] = math.dist(at[a], at[b]) + rng.choice((0, 50))
        graph.append({})
        far, _ = spread(graph, (0,))
        found = direct(graph, [*at, (0.0, 0.0)], 0, 1)
        assert found is not None
        assert sum(graph[a][b] for a, b in pairwise(found)) == pytest.approx(far[1])
        assert direct(graph, [*at, (0.0, 0.0)], 0, 60) is None


def test_a_large_tree_is_cut_into_windows_and_stays_near_the_bound() -> None:
    graph = scattered(5, 420, 6)
    terminals = sorted(random.Random(5).sample(range(420), 160))
    tree = shortest_tree(graph, terminals)
    assert len(tree) > WINDOW
    pieces = windows(set(tree))
    assert sorted(e for piece in pieces for e in piece) == sorted(tree)
    assert all(len(piece) <= WINDOW and nx.is_tree(nx.Graph(list(piece))) for piece in pieces)
    assert joins(tree, terminals)
    assert length_of(graph, tree) <= steiner_tree(as_nx(graph), terminals).size("weight") + 1e-6


@pytest.mark.parametrize("seed", range(20))
def test_what_hangs_together_when_an_edge_is_taken_away(seed: int) -> None:
    """On a random tree, against a library that is given the others."""
    draw = random.Random(seed)
    made = {edge(n, draw.randrange(n)) for n in range(1, draw.randint(2, 40))}
    links = links_of(made)
    for a, b in made:
        parts = nx.Graph(list(made - {edge(a, b)}))
        for start, cut in ((a, b), (b, a)):
            alone = {start} if start not in parts else nx.node_connected_component(parts, start)
            assert _part(links, start, cut) == alone
