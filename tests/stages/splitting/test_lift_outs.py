"""Lift-outs stand back from their joints by the working clearance, and all that is made of them with it."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from boardwright.plan.model import DrawnJoint, LiftOut, Outline
from boardwright_stages.splitting.settings import LiftOutSpot

SHELF = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 500.0), (0.0, 500.0))
MARK = (LiftOut(id="L1", x_mm=1400, y_mm=250),)


def joints(lean: float = 0.0) -> tuple[DrawnJoint, ...]:
    return (
        DrawnJoint(id="D1", start=(1000, 0), end=(1000, 500)),
        DrawnJoint(id="D2", start=(1900, 0), end=(1900 + lean, 500)),
    )


def lift_out(made: Any) -> Any:
    (board,) = [b for b in made.boards if b.lift_out]
    return board


@pytest.mark.parametrize("clear", [0.0, 1.0, 2.5])
def test_it_is_shorter_by_the_clearance_at_both_ends(plan_of: Any, cut: Any, clear: float) -> None:
    made, _ = cut(plan_of(SHELF, drawn_joints=joints(), lift_outs=MARK), lift_out_clear_mm=clear)
    board = lift_out(made)
    assert board.clear_mm == clear
    assert (board.length_mm, board.width_mm) == (900 - 2 * clear, 500)
    assert min(x for x, _ in board.ring) == 1000 + clear
    others = sum(shapely.Polygon(b.ring).area for b in made.boards if not b.lift_out)
    assert others == pytest.approx(2100 * 500)  # its neighbours reach to the joints' lines
    assert ("stands back" in board.margins) == (clear > 0)


def test_a_slanted_joint_is_stood_back_square_to_itself(plan_of: Any, cut: Any) -> None:
    """The joint leans 200 on 500 mm: 2 mm square to it are 2 / cos(atan 0.4) = 2.15 mm along the edge."""
    made, _ = cut(plan_of(SHELF, drawn_joints=joints(200.0), lift_outs=MARK), lift_out_clear_mm=2.0)
    board = lift_out(made)
    along = 2.0 / math.cos(math.atan(0.4))
    assert max(x for x, y in board.ring if y == 0) == pytest.approx(1900 - along, abs=1e-5)
    slanted = max(board.joints, key=lambda j: j.length_mm)
    a, b = board.face(slanted)
    line = shapely.LineString((slanted.start, slanted.end))
    assert line.distance(shapely.Point(a)) == pytest.approx(2.0)
    assert shapely.Polygon(board.ring).distance(shapely.LineString((a, b))) == pytest.approx(0, abs=1e-5)


def test_joints_of_a_lift_out_say_so(plan_of: Any, cut: Any) -> None:
    """Nothing may be bolted through them, whichever of the two boards asks."""
    made, _ = cut(plan_of(SHELF, drawn_joints=joints(), lift_outs=MARK), max_length_mm=700.0)
    name = lift_out(made).id
    assert {j.lift_out for j in made.joints} == {True, False}
    assert all(j.lift_out == (name in j.boards) for j in made.joints)
    assert all(j.lift_out == (name in j.boards) for b in made.boards for j in b.joints)


def test_it_may_be_named_in_the_settings(plan_of: Any, cut: Any) -> None:
    made, findings = cut(plan_of(SHELF, drawn_joints=joints()), lift_outs=(LiftOutSpot(x_mm=1400, y_mm=250),))
    assert lift_out(made).length_mm == 898
    assert findings == []
    _, findings = cut(plan_of(SHELF), lift_outs=(LiftOutSpot(x_mm=-90, y_mm=0),))
    assert [f.code for f in findings] == ["BW-SPLIT-013"]


def test_a_layout_of_one_board_has_no_joint_to_stand_back_from(plan_of: Any, cut: Any) -> None:
    ring = ((0, 0), (900, 0), (900, 500), (0, 500))
    made, _ = cut(plan_of(ring, lift_outs=(LiftOut(id="L1", x_mm=400, y_mm=250),)))
    assert (lift_out(made).length_mm, lift_out(made).clear_mm) == (900, 0)


def test_a_joint_of_a_lift_out_that_is_not_drawn_is_told(plan_of: Any, cut: Any) -> None:
    """3000 mm part into 1000 mm each; drawn are both joints, that at the left end of the gap, or none."""
    for drawn, undrawn in ((joints(), 0), (joints()[:1], 1), ((), 2)):
        made, findings = cut(plan_of(SHELF, drawn_joints=drawn, lift_outs=MARK))
        board = lift_out(made)
        chosen = [j for j in board.joints if not j.drawn]
        assert len(chosen) == undrawn
        assert [(f.code, f.severity) for f in findings] == [("BW-SPLIT-020", "caution")] * (undrawn > 0)
        for finding in findings:
            assert f"Board {board.id} lifts out (mark L1)" in finding.says
            assert [p.item for p in finding.where] == [j.id for j in chosen]
            for j in chosen:
                assert f"{j.id} at ({j.start[0]:.0f}, 250)" in finding.says
            assert "joint line at each end" in finding.mend


@pytest.mark.parametrize("parts", [(1000.0, 1900.0), (1900.0,), (1000.0,)], ids=["both", "right", "left"])
def test_one_that_meets_another_outline_stands_back_there_too(
    plan_of: Any, cut: Any, parts: tuple[float, ...]
) -> None:
    """Drawn as an outline of its own, or parted from its neighbour on one side only."""
    stops = (0.0, *parts, 3000.0)
    outlines = tuple(
        Outline(id=f"O{n}", ring=((a, 0.0), (b, 0.0), (b, 500.0), (a, 500.0)))
        for n, (a, b) in enumerate(pairwise(stops), 1)
    )
    plan = replace(plan_of(SHELF, drawn_joints=joints(), lift_outs=MARK), outlines=outlines)
    made, _ = cut(plan, lift_out_clear_mm=2.0)
    board = lift_out(made)
    assert board.clear_mm == 2.0
    assert (min(x for x, _ in board.ring), max(x for x, _ in board.ring)) == (1002.0, 1898.0)
    assert (board.length_mm, board.width_mm) == (896.0, 500.0)
    assert len(board.joints) == 2
    assert all(j.lift_out for j in (*made.joints, *board.joints) if board.id in j.boards)
    area = sum(shapely.Polygon(b.ring).area for b in made.boards)
    assert area == pytest.approx((3000 - 4) * 500)
