"""`why` names what would run and the reason, and runs nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
import toy

from boardwright.cli.why import in_short
from boardwright.engine.asked import fingerprint
from boardwright.engine.history import last_changes
from boardwright.engine.reasons import because
from boardwright.engine.store import Step, Store
from boardwright.stages import wire


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = Store(tmp_path / "store.sqlite")
    toy.run(store, toy.plan(a=1, b=2))
    return store


def told(reasons: list[toy.Reason]) -> dict[str, str]:
    return {
        f"{r.stage}@{r.item}".rstrip(
            "@"
        ): f"{'waits' if r.waits else 'runs'}: {'; '.join((*r.says, *(r.roots if r.waits else ())))}"
        for r in reasons
    }


def test_nothing_changed_nothing_would_run(store: Store) -> None:
    assert toy.foresee(store, toy.plan(a=1, b=2)) == []
    assert toy.CALLS == []


def test_a_changed_plan_is_told_in_words(store: Store) -> None:
    reasons = told(toy.foresee(store, toy.plan(a=1, b=5)))
    assert reasons["names"] == "runs: outline b level was 2, is 5"
    assert reasons["items"] == "waits: if names changes; outline b level was 2, is 5"
    assert reasons["grown@a"].startswith("waits")
    assert toy.CALLS == []


def test_a_changed_setting_names_the_stage_and_the_values(store: Store) -> None:
    reasons = told(toy.foresee(store, toy.plan(a=1, b=2), toy.ToySettings(factor=3.0)))
    assert reasons["grown@a"] == "runs: setting toy.factor was 2.0, is 3.0"
    assert reasons["pair@a"] == "waits: if grown changes; setting toy.factor was 2.0, is 3.0"
    assert "names" not in reasons


def test_a_setting_kept_by_its_digest_tells_no_digest() -> None:
    before, now = (
        {"toy.door": fingerprint([{"name": "door", "width_mm": w} for w in (600, 700, last)])}
        for last in (800, 900)
    )
    says = because(wire(toy.names), Step({}, before), {}, now, lambda digest: None)
    assert says == ["setting toy.door changed"]


def test_a_board_that_is_gone_or_new_is_a_reason(store: Store) -> None:
    toy.run(store, toy.plan(a=1, b=2, c=3))
    toy.run(store, toy.plan(a=1, b=2))
    toy.run(store, toy.plan(a=1, b=2, c=3))
    reasons = told(toy.foresee(store, toy.plan(a=1, b=2)))
    # everything of a and b without c is stored: nothing would run, but c is gone
    assert reasons == {"boards@c": "runs: board c is gone"}
    reasons = told(toy.foresee(store, toy.plan(a=1, b=2, c=3, d=4)))
    assert reasons["names"].startswith("runs: outline d is new")


def test_never_ran(tmp_path: Path) -> None:
    fresh = Store(tmp_path / "other.sqlite")
    assert told(toy.foresee(fresh, toy.plan(a=1)))["names"] == "runs: it has never run here"


def test_what_the_last_pack_made_again_and_why(store: Store) -> None:
    stages = toy.catalogue().stages
    assert last_changes(stages, store) == []  # there was one pack only
    toy.run(store, toy.plan(a=1, b=5))
    reasons = told(last_changes(stages, store))
    assert reasons["names"] == "runs: outline b level was 2, is 5"
    assert reasons["grown@b"].startswith("runs: ")
    assert "grown@a" not in reasons
    changes = last_changes(stages, store)
    assert {root for r in changes for root in r.roots} == {"outline b level was 2, is 5"}
    assert in_short(changes, 80)[:3] == [
        "Changed since the pack before:",
        "  - outline b level was 2, is 5",
        "Made again because of it:",
    ]
    assert any(line.startswith("  board b: ") and "grown" in line for line in in_short(changes, 80))
    assert not any(line.startswith("  board a: ") and "grown" in line for line in in_short(changes, 80))
    toy.run(store, toy.plan(a=1, b=5))  # a pack with nothing changed explains nothing away
    assert told(last_changes(stages, store)) == reasons


def test_the_last_pack_tells_new_and_gone_boards_and_settings(store: Store) -> None:
    stages = toy.catalogue().stages
    toy.run(store, toy.plan(b=2, c=3), toy.ToySettings(factor=3.0))
    reasons = told(last_changes(stages, store))
    assert reasons["grown@c"] == "runs: board c is new"
    assert reasons["boards@a"] == "runs: board a is gone"
    assert "  board a: gone" in in_short(last_changes(stages, store), 80)
    assert "  - setting toy.factor was 2.0, is 3.0" in in_short(last_changes(stages, store), 80)
    assert reasons["grown@b"].startswith("runs: setting toy.factor was 2.0, is 3.0")
