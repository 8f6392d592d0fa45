"""Names follow the layout, and a board's axes follow its edges."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from boardwright import Notes
from boardwright.plan.model import DrawnJoint
from boardwright_stages.splitting.axes import local_axes
from boardwright_stages.splitting.naming import joint_names, walk
from boardwright_stages.splitting.settings import NamedSpot, SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_timber.model import Splitting
from boardwright_timber.model.made import HeldJoints, MadeBoard

LIMITS = (1200.0, 750.0)


def test_a_line_of_boards_is_walked_from_its_left_end() -> None:
    centres = [(2000.0, 0.0), (0.0, 0.0), (1000.0, 0.0)]
    assert walk(centres, [{2}, {2}, {0, 1}]) == [1, 2, 0]


def test_a_side_board_comes_right_after_the_board_it_hangs_on() -> None:
    """0 – 1 – 2 – 3 in a line, 4 beside 1."""
    centres = [(0.0, 0.0), (1000.0, 0.0), (2000.0, 0.0), (3000.0, 0.0), (1000.0, 600.0)]
    assert walk(centres, [{1}, {0, 2, 4}, {1, 3}, {2}, {1}]) == [0, 1, 4, 2, 3]


def test_a_ring_is_walked_once_round_from_its_lower_left_board() -> None:
    centres = [(1000.0, 1000.0), (0.0, 0.0), (1000.0, 0.0), (0.0, 1000.0)]
    assert walk(centres, [{2, 3}, {2, 3}, {0, 1}, {0, 1}]) == [1, 3, 0, 2]


def test_boards_that_do_not_touch_are_walked_group_by_group() -> None:
    assert walk([(5.0, 0.0), (0.0, 0.0)], [set(), set()]) == [1, 0]


def test_joints_are_called_by_their_boards() -> None:
    pairs = [
        ("B01", "B02"),
        ("B01", "B15"),
        ("B02", "B03"),
        ("B02", "B03"),
        ("B05", "yard"),
        ("B100", "B101"),
    ]
    assert joint_names(pairs) == ["J01", "J01-15", "J02", "J02.2", "J05-yard", "J100"]
    # a joint more renames no other
    assert joint_names([*pairs[:3], ("B02", "B04"), *pairs[4:]])[4:] == ["J05-yard", "J100"]


def ring(*points: tuple[float, float], turned: float = 0.0) -> Any:
    c, s = math.cos(math.radians(turned)), math.sin(math.radians(turned))
    return np.array([(x * c - y * s, x * s + y * c) for x, y in points])


@pytest.mark.parametrize("turned", [0.0, 20.0, 89.999, 90.0, 135.0, 179.0, 180.0])
def test_axes_lie_along_the_length_between_0_and_180(turned: float) -> None:
    board = ring((0, 0), (1000, 0), (1000, 500), (0, 500), turned=turned)
    origin, angle, length, width = local_axes(board, LIMITS)
    assert angle == pytest.approx(turned % 180, abs=1e-4)
    assert (length, width) == pytest.approx((1000, 500))
    a = math.radians(angle)
    d = board - np.array(origin)
    assert (d @ np.array((math.cos(a), math.sin(a)))).min() == pytest.approx(0, abs=1e-5)
    assert (d @ np.array((-math.sin(a), math.cos(a)))).min() == pytest.approx(0, abs=1e-5)


def test_a_square_board_lies_along_x() -> None:
    for nudge in (-0.004, 0.0, 0.004):
        board = ring((0, 0), (600 + nudge, 0), (600 + nudge, 600), (0, 600))
        assert local_axes(board, LIMITS)[1] == 0


def test_a_board_with_a_bulge_keeps_the_axes_of_its_straight_back() -> None:
    """The smallest rectangle of this shape is turned a little; the straight back is worth 2 % of area."""
    front = [(1000 - 10 * i, 500 + 12 * math.sin(math.pi * (i / 100) ** 2)) for i in range(101)]
    _, angle, length, width = local_axes(ring((0, 0), (1000, 0), *front), LIMITS)
    assert (angle, length, width) == (0, 1000, pytest.approx(512, abs=0.1))


LONG = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 500.0), (0.0, 500.0))


def joint(name: str, x: float) -> DrawnJoint:
    return DrawnJoint(id=name, start=(x, 0.0), end=(x, 500.0))


EVERY_METRE = tuple(joint(f"D{k}", 1000.0 * k) for k in range(1, 6))


def written_down(made: Splitting) -> tuple[NamedSpot, ...]:
    """What a builder writes into the project file: each board's name at its middle."""
    middles = [(b, b.to_plan((b.length_mm / 2, b.width_mm / 2))) for b in made.boards]
    return tuple(NamedSpot(name=b.id, x_mm=x, y_mm=y) for b, (x, y) in middles)


def test_a_joint_added_renames_no_other_board_where_names_are_written_down(plan_of: Any, cut: Any) -> None:
    before, _ = cut(plan_of(LONG, drawn_joints=EVERY_METRE))
    more = plan_of(LONG, drawn_joints=(*EVERY_METRE, joint("D6", 1600.0)))
    after, findings = cut(more, names=written_down(before))
    assert findings == []
    old, new = ({b.id: b.ring for b in made.boards} for made in (before, after))
    assert set(new) == {*old, "B07"}
    assert [name for name in old if old[name] != new[name]] == ["B02"]
    unpinned, _ = cut(more)  # the rest would have moved on by one
    assert sum(old.get(b.id) == b.ring for b in unpinned.boards) == 1


