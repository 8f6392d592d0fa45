"""Pieces of a stage's answer: only what changed is made again, and nothing else can be seen of it."""

from __future__ import annotations

import sqlite3
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from toy import Item, Names, ToySettings, items, names, plan

from boardwright import NO_MEMO, All, Files, Memo, output
from boardwright.engine.store import Store
from boardwright.plan.model import TrackPlan
from boardwright.testing import Bench, StageContract

MADE: list[str] = []


class Sign(msgspec.Struct, frozen=True):
    text: str


def sign(item: Item, settings: ToySettings) -> Sign:
    MADE.append(item.name)
    return Sign(f"{item.name} {item.size * settings.factor:g}")


@output()
def signs(names: Names, items: All[Item], settings: ToySettings, memo: Memo = NO_MEMO) -> Files:
    drawn = {name: memo.of(sign, item, settings) for name, item in items.items()}
    return Files(files={"pack.json": "; ".join(drawn[n].text for n in names.names).encode()})


def put(bench: Bench, **sizes: float) -> tuple[bytes, list[str]]:
    """What the output says of such a plan, and whose signs were made for it."""
    bench.put(names, items, signs)
    bench.plan = plan(**sizes)
    MADE.clear()
    return bench.run().files["pack.json"], list(MADE)


class TestSigns(StageContract):
    stage = staticmethod(signs)

    def arguments(self) -> dict[str, Any]:
        boards = {"a": Item("a", 1), "b": Item("b", 2)}
        return {"names": Names(("a", "b")), "items": boards, "settings": ToySettings()}


def test_only_the_piece_that_changed_is_made_again() -> None:
    with Bench() as bench:
        assert put(bench, a=1, b=2, c=3) == (b"a 2; b 4; c 6", ["a", "b", "c"])
        assert put(bench, a=1, b=5, c=3) == (b"a 2; b 10; c 6", ["b"])
        assert put(bench, a=1, c=3) == (b"a 2; c 6", ["a", "c"])  # neighbours now, without b


def test_a_piece_of_the_call_before_the_last_is_gone() -> None:
    with Bench() as bench:
        put(bench, a=1, b=2)
        put(bench, a=1, b=5)
        bench.versions = {"library": "2"}  # so that the result itself does not come back
        put(bench, a=1, b=5)
        assert put(bench, a=1, b=2) == (b"a 2; b 4", ["b"])


def test_a_setting_that_only_pieces_read_counts_when_they_are_found_too() -> None:
    with Bench() as bench:
        put(bench, a=1, b=2)
        put(bench, a=1, b=5)  # of a, nothing was read in this call
        bench.set(ToySettings(factor=3.0))
        assert put(bench, a=1, b=5) == (b"a 3; b 15", ["a", "b"])


def test_other_code_or_another_library_finds_no_piece() -> None:
    with Bench() as bench:
        put(bench, a=1, b=2)
        bench.versions = {"library": "2"}
        assert put(bench, a=1, b=2) == (b"a 2; b 4", ["a", "b"])


def test_pieces_go_to_workers_and_come_back() -> None:
    with Bench() as bench:
        put(bench, a=1, b=2)
        bench.plan = plan(a=1, b=5)
        assert bench.run(jobs=2).files["pack.json"] == b"a 2; b 10"
        assert put(bench, a=1, b=6) == (b"a 2; b 12", ["b"])


@pytest.mark.parametrize("damage", ["x'00'", "'text'", "substr(data, 2)"])
def test_damaged_pieces_are_absent(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "store.sqlite"
    with Bench(path) as bench:
        put(bench, a=1, b=2)
    with sqlite3.connect(path) as db:
        assert db.execute(f"UPDATE pieces SET data = {damage}").rowcount == 1
    db.close()
    with Bench(path) as bench:
        assert put(bench, a=1, b=5) == (b"a 2; b 10", ["a", "b"])


def test_tidying_forgets_pieces_of_what_is_no_longer_walked() -> None:
    store = Store(None)
    store.keep_pieces("gone", "", "it", {"k": b"x" * 1000})
    assert store.size_bytes() > 1000
    store.tidy(10**9)
    assert store.pieces("gone", "", "it") == {}
    assert store.size_bytes() == 0
    with Bench() as bench:
        put(bench, a=1, b=2)
        bench.store.tidy(0)
        assert put(bench, a=1, b=5) == (b"a 2; b 10", ["b"])
        assert put(bench, a=1, b=5) == (b"a 2; b 10", [])


def test_two_projects_in_one_folder_keep_their_own(tmp_path: Path) -> None:
    one, two = (Store(tmp_path / "store.sqlite", name) for name in ("one.toml", "two.toml"))
    one.keep_pieces("s", "", "it", {"k": b"1"})
    two.keep_pieces("s", "", "it", {"k": b"2"})
    assert (one.pieces("s", "", "it"), two.pieces("s", "", "it")) == ({"k": b"1"}, {"k": b"2"})
    one.close()
    two.close()


def kind_of(value: Decimal | float | str | None) -> str:
    return f"{type(value).__name__} {value}"


VALUES = st.one_of(
    st.decimals(allow_nan=False, allow_infinity=False, places=2),
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-5, 5).map(str),
    st.none(),
)


@given(st.lists(VALUES, max_size=8), st.lists(VALUES, max_size=8))
def test_whatever_is_kept_the_answers_are_the_same(before: list[Any], now: list[Any]) -> None:
    """A Decimal, a number and a text that are written alike are three arguments."""
    first = Memo({})
    assert [first.of(kind_of, v) for v in before] == list(map(kind_of, before))
    then = Memo(first.used)
    alike = [v for n in now for v in (n, Decimal(n) if isinstance(n, float) else n)]
    assert [then.of(kind_of, v) for v in alike] == list(map(kind_of, alike))


def test_alike_by_writing_are_told_apart() -> None:
    memo = Memo({})
    assert [memo.of(kind_of, v) for v in (Decimal("1.0"), 1.0, "1.0")] == [
        "Decimal 1.0",
        "float 1.0",
        "str 1.0",
    ]


class Priced(msgspec.Struct, frozen=True):
    label: str | Decimal


def untold(label) -> str:  # type: ignore[no-untyped-def]  # a plugin's author may leave it out
    return type(label).__name__


def told_as_object(*labels: object) -> str:
    return type(labels[0]).__name__


def deep(priced: tuple[Priced, ...]) -> str:
    return type(priced[0].label).__name__


def test_amounts_are_told_apart_wherever_they_can_stand() -> None:
    memo = Memo({})
    both = Decimal("1.0"), "1.0"
    for function in (untold, told_as_object):
        assert [memo.of(function, v) for v in both] == ["Decimal", "str"]
    assert [memo.of(deep, (Priced(v),)) for v in both] == ["Decimal", "str"]
    assert [memo.by((v,), untold, v) for v in both] == ["Decimal", "str"]


def test_arguments_that_cannot_be_stored_are_refused() -> None:
    with pytest.raises(TypeError):
        Memo({}).of(kind_of, object())  # type: ignore[arg-type]  # the point


def test_a_plan_is_a_plain_argument() -> None:
    """Called in a test with plain values, nothing is looked up or kept."""
    answer = signs(Names(("a",)), {"a": Item("a", 1)}, ToySettings())
    assert answer.files == {"pack.json": b"a 2"}
    assert not NO_MEMO.used
    assert isinstance(plan(a=1), TrackPlan)
