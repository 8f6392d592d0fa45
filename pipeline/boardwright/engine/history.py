"""What the last pack did anew, and why: the last walk beside the one before it. Nothing is run or read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from .. import canon
from ..stages import Stage
from .outcome import LAYOUT
from .reasons import Reason, because, pairs
from .store import Store


def last_changes(stages: Iterable[Stage], store: Store) -> list[Reason]:
    """Every item that went by other inputs than in the walk before, in the order of ``stages``.

    Empty when there was no walk before. An item that was gone for a while counts as new.
    """
    before, last = store.walk_before(), store.last_walk()
    if not before:
        return []

    def plain(digest: str) -> Any:
        data = store.blob(digest)
        return None if data is None else canon.decode(data, Any)

    reasons = []
    for s in stages:
        for item in sorted({i for name, i in last if name == s.name}):
            now, then = last[s.name, item], before.get((s.name, item))
            if then is None:
                says = [f"board {item} is new" if item != LAYOUT else "it had not run here"]
            elif now == then:
                continue
            else:
                says = because(s, then, now.parts, now.reads, plain)
            reasons.append(Reason(s.name, item, False, tuple(says), pairs(now.parts, then)))
    boards = [{item for _, item in walk if item != LAYOUT} for walk in (before, last)]
    gone = sorted(boards[0] - boards[1])
    return reasons + [Reason("boards", b, False, (f"board {b} is gone",)) for b in gone]
