"""The contract for plugin authors: a good stage passes, and each kind of bad one is caught."""

from __future__ import annotations

import itertools

import msgspec
import pytest

from boardwright import All, Notes, Section, stage
from boardwright.testing import StageContract, call


class Sizes(Section, frozen=True, kw_only=True, table="sizes"):
    factor: float = 2.0


class Thing(msgspec.Struct, frozen=True):
    size: float


class Sum(msgspec.Struct, frozen=True):
    size: float


@stage()
def good(things: All[Thing], settings: Sizes, notes: Notes) -> Sum:
    notes.caution("BW-TOY-001", "look at it", mend="Look.")
    return Sum(settings.factor * sum(things[n].size for n in sorted(things)))


class TestGoodStage(StageContract):
    stage = staticmethod(good)

    def arguments(self) -> dict[str, object]:
        return {"things": {"a": Thing(1.0), "b": Thing(2.0)}, "settings": Sizes()}


def test_call_gives_the_answer_and_what_was_read() -> None:
    answer, worked = call(good, things={"a": Thing(1.5)}, settings=Sizes(factor=4.0))
    assert answer == Sum(6.0)  # 4 × 1.5
    assert worked.reads == {"sizes.factor": "4.0"}
    assert [f.code for f in worked.findings] == ["BW-TOY-001"]


_counter = itertools.count()


@stage()
def remembers(things: All[Thing]) -> Sum:
    return Sum(float(next(_counter)))


@stage()
def order_matters(things: All[Thing]) -> Sum:
    return Sum(next(iter(things.values())).size)


@stage()
def changes_its_argument(things: All[Thing]) -> Sum:
    assert isinstance(things, dict)
    things.pop("a", None)
    return Sum(0.0)


@stage()
def wrong_type(things: All[Thing]) -> Sum:
    return "no sum"  # type: ignore[return-value]  # the defect to be caught


@stage()
def no_mend(things: All[Thing], notes: Notes) -> Sum:
    notes.fault("BW-TOY-002", "it is wrong")
    return Sum(0.0)


@pytest.mark.parametrize(
    ("bad", "test"),
    [
        (remembers, "test_twice_the_same"),
        (order_matters, "test_order_of_boards_does_not_matter"),
        (changes_its_argument, "test_arguments_are_left_alone"),
        (wrong_type, "test_answer_is_what_the_annotation_says"),
        (no_mend, "test_findings_say_what_to_do"),
    ],
)
def test_each_breach_is_caught(bad: object, test: str) -> None:
    class Contract(StageContract):
        stage = staticmethod(bad)  # type: ignore[arg-type]  # any marked function

        def arguments(self) -> dict[str, object]:
            return {"things": {"a": Thing(1.0), "b": Thing(2.0)}}

    with pytest.raises(AssertionError):
        getattr(Contract(), test)()