def test_a_board_taken_away_renames_no_other_where_names_are_written_down(plan_of: Any, cut: Any) -> None:
    before, _ = cut(plan_of(LONG, drawn_joints=EVERY_METRE))
    ring = ((1000.0, 0.0), *LONG[1:3], (1000.0, 500.0))
    after, findings = cut(plan_of(ring, drawn_joints=EVERY_METRE[1:]), names=written_down(before))
    assert [b.id for b in after.boards] == ["B02", "B03", "B04", "B05", "B06"]
    assert {b.id: b.ring for b in after.boards}.items() <= {b.id: b.ring for b in before.boards}.items()
    assert [f.code for f in findings] == ["BW-SPLIT-019"]
    assert "B01" in findings[0].says
    assert "lies on no board" in findings[0].says


def test_without_names_written_down_growth_at_the_far_end_renames_nothing(plan_of: Any, cut: Any) -> None:
    before, _ = cut(plan_of(LONG, drawn_joints=EVERY_METRE))
    ring = ((0.0, 0.0), (7000.0, 0.0), (7000.0, 500.0), (0.0, 500.0))
    after, _ = cut(plan_of(ring, drawn_joints=(*EVERY_METRE, joint("D6", 6000.0))))
    assert {b.id: b.ring for b in before.boards}.items() <= {b.id: b.ring for b in after.boards}.items()


@pytest.mark.parametrize("name", ["Yard", "B05", "B09"])
def test_naming_one_board_renames_no_other(plan_of: Any, cut: Any, name: str) -> None:
    """The second of six gets a name: the rest keep theirs. If it is the fifth's, that gets the free B02."""
    plan = plan_of(LONG, drawn_joints=EVERY_METRE)
    before, _ = cut(plan)
    after, findings = cut(plan, names=(NamedSpot(name=name, x_mm=1500, y_mm=250),))
    assert findings == []
    called = {b.ring: b.id for b in after.boards}
    renamed = {b.id: called[b.ring] for b in before.boards if called[b.ring] != b.id}
    assert renamed == {"B02": name} | ({"B05": "B02"} if name == "B05" else {})


def test_names_of_ones_own_any_order_and_twice(plan_of: Any, cut: Any) -> None:
    """Joints keep their boards in name order, the first on the left, whatever their names."""
    spots = (
        NamedSpot(name="zeta", x_mm=500, y_mm=250),
        NamedSpot(name="alpha", x_mm=1500, y_mm=250),
        NamedSpot(name="beta", x_mm=1600, y_mm=250),
        NamedSpot(name="zeta", x_mm=2500, y_mm=250),
        NamedSpot(name="upper", x_mm=2600, y_mm=250, level_mm=300.0),
    )
    made, findings = cut(plan_of(LONG, drawn_joints=EVERY_METRE), names=spots)
    assert [b.id for b in made.boards] == ["B03", "B04", "B05", "B06", "alpha", "zeta"]
    assert [f.says.split(";")[0] for f in findings] == [
        "The name beta at 1600, 250 lies on the board already named alpha",
        "The name zeta at 2500, 250 is given to two boards",
        "The name upper at 2600, 250 lies on no board",
    ]


def test_names_of_the_list_of_made_parts_stay_with_their_places(plan_of: Any) -> None:
    """A board more at the near end is B07, and joints keep their names; names in the project file go first;
    that of a board that is gone is left free."""
    before = split(plan_of(LONG, drawn_joints=EVERY_METRE), SplittingSettings(), Notes())
    middles = [(b.id, b.to_plan((b.length_mm / 2, b.width_mm / 2))) for b in before.boards]
    held = HeldJoints((), "made.json", tuple(MadeBoard(id=n, x_mm=x, y_mm=y) for n, (x, y) in middles))
    ring = ((-1000.0, 0.0), LONG[1], LONG[2], (-1000.0, 500.0))
    longer = plan_of(ring, drawn_joints=(*EVERY_METRE, joint("D0", 0.0)))
    notes = Notes()
    after = split(longer, SplittingSettings(), notes, held=held)
    old, new = ({b.id: b.ring for b in made.boards} for made in (before, after))
    assert set(new) == {*old, "B07"}
    assert all(new[name] == old[name] for name in old)
    assert {j.id for j in after.joints} == {*(j.id for j in before.joints), "J01-07"}
    yard = SplittingSettings(names=(NamedSpot(name="B03", x_mm=500, y_mm=250),))
    named = {b.id: b.ring for b in split(longer, yard, notes, held=held).boards}
    assert named["B03"] == old["B01"]
    assert named["B04"] == old["B04"]
    assert notes.findings == []
    shorter = plan_of(((1000.0, 0.0), *LONG[1:3], (1000.0, 500.0)), drawn_joints=EVERY_METRE[1:])
    left = split(shorter, SplittingSettings(), notes, held=held)
    assert [b.id for b in left.boards] == ["B02", "B03", "B04", "B05", "B06"]
