"""Which old part can serve as which new one: the most that can, and none that must be sawn again.

Claim: what must not be touched is not touched, and of the rest as much is kept as can be. First a part of the
same number and shape stays what it is; then equal shapes serve for each other, those of one board first;
then, among parts sawn alike, as many as possible become others by drilling alone (a maximum matching); holes
that are no longer wanted stay unused.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from boardwright_timber.likeness import NO_WORK, corners, work_on
from boardwright_timber.model import Part

type Pair = tuple[Part, Part]
type Kind = tuple[str, int, int]


def matched(before: Iterable[Part], after: Iterable[Part]) -> list[Pair]:
    """Pairs of an old and a new part; each is in one pair at most."""
    old = {p.id: p for p in sorted(before, key=lambda p: p.id)}
    new = {p.id: p for p in sorted(after, key=lambda p: p.id)}
    pairs: list[Pair] = []

    def keep(a: Part, b: Part) -> None:
        pairs.append((a, b))
        del old[a.id], new[b.id]

    for name in [n for n in old if n in new and work_on(old[n], new[n]) == NO_WORK]:
        keep(old[name], new[name])
    for same_board in (True, False):
        waiting = defaultdict(list)
        for part in new.values():
            waiting[_kind(part), part.board if same_board else ""].append(part)
        for part in list(old.values()):
            offers = waiting[_kind(part), part.board if same_board else ""]
            fits = next((b for b in offers if b.id in new and work_on(part, b) == NO_WORK), None)
            if fits:
                keep(part, fits)
    for a, b in _drilled_on(list(old.values()), list(new.values())):
        keep(a, b)
    return pairs


def _kind(part: Part) -> Kind:
    """What two parts must have in common before it is worth looking closer."""
    return part.material, len(corners(part.ring)), len(part.openings)


def _drilled_on(old: list[Part], new: list[Part]) -> list[Pair]:
    """Pairs of which the old becomes the new by drilling, as many as there can be; same numbers first."""
    import networkx as nx

    graph = nx.Graph()
    alike = defaultdict(list)
    for part in new:
        alike[_kind(part)].append(part)
    for a in old:
        for b in alike[_kind(a)]:
            work = work_on(a, b)
            if work is not None:
                cost = 4 * (work.drill + work.unused) + 2 * (a.board != b.board) + (a.id != b.id)
                graph.add_edge(("old", a.id), ("new", b.id), weight=cost)
    was, now = {a.id: a for a in old}, {b.id: b for b in new}
    found = []
    for some in nx.connected_components(graph):
        for ends in nx.min_weight_matching(graph.subgraph(sorted(some))):
            (_, b), (_, a) = sorted(ends)  # "new" sorts before "old"
            found.append((was[a], now[b]))
    return sorted(found, key=lambda pair: pair[0].id)
