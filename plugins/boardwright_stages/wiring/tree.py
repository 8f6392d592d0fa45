"""The shortest tree that joins given nodes of a graph: a bus with its branches (a Steiner tree).

Claim: up to ``EXACT`` terminals, the tree is the shortest there is (Dreyfus and Wagner's recurrence). With
more, it is the best of several built terminal by terminal, made better until no step helps: a path between
two branchings is replaced by a shorter one, a node is put in, a node is left out. ``tests/stages/wiring``
holds it against an integer program, a lower bound, and a general library's approximation.

Glossary
    terminal    a node that must be in the tree
    key path    a stretch of the tree between branchings and terminals

What this does not know: branchings between the nodes of the graph.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections import deque
from collections.abc import Iterable

from .ways import SAME_MM, Edge, Graph, edge, spread, way

EXACT = 6
STARTS = 4
WINDOW = 120  # edges: a larger tree is made better piece by piece, so that time grows with its size
MANY = 30  # with more terminals only the best start is made better, which takes half the time

type Links = dict[int, set[int]]


def shortest_tree(graph: Graph, terminals: Iterable[int]) -> tuple[Edge, ...]:
    """Edges of the tree, sorted. The terminals must be joined to each other in the graph."""
    wanted = sorted(set(terminals))
    if len(wanted) < 2:
        return ()
    if len(wanted) <= EXACT:
        return tuple(sorted(exact(graph, wanted)))
    keep = frozenset(wanted)
    step = max(1, len(wanted) // STARTS)
    built = {frozenset(_grown(graph, wanted, start)) for start in wanted[::step]}
    ranked = sorted((length_of(graph, t), tuple(sorted(t))) for t in built)
    return min(
        (tuple(sorted(improved(graph, keep, tree))) for _, tree in ranked[: 2 if len(wanted) <= MANY else 1]),
        key=lambda t: (round(length_of(graph, t), 6), t),
    )


def length_of(graph: Graph, tree: Iterable[Edge]) -> float:
    return math.fsum(graph[a][b] for a, b in tree)


def exact(graph: Graph, terminals: list[int]) -> set[Edge]:
    """Dreyfus and Wagner: the best tree for every set of terminals and every node it is rooted at."""
    root, others = terminals[-1], terminals[:-1]
    whole = (1 << len(others)) - 1
    cost: list[dict[int, float]] = [{} for _ in range(whole + 1)]
    how: list[dict[int, tuple[int, int]]] = [{} for _ in range(whole + 1)]  # (node before, 0) or (-1, part)
    for part in range(1, whole + 1):
        here, from_ = cost[part], how[part]
        if part & (part - 1) == 0:
            here[others[part.bit_length() - 1]] = 0.0
        else:
            sub = (part - 1) & part
            while sub > part ^ sub:
                one, two = cost[sub], cost[part ^ sub]
                for node, c in one.items():
                    both = c + two.get(node, math.inf)
                    if both < here.get(node, math.inf) - SAME_MM:
                        here[node], from_[node] = both, (-1, sub)
                sub = (sub - 1) & part
        queue = sorted((c, n) for n, c in here.items())
        done: set[int] = set()
        while queue:
            c, node = heapq.heappop(queue)
            if node in done:
                continue
            done.add(node)
            for other, length in graph[node].items():
                if c + length < here.get(other, math.inf) - SAME_MM:
                    here[other], from_[other] = c + length, (node, 0)
                    heapq.heappush(queue, (c + length, other))
    tree: set[Edge] = set()
    todo = [(whole, root)]
    while todo:
        part, node = todo.pop()
        if node not in how[part]:
            continue
        before, sub = how[part][node]
        if before < 0:
            todo += [(sub, node), (part ^ sub, node)]
        else:
            tree.add(edge(before, node))
            todo.append((part, before))
    return tree


def _grown(graph: Graph, terminals: list[int], start: int) -> set[Edge]:
    """From ``start``, the terminal nearest to the tree is joined to it, again and again."""
    tree: set[Edge] = set()
    inside = {start}
    missing = set(terminals) - inside
    far: dict[int, float] = {start: 0.0}
    before: dict[int, int] = {}
    queue: list[tuple[float, int]] = [(0.0, start)]
    while missing:
        d, node = heapq.heappop(queue)
        if d > far[node] + SAME_MM:
            continue
        if node in missing:
            missing.discard(node)
            for n in way(before, node):
                if n not in inside:
                    tree.add(edge(before[n], n))
                    inside.add(n)
                    far[n] = 0.0
                    heapq.heappush(queue, (0.0, n))
                before.pop(n, None)
            continue
        for other, length in graph[node].items():
            if d + length < far.get(other, math.inf) - SAME_MM:
                far[other], before[other] = d + length, node
                heapq.heappush(queue, (d + length, other))
    return tree


def improved(graph: Graph, keep: frozenset[int], tree: Iterable[Edge]) -> set[Edge]:
    """The tree after every step that shortens it: in one go, or a large one window by window."""
    best = tidied(graph, {n for e in tree for n in e}, keep)
    if len(best) <= WINDOW:
        return _improved(graph, keep, best)
    made: set[Edge] = set()
    for window in windows(best):
        ends = {n for e in window for n in e}
        outside = {n for e in best - window for n in e}
        made |= _improved(graph, frozenset(ends & (keep | outside)), window)
    return tidied(graph, {n for e in made for n in e}, keep)


def windows(tree: set[Edge]) -> list[set[Edge]]:
    """A tree cut into connected pieces of at most ``WINDOW`` edges, one after another from one end."""
    links = links_of(tree)
    left = set(tree)
    starts = [min(n for n, near in links.items() if len(near) == 1)]
    found = []
    while starts:
        piece: set[Edge] = set()
        todo = deque([starts.pop()])
        while todo:
            a = todo.popleft()
            fresh = [b for b in sorted(links[a]) if edge(a, b) in left]
            if piece and fresh and len(piece) + len(fresh) > WINDOW:
                starts.append(a)
                continue
            for b in fresh:
                left.discard(edge(a, b))
                piece.add(edge(a, b))
                todo.append(b)
        if piece:
            found.append(piece)
    return found


def _improved(graph: Graph, keep: frozenset[int], tree: set[Edge]) -> set[Edge]:
    best = tidied(graph, {n for e in tree for n in e}, keep)
    while True:
        before = length_of(graph, best)
        best = _exchanged(graph, keep, best)
        best = _put_in(graph, keep, best)
        best = _left_out(graph, keep, best)
        if length_of(graph, best) > before - 1e-6:
            return best


def tidied(graph: Graph, nodes: set[int], keep: frozenset[int]) -> set[Edge]:
    """The shortest tree on these nodes, without ends that are no terminals. Empty: they are not joined."""
    start = min(nodes)
    inside = {start}
    queue = [(length, start, o) for o, length in graph[start].items() if o in nodes]
    heapq.heapify(queue)
    tree: set[Edge] = set()
    while queue:
        _, a, b = heapq.heappop(queue)
        if b in inside:
            continue
        inside.add(b)
        tree.add(edge(a, b))
        for other, length in graph[b].items():
            if other in nodes and other not in inside:
                heapq.heappush(queue, (length, b, other))
    if not keep <= inside:
        return set()
    links = links_of(tree)
    ends = [n for n in sorted(links) if len(links[n]) == 1 and n not in keep]
    while ends:
        end = ends.pop()
        (other,) = links.pop(end)
        links[other].discard(end)
        tree.discard(edge(end, other))
        if len(links[other]) == 1 and other not in keep:
            ends.append(other)
    return tree


def links_of(tree: Iterable[Edge]) -> Links:
    links: Links = {}
    for a, b in tree:
        links.setdefault(a, set()).add(b)
        links.setdefault(b, set()).add(a)
    return links


def key_paths(tree: Iterable[Edge], keep: frozenset[int]) -> list[list[int]]:
    """Stretches between branchings and terminals, as nodes, in a fixed order."""
    links = links_of(tree)
    ends = {n for n, near in links.items() if n in keep or len(near) != 2}
    paths = []
    for start in sorted(ends):
        for step in sorted(links[start]):
            path = [start, step]
            while path[-1] not in ends:
                path.append(next(n for n in sorted(links[path[-1]]) if n != path[-2]))
            if path[0] < path[-1] or (path[0] == path[-1] and path[1] < path[-2]):
                paths.append(path)
    return paths


def _exchanged(graph: Graph, keep: frozenset[int], tree: set[Edge]) -> set[Edge]:
    """Every key path replaced by the shortest way between the two parts it joins."""
    links = links_of(tree)
    for path in key_paths(tree, keep):
        edges = {edge(a, b) for a, b in itertools.pairwise(path)}
        if not edges <= tree:
            continue
        long = length_of(graph, edges)
        side = _part(links, path[0], path[1])
        other = frozenset(_part(links, path[-1], path[-2]))
        if len(side) > len(other):
            side, other = set(other), frozenset(side)
        reached, before = spread(graph, side, long - 1e-6, other)
        hit = next((n for n in reversed(reached) if n in other), None)
        if hit is not None:
            new = way(before, hit)
            tree = (tree - edges) | {edge(a, b) for a, b in itertools.pairwise(new)}
            tree = tidied(graph, {n for e in tree for n in e}, keep)
            links = links_of(tree)
    return tree


def _part(links: Links, start: int, cut: int) -> set[int]:
    """What hangs together with ``start`` when the edge from there to ``cut`` is taken away."""
    seen, todo = {start, cut}, [start]
    while todo:
        new = links[todo.pop()] - seen
        seen |= new
        todo += new
    seen.discard(cut)
    return seen


def _put_in(graph: Graph, keep: frozenset[int], tree: set[Edge]) -> set[Edge]:
    """A node beside at least three of the tree is put in where that pays."""
    nodes = {n for e in tree for n in e}
    long = length_of(graph, tree)
    beside: dict[int, int] = {}
    for n in nodes:
        for other in graph[n]:
            if other not in nodes:
                beside[other] = beside.get(other, 0) + 1
    links = links_of(tree)
    for node in sorted(n for n, count in beside.items() if count >= 3):
        if _gain(graph, links, node) <= 1e-6:
            continue
        new = tidied(graph, nodes | {node}, keep)
        if new and length_of(graph, new) < long - 1e-6:
            tree, long = new, length_of(graph, new)
            nodes = {n for e in tree for n in e}
            links = links_of(tree)
    return tree


def _gain(graph: Graph, links: Links, node: int) -> float:
    """What joining a new node to its nearest and to each other neighbour in turn saves at most."""
    near = sorted((length, o) for o, length in graph[node].items() if o in links)
    if len(near) < 3:
        return 0.0
    longest: dict[int, float] = {near[0][1]: 0.0}  # on the way from the nearest, the longest edge
    missing = {o for _, o in near[1:]}
    todo = deque([near[0][1]])
    while missing:
        a = todo.popleft()
        for b in links[a]:
            if b not in longest:
                longest[b] = max(longest[a], graph[a][b])
                missing.discard(b)
                todo.append(b)
    return sum(max(0.0, longest.get(o, 0.0) - length) for length, o in near[1:]) - near[0][0]


def _left_out(graph: Graph, keep: frozenset[int], tree: set[Edge]) -> set[Edge]:
    """A branching that is no terminal is left out where the rest joins up shorter without it."""
    links = links_of(tree)
    for node in sorted(links.keys() - keep):
        if len(links.get(node, ())) < 3:
            continue
        pieces = [_part(links, start, node) for start in sorted(links[node])]
        kept = {e for e in tree if node not in e}
        new = set(kept)
        while len(pieces) > 1:
            side = pieces.pop(0)
            others = frozenset(n for p in pieces for n in p)
            reached, before = spread(graph, side, until=others)
            hit = next((n for n in reversed(reached) if n in others), None)
            if hit is None:
                break
            path = way(before, hit)
            new |= {edge(a, b) for a, b in itertools.pairwise(path)}
            joined = next(p for p in pieces if hit in p)
            joined |= side | set(path)
        if len(pieces) > 1:
            continue
        new = tidied(graph, {n for e in new for n in e}, keep)
        if new and length_of(graph, new) < length_of(graph, tree) - 1e-6:
            tree, links = new, links_of(new)
    return tree
