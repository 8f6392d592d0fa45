"""What would run and why, without running anything.

A foresight walks like a run, but where a run would call a stage it writes down the reason, and what depends
on that stage *waits*: whether it runs is known only when the answer is there (it may come out as before).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from .. import canon
from ..stages import Input, Reads, Stage
from .difference import differences
from .keys import Key
from .outcome import LAYOUT
from .run import Run, Unit
from .store import Step
from .work import Worked

_PARTS = {
    "version": "the stage's version number changed",
    "code": "the code of the stage, or of something it imports, changed",
    "libraries": "the version of Python, of a library or of a plugin changed",
}


class Reason(msgspec.Struct, frozen=True):
    """Why one item would run (``waits`` False), or what it waits for and the ``roots`` of that.

    ``parts`` is for a developer: parts of the key that differ, old and new.
    """

    stage: str
    item: str
    waits: bool
    says: tuple[str, ...]
    parts: tuple[tuple[str, str, str], ...] = ()
    roots: tuple[str, ...] = ()


class Foresight(Run):
    """``reasons`` holds every item that would run or waits, in run order; everything else would be reused."""

    def look(self) -> list[Reason]:
        self._before = self._store.last_walk()
        self._boards_before = tuple(sorted({item for _, item in self._before if item != LAYOUT}))
        self.reasons: list[Reason] = []
        stages = self._catalogue.stages
        for s in stages:
            self._look_at(s)
        gone = [b for b in self._boards_before if b not in self._items]
        if self._items_known:
            self.reasons += [Reason("boards", b, False, (f"board {b} is gone",)) for b in gone]
        return self.reasons

    @property
    def boards(self) -> tuple[str, ...]:
        """Boards as they are now or, while that is not known, as they were in the last walk."""
        return self._items

    @property
    def _items_known(self) -> bool:
        return bool(self._neighbours)

    def _look_at(self, s: Stage) -> None:
        if s.each and not self._items_known:
            self._items = self._boards_before
        self._batch(s)

    def _has(self, i: Input, item: str) -> bool:
        """As in a run, but of many none may be missing: what is unknown now would be there in a run."""
        known = self._items_known or i.reads not in (Reads.ALL, Reads.NEAR)
        if i.reads is Reads.ALL:
            return known and all((i.type, b) in self.outcome.values for b in self._items)
        return known and super()._has(i, item)

    def _compute(self, todo: Mapping[Unit, Key]) -> Iterator[tuple[Unit, Worked]]:
        """Where a run would call the stages: write down why, call nothing."""
        for (s, item), key in todo.items():
            before = self._before.get((s.name, item))
            says = self._reason(s, item, key, before) if before else ["it has never run here"]
            self.reasons.append(Reason(s.name, item, False, tuple(says), _pairs(key, before)))
        return iter(())

    def _not_built(self, s: Stage, item: str, missing: list[Input]) -> None:
        """Something it needs would run: name it, and what is at the root of that."""
        needs = sorted({self._maker_name(i) for i in missing})
        roots: dict[str, None] = {}
        for r in self.reasons:
            if (r.stage in needs and r.item in (item, LAYOUT)) or (r.stage in needs and item == LAYOUT):
                roots.update(dict.fromkeys(r.roots if r.waits else r.says))
        says = f"if {', '.join(needs)} come out otherwise"
        self.reasons.append(Reason(s.name, item, True, (says,), roots=tuple(roots)))

    def _maker_name(self, i: Input) -> str:
        maker = self._catalogue.maker(i.type)
        return maker.name if maker else i.type.__name__

    def _reason(self, s: Stage, item: str, key: Key, before: Step) -> list[str]:
        says = [text for part, text in _PARTS.items() if before.parts.get(part) != key.parts.get(part)]
        for name, value in before.reads.items():
            now = self._settings_now.get(name)
            if now != value:
                says.append(f"setting {name} was {value}, is {now}")
        for i in s.inputs:
            old, new = before.parts.get(i.name), key.parts.get(i.name)
            if old == new or old is None or new is None:
                continue
            if i.reads is Reads.ONE:
                says += self._differences(old, self._one(i, item).digest)
            elif i.reads in (Reads.ALL, Reads.NEAR):
                says += self._many_differences(old, new)
        return says or ["its stored result is damaged or was tidied away"]

    def _many_differences(self, old: str, new: str) -> list[str]:
        before, now = json.loads(old), json.loads(new)
        says = [f"board {b} is new" for b in now if b not in before]
        says += [f"board {b} is gone" for b in before if b not in now]
        for b in now:
            if b in before and before[b] != now[b]:
                says += [f"board {b}: {text}" for text in self._differences(before[b], now[b])]
        return says

    def _differences(self, old: str, new: str) -> list[str]:
        before, now = self._plain(old), self._plain(new)
        if before is None or now is None:
            return ["an input changed (what it was before is no longer stored)"]
        return differences(before, now) or ["only places in files changed"]

    def _plain(self, digest: str) -> Any:
        data = self._store.blob(digest)
        if data is None:
            data = next((v.data for v in self.outcome.values.values() if v.digest == digest), None)
        return None if data is None else canon.decode(data, Any)


def _pairs(key: Key, before: Step | None) -> tuple[tuple[str, str, str], ...]:
    """Key parts that differ: name, old, new."""
    old = before.parts if before else {}
    return tuple((n, old.get(n, "–"), v) for n, v in sorted(key.parts.items()) if old.get(n) != v)
