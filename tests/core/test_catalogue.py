"""Plugins that do not fit together are refused before anything runs, naming both."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from boardwright import All, Files, FindingList, Items, Near, output, stage
from boardwright.catalogue import arrange
from boardwright.errors import PluginError
from boardwright.plan.model import TrackPlan
from boardwright.stages import wire


class A(msgspec.Struct, frozen=True):
    pass


class B(msgspec.Struct, frozen=True):
    pass


@stage()
def make_a(plan: TrackPlan) -> A:
    return A()


@stage(name="other_a")
def make_a_again(plan: TrackPlan) -> A:
    return A()


@stage(name="b")
def make_b_from_a(a: A) -> B:
    return B()


@stage(name="a_from_b")
def make_a_from_b(b: B) -> A:
    return A()


@stage(name="boards", items=True)
def make_items(plan: TrackPlan) -> Items[A]:
    return {}


@stage(name="whole")
def reads_one_of_many(a: A) -> B:
    return B()


@stage(name="near")
def near_without_each(a: Near[A]) -> B:
    return B()


@stage(name="all_of_one")
def all_of_single(a: All[A]) -> B:
    return B()


@stage(name="early")
def asks_findings(found: FindingList) -> B:
    return B()


def refused(*functions: Callable[..., Any]) -> list[str]:
    with pytest.raises(PluginError) as error:
        arrange([wire(f, f"plugin-{i}") for i, f in enumerate(functions)])
    return [f"{f.code} {f.says}" for f in error.value.findings]


def test_order_follows_the_artefacts_not_the_order_offered() -> None:
    assert [s.name for s in arrange([wire(make_b_from_a), wire(make_a)]).stages] == ["make_a", "b"]


def test_two_makers_name_both() -> None:
    (says,) = refused(make_a, make_a_again)
    assert says.startswith("BW-PLUG-008")
    assert "make_a " in says
    assert "make_a_again" in says


def test_same_name_twice() -> None:
    assert any(s.startswith("BW-PLUG-007") for s in refused(make_a, make_a))


def test_missing_maker() -> None:
    (says,) = refused(make_b_from_a)
    assert says.startswith("BW-PLUG-010")
    assert "needs A" in says


def test_cycle_prints_the_loop() -> None:
    (says,) = refused(make_b_from_a, make_a_from_b)
    assert says.startswith("BW-PLUG-011")
    assert "a_from_b → b → a_from_b" in says or "b → a_from_b → b" in says


@pytest.mark.parametrize(
    ("maker", "reader", "word"),
    [
        (make_items, reads_one_of_many, "use All"),
        (make_items, near_without_each, "neighbours"),
        (make_a, all_of_single, "once a layout"),
        (make_a, asks_findings, "only outputs"),
    ],
)
def test_wrong_kind_of_input(maker: Callable[..., Any], reader: Callable[..., Any], word: str) -> None:
    assert any(word in s for s in refused(maker, reader))


def test_every_problem_is_told_at_once() -> None:
    assert len(refused(make_a, make_a_again, near_without_each)) == 2


def test_unmarked_and_unannotated_functions_are_refused() -> None:
    def plain(plan: TrackPlan) -> A:
        return A()

    @stage()
    def half(plan) -> A:  # type: ignore[no-untyped-def]  # the missing annotation is what is tested
        return A()

    @output()
    def wrong(a: A) -> A:
        return a

    @stage()
    def strange(a: A) -> Items[B]:
        return {}

    @stage(each=True)
    def boards_of_a_board(a: A) -> All[B]:
        return {}

    for function, code in (
        (boards_of_a_board, "BW-PLUG-003"),
        (strange, "BW-PLUG-003"),
        (plain, "BW-PLUG-001"),
        (half, "BW-PLUG-002"),
        (wrong, "BW-PLUG-004"),
    ):
        with pytest.raises(PluginError) as error:
            wire(function)
        assert error.value.findings[0].code == code


def test_replacing_takes_the_place() -> None:
    @stage(name="club_a", replaces="make_a")
    def club(plan: TrackPlan) -> A:
        return A()

    assert [s.name for s in arrange([wire(make_a), wire(make_b_from_a), wire(club)]).stages] == [
        "club_a",
        "b",
    ]


def test_replacing_must_make_sense() -> None:
    @stage(name="x", replaces="nothing")
    def nobody(plan: TrackPlan) -> A:
        return A()

    @stage(name="y", replaces="make_a")
    def other_thing(plan: TrackPlan) -> B:
        return B()

    @stage(name="z", replaces="make_a")
    def first(plan: TrackPlan) -> A:
        return A()

    @stage(name="z2", replaces="make_a")
    def second(plan: TrackPlan) -> A:
        return A()

    for functions, word in (
        ((make_a, nobody), "nobody supplies"),
        ((make_a, other_thing), "does not make the same"),
        ((make_a, first, second), "both replace"),
    ):
        (says,) = refused(*functions)
        assert says.startswith("BW-PLUG-016")
        assert word in says


def test_output_answers_files() -> None:
    @output()
    def good(a: A) -> Files:
        return Files(files={})

    assert wire(good).output
