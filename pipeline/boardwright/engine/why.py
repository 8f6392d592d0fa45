"""What would run and why, without running anything.

A foresight walks like a run, but where a run would call a stage it writes down the reason, and what depends
on that stage *waits*: whether it runs is known only when the answer is there (it may come out as before).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from .. import canon
from ..stages import Input, Reads, Stage
from .keys import Key
from .outcome import LAYOUT
from .reasons import Reason, because, pairs
from .run import Run, Unit
from .work import Worked


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
            says = (
                because(s, before, key.parts, self._settings_now, self._plain)
                if before
                else ["it has never run here"]
            )
            self.reasons.append(Reason(s.name, item, False, tuple(says), pairs(key.parts, before)))
        return iter(())

    def _not_built(self, s: Stage, item: str, missing: list[Input]) -> None:
        """Something it needs would run: name it, and what is at the root of that."""
        needs = sorted({self._maker_name(i) for i in missing})
        roots: dict[str, None] = {}
        for r in self.reasons:
            if (r.stage in needs and r.item in (item, LAYOUT)) or (r.stage in needs and item == LAYOUT):
                roots.update(dict.fromkeys(r.roots if r.waits else r.says))
        last = needs.pop()
        says = f"if {', '.join(needs)} or {last} change" if needs else f"if {last} changes"
        self.reasons.append(Reason(s.name, item, True, (says,), roots=tuple(roots)))

    def _maker_name(self, i: Input) -> str:
        maker = self._catalogue.maker(i.type)
        return maker.name if maker else i.type.__name__

    def _plain(self, digest: str) -> Any:
        data = self._store.blob(digest)
        if data is None:
            data = next((v.data for v in self.outcome.values.values() if v.digest == digest), None)
        return None if data is None else canon.decode(data, Any)
