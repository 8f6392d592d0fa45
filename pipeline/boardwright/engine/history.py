"""What the last pack did anew, and why: the last walk beside the one before it. Nothing is run or read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import msgspec

from .. import canon
from ..stages import Input, Reads, Stage
from .outcome import LAYOUT
from .reasons import Reason, because, pairs
from .store import Store


def last_changes(stages: Iterable[Stage], store: Store) -> list[Reason]:
    """Every item that went by other inputs than in the walk before, in the order of ``stages``.

    The ``roots`` of a reason are what changed outside of the stages: files, settings, code. Empty when there
    was no walk before. An item that was gone for a while counts as new.
    """
    before, last = store.walk_before(), store.last_walk()
    if not before:
        return []

    def plain(digest: str) -> Any:
        data = store.blob(digest)
        return None if data is None else canon.decode(data, Any)

    stages = list(stages)
    made = {s.makes for s in stages}
    reasons = []
    for s in stages:
        given = msgspec.structs.replace(s, inputs=tuple(i for i in s.inputs if _is_given(i, made)))
        for item in sorted({i for name, i in last if name == s.name}):
            now, then = last[s.name, item], before.get((s.name, item))
            roots: list[str] = []
            if then is None:
                says = [f"board {item} is new" if item != LAYOUT else "it had not run here"]
            elif now == then:
                continue
            else:
                says = because(s, then, now.parts, now.reads, plain)
                roots = [r for r in because(given, then, now.parts, now.reads, plain) if r in says]
            reasons.append(Reason(s.name, item, False, tuple(says), pairs(now.parts, then), tuple(roots)))
    boards = [{item for _, item in walk if item != LAYOUT} for walk in (before, last)]
    gone = sorted(boards[0] - boards[1])
    return reasons + [Reason("boards", b, False, (f"board {b} is gone",)) for b in gone]


def _is_given(i: Input, made: set[Any]) -> bool:
    """No stage makes it, and it does not only repeat what others read."""
    return i.type not in made and i.reads is Reads.ONE
