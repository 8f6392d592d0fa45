"""Differences are told as a modeller would."""

from __future__ import annotations

import pytest

from boardwright.engine.difference import differences

PM7 = {
    "id": "PM7",
    "x_mm": 812.0,
    "y_mm": 240.0,
    "length_mm": 60.0,
    "place": {"file": "plan.dxf", "handle": "2F1"},
}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            {"devices": [PM7]},
            {"devices": [{**PM7, "x_mm": 840.0}]},
            ["device PM7 moved from (812, 240) to (840, 240), plan.dxf handle 2F1"],
        ),
        ({"devices": [PM7]}, {"devices": []}, ["device PM7 is gone at (812, 240), plan.dxf handle 2F1"]),
        ({"devices": []}, {"devices": [PM7]}, ["device PM7 is new at (812, 240), plan.dxf handle 2F1"]),
        ({"devices": [PM7]}, {"devices": [{**PM7, "length_mm": 70.0}]}, ["device PM7 length was 60, is 70"]),
        ({"spacing_mm": 400.0}, {"spacing_mm": 350.0}, ["spacing was 400, is 350"]),
        ({"ring": [[0, 0], [1, 0]]}, {"ring": [[0, 0], [2, 0]]}, ["ring: 1 of 2 changed"]),
        ({"devices": [PM7]}, {"devices": [{**PM7, "place": {"file": "plan.dxf", "handle": "300"}}]}, []),
        ({"a": 1}, {"a": 1}, []),
    ],
)
def test_sentences(old: object, new: object, says: list[str]) -> None:
    assert differences(old, new) == says


def test_many_are_cut_short_and_counted() -> None:
    old = {"devices": [{"id": f"D{i}", "x_mm": 0.0, "y_mm": 0.0} for i in range(9)]}
    new = {"devices": [{"id": f"D{i}", "x_mm": 1.0, "y_mm": 0.0} for i in range(9)]}
    told = differences(old, new, limit=4)
    assert len(told) == 5
    assert told[-1] == "and 5 more changes"
