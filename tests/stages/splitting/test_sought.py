"""What frees stuck pieces is searched for within one measure for the layout, largest piece first."""

from __future__ import annotations

from typing import Any

import pytest

from boardwright import Finding
from boardwright.plan.model import Device, Outline
from boardwright_stages.splitting import freeing, giving_way, sought
from boardwright_stages.splitting.search import Search

NOT_LOOKED = "What would free it was not looked for further"


def shelves(plan_of: Any, lengths: list[float]) -> Any:
    """Shelves 500 mm deep, one above the other, each with two devices 12 mm apart: a joint wants 20 mm."""
    outlines, devices = [], []
    for k, length in enumerate(lengths):
        low = 600.0 * k
        ring = ((0.0, low), (length, low), (length, low + 500), (0.0, low + 500))
        outlines.append(Outline(id=f"S{k}", ring=ring))
        for side, (left, right) in enumerate(((30.0, length / 2 - 6), (length / 2 + 6, length - 30))):
            size = {"length_mm": right - left - 20, "width_mm": 40.0, "depth_mm": 40.0, "clearance_mm": 10.0}
            name = f"M{k}{'ab'[side]}"
            devices.append(Device(id=name, kind="motor", x_mm=(left + right) / 2, y_mm=low + 250, **size))
    first, *more = outlines
    return plan_of(first.ring, outlines=tuple(more), devices=tuple(devices))


def searched(cut: Any, plan: Any) -> tuple[int, list[Finding]]:
    """How many searches splitting a plan takes, and what it tells of stuck pieces."""
    made = 0

    def counted(whole: Any) -> Any:
        def one(*args: Any, **more: Any) -> Any:
            nonlocal made
            made += 1
            return whole(*args, **more)

        return one

    with pytest.MonkeyPatch.context() as patch:
        for name in ("row", "run"):
            patch.setattr(Search, name, counted(getattr(Search, name)))
        for module, name in ((freeing, "parts"), (freeing, "likely_parts"), (giving_way, "solve")):
            patch.setattr(module, name, counted(getattr(module, name)))
        _, findings = cut(plan)
    return made, [f for f in findings if f.code == "BW-SPLIT-001"]


def test_the_more_pieces_are_stuck_the_less_each_is_looked_at(plan_of: Any, cut: Any) -> None:
    """Twelve more shelves than the measure is enough for cost the one search each that finds them stuck."""
    lengths = [2200.0 + 10 * k for k in range(10)]
    few, told = searched(cut, shelves(plan_of, lengths))
    unlooked = [NOT_LOOKED in f.mend for f in told]
    assert len(told) == 10
    assert unlooked == sorted(unlooked, reverse=True)  # named from below: the longest are on top
    assert 0 < sum(unlooked) < 10
    many, more = searched(cut, shelves(plan_of, [*[2100.0] * 12, *lengths]))
    assert len(more) == 22
    assert sum(NOT_LOOKED in f.mend for f in more) == 12 + sum(unlooked)
    assert many - few == 12


def test_a_piece_not_looked_at_is_told_no_more_than_is_known(
    plan_of: Any, cut: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The largest is told of as before; of the other what is in the way, but no move or size as tried."""
    plan = shelves(plan_of, [2200.0, 2290.0])
    _, (smaller, largest) = searched(cut, plan)
    assert smaller.mend.startswith("Move device M0")
    assert NOT_LOOKED not in smaller.mend + largest.mend
    monkeypatch.setattr(sought, "MOST_BOARDS", 1.0)
    _, (less, same) = searched(cut, plan)
    assert same == largest
    assert NOT_LOOKED in less.mend
    assert less.mend.startswith("Make room for joints (the best line alone needs device M0")
    assert "raise [splitting] max_length_mm or max_width_mm." in less.mend
    assert less.says.partition(". The lines")[2] == smaller.says.partition(". The lines")[2]
