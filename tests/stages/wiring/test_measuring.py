"""Wire holes made to the measure of what will cross, one spare, and rows that a rod passes through."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wired import device, made, schedule

from boardwright_stages.wiring.demand import wire_demand
from boardwright_stages.wiring.holes import joist_holes, lines_along
from boardwright_stages.wiring.measuring import BITS_MM, MOST_HOLES, in_joist, wanted
from boardwright_stages.wiring.network_settings import WireSettings
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.model import JointDemand, Member, MemberRole
from boardwright_timber.reference import fill_limit


def demand(cores: int, squares: float) -> JointDemand:
    return JointDemand(joint="J01", cores=cores, squares_mm2=squares)


@pytest.mark.parametrize(
    ("cores", "squares", "depth", "plug", "count", "bit"),
    [
        # 12 cores of 2.5 mm: 75 mm² of squares; √(75 / 0.40) = 13.7: the 14 mm bit, and one spare
        (12, 75.0, 90.0, 0.0, 2, 14.0),
        # a plug 18 thick wants 19: the 20 mm bit
        (12, 75.0, 90.0, 18.0, 2, 20.0),
        # 60 cores of 2.5: 375; √(375 / 0.40) = 30.6, but 90 / 4 = 22.5: 22 mm of 193.6 each: two, a spare
        (60, 375.0, 90.0, 18.0, 3, 22.0),
        # the same in a frame 150 deep: 37.5 bears the 32 mm bit: one and a spare
        (60, 375.0, 150.0, 18.0, 2, 32.0),
        # one pair of 3.3 mm: 21.78; √(21.78 / 0.31) = 8.4: the 10 mm bit
        (2, 21.78, 90.0, 0.0, 2, 10.0),
    ],
)
def test_holes_by_hand(cores: int, squares: float, depth: float, plug: float, count: int, bit: float) -> None:
    answer = wanted(demand(cores, squares), depth, plug, WiringSettings())
    assert (answer.count, answer.diameter_mm) == (count, bit)


def test_as_set_where_nothing_is_measured() -> None:
    for asked, how in ((None, WiringSettings()), (demand(60, 375.0), WiringSettings(made_to_measure=False))):
        answer = wanted(asked, 90.0, 18.0, how)
        assert (answer.count, answer.diameter_mm) == (2, 22.0)


@settings(deadline=None, max_examples=200, derandomize=True)
@given(
    cores=st.integers(1, 80),
    outer=st.sampled_from((1.2, 2.5, 2.8, 4.0)),
    depth=st.integers(60, 250),
    plug=st.sampled_from((0.0, 12.0, 18.0)),
)
def test_the_bundle_fits_with_one_hole_spare(cores: int, outer: float, depth: int, plug: float) -> None:
    """Cores shared out over all holes but one fit within the limit of many cores; none is over a quarter."""
    answer = wanted(demand(cores, cores * outer**2), float(depth), plug, WiringSettings())
    d = answer.diameter_mm
    assert d in BITS_MM
    assert d <= depth / 4
    if answer.count < MOST_HOLES:
        in_one = math.ceil(cores / (answer.count - 1))
        limit = fill_limit(cores) if answer.count == 2 else fill_limit(3)
        assert cores * outer**2 <= (answer.count - 1) * limit * d**2 + 1e-6
        assert in_one >= 1


def strip(name: str, x: float, low: float, high: float) -> Member:
    return Member(
        id=name,
        role=MemberRole.JOIST,
        outer_start=(x + 12, low),
        outer_end=(x + 12, high),
        inner_start=(x, low),
        inner_end=(x, high),
        thickness_mm=12,
        depth_mm=90,
        material="birch ply",
    )


def test_a_rod_passes_through_joists_of_any_length(boxes: Any) -> None:
    """In rows along whole joists the longest, from 12 to 588, has holes at 100, 200 … 500 (middle 300, five
    of them fit). Beside a well a joist from 300 to 588 keeps those 61 from its ends: 400, 500; from 400 to
    470 none: its own middle. In the zones the longest has 166.2, 232.2, 367.8, 433.8; of those the one by the
    well can have the last two, though 433.8 lies nearer to its middle than 0.40 of it."""
    board = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600))).board
    long, short, stub = strip("J1", 200, 12, 588), strip("J2", 400, 300, 588), strip("J3", 600, 400, 470)
    for zone, lines, others in (
        ("whole", (100, 200, 300, 400, 500), ([400, 500], [435])),
        ("span", (166.2, 232.2, 367.8, 433.8), ([367.8, 433.8], [435])),
    ):
        how = WiringSettings(hole_zone=zone)  # type: ignore[arg-type]  # one of its words
        assert lines_along(board, (long, short, stub), how, 22.0) == lines
        places = [[h.y_mm for h in joist_holes(board, j, how, 22.0, lines)] for j in (long, short, stub)]
        assert places == [list(lines), *others]


@pytest.mark.parametrize(
    ("cores", "squares", "depth", "count", "bit"),
    [
        (0, 0.0, 90.0, 2, 20.0),  # nothing crosses: two of the least
        (12, 75.0, 90.0, 2, 20.0),  # √(75 × 1.25 / 0.40) = 15.3: the least still
        (30, 200.0, 150.0, 2, 25.0),  # √(200 × 1.25 / 0.40) = 25.0: the 25 mm bit; 150 / 4 bears 37.5
        (60, 375.0, 90.0, 4, 22.0),  # 468.75 through 22 mm holes of 193.6 each: three, and a spare
    ],
)
def test_joist_holes_are_made_to_their_own_bundle(
    cores: int, squares: float, depth: float, count: int, bit: float
) -> None:
    asked = demand(cores, squares) if cores else None
    answer = in_joist(True, asked, depth, WiringSettings())
    assert (answer.count, answer.diameter_mm) == (count, bit)
    assert in_joist(False, asked, depth, WiringSettings()).diameter_mm == 22.0


def test_each_joist_has_what_lies_over_it(straight_pair: Callable) -> None:
    """Motors at 700 to 900, their panel at 600: the joist between is crossed by all, one beyond by none."""
    a, b = straight_pair(joists_a=(300.0, 650.0), joists_b=())
    motors = [device(f"M{n}", "servo", 700 + 40 * n, 100 + 60 * n, 3, 500) for n in range(6)]
    on = made((a, [device("P1", "panel", 600, 300, 25, 1000), *motors]), (b, []))
    told = wire_demand(on.boards, on.plans, WireSettings())
    own = told["A"]
    crossed = own.across(650.0)
    assert crossed is not None
    assert crossed.cores == 18
    assert own.across(300.0) is None
    assert told["B"].stretches == ()


def test_what_is_reckoned_is_what_crosses(straight_pair: Callable) -> None:
    """Seven runs of three cores, a bus of two: the schedule leads 23 cores through the joint's holes."""
    a, b = straight_pair(joists_a=(400.0,), joists_b=(400.0,))
    motors = [device(f"M{n}", "servo", 1150 + 90 * n, 150 + 40 * n, 3, 500) for n in range(7)]
    on = made(
        (a, [device("P1", "panel", 200, 300, 25, 1000)]),
        (b, [*motors, device("F1", "feed", 1700, 500, 2, 3000)]),
    )
    told = wire_demand(on.boards, on.plans, WireSettings())
    (only,) = told["A"].joints
    assert told["B"].joints == (only,)
    answer = schedule(on, WireSettings())
    through = [h for h in answer.holes if h.joint == "J01" and h.board == "A"]
    assert only.cores == sum(h.cores for h in through) == 23
    assert only.squares_mm2 == pytest.approx(sum(h.fill * h.diameter_mm**2 for h in through), rel=0.3)


def test_one_hole_of_a_joint_stays_empty(straight_pair: Callable) -> None:
    """Two holes; devices far to both sides would use both, and one is kept though the way is longer."""
    a, b = straight_pair(joists_a=(400.0,), joists_b=(400.0,))
    motors = [device(f"M{n}", "servo", 1150, 60 + 240 * n, 3, 500) for n in range(3)]
    on = made((a, [device("P1", "panel", 600, 300, 25, 1000)]), (b, motors))
    through = [h for h in schedule(on, WireSettings()).holes if h.joint == "J01" and h.board == "A"]
    assert sorted(h.cores for h in through) == [0, 9]
