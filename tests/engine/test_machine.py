"""Any sequence of edits: what the store gives is what a clean run gives, to the byte."""

from __future__ import annotations

import toy
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from boardwright.engine.store import Store

NAMES = st.sampled_from("abcde")


class Edits(RuleBasedStateMachine):
    """Boards are added, removed, resized, made to fail; settings change; the store is harmed and tidied."""

    def __init__(self) -> None:
        super().__init__()
        self.store = Store(None)
        self.sizes: dict[str, float] = {"a": 1.0}
        self.settings = toy.ToySettings()

    @rule(name=NAMES, size=st.sampled_from([0.0, 1.0, 2.5, 200.0, -1.0]))
    def put(self, name: str, size: float) -> None:
        self.sizes[name] = size

    @rule(name=NAMES)
    def remove(self, name: str) -> None:
        if len(self.sizes) > 1:
            self.sizes.pop(name, None)

    @rule(factor=st.sampled_from([1.0, 2.0, 3.0]), unread=st.sampled_from(["x", "y"]))
    def set(self, factor: float, unread: str) -> None:
        self.settings = toy.ToySettings(factor=factor, unread=unread)

    @rule()
    def harm(self) -> None:
        self.store._db.execute("UPDATE blobs SET data = x'00' WHERE rowid % 3 = 0")

    @rule()
    def tidy(self) -> None:
        self.store.tidy(0)

    @invariant()
    def equals_a_clean_run(self) -> None:
        kept = toy.run(self.store, toy.plan(**self.sizes), self.settings)
        clean = toy.run(Store(None), toy.plan(**self.sizes), self.settings)
        assert kept.files == clean.files
        assert kept.findings == clean.findings
        assert kept.not_built == clean.not_built
        again = toy.run(self.store, toy.plan(**self.sizes), self.settings)
        failing = sum(size < 0 for size in self.sizes.values())
        assert again.computed == 0
        assert len(again.defects) == failing


Edits.TestCase.settings = settings(max_examples=15, stateful_step_count=12, deadline=None, derandomize=True)
TestEdits = Edits.TestCase
