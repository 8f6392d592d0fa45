"""The three layouts of ``fixtures/``, read and split as a user would."""

from __future__ import annotations

from typing import Any

import pytest

from boardwright import Severity


@pytest.mark.parametrize(
    ("case", "most"), [("exhibition-module", 1), ("branch-terminus", 6), ("shed-three-walls", 8)]
)
def test_a_fixture_is_split_without_fault(cut: Any, read: Any, case: str, most: int) -> None:
    """``most``: as many boards as a builder would make by hand; every joint free of turnouts and devices."""
    plan, wanted = read(case)
    made, findings = cut(plan, **wanted)
    assert len(made.boards) <= most
    assert [f.code for f in findings if f.severity in (Severity.FAULT, Severity.CAUTION)] == []


def test_the_lift_out_of_the_shed_is_freed_by_its_drawn_joints(cut: Any, read: Any) -> None:
    plan, wanted = read("shed-three-walls")
    made, _ = cut(plan, **wanted)
    (lift_out,) = [b for b in made.boards if b.lift_out]
    assert [j.drawn for j in lift_out.joints] == [True, True]
