"""Joints say why they are where they are; boards say how much room they leave."""

from __future__ import annotations

import functools
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright import Memo
from boardwright.findings import Notes
from boardwright.plan.model import Device, DrawnJoint, Obstacle, Outline, Track, TrackPlan
from boardwright_stages.splitting import reasons, terms
from boardwright_stages.splitting.limits import Opening
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.whole import split_plan
from boardwright_timber.model import Joint

SHELF = ((0.0, 0.0), (2300.0, 0.0), (2300.0, 500.0), (0.0, 500.0))


def device(name: str, x: float) -> Device:
    size = {"length_mm": 40.0, "width_mm": 40.0, "depth_mm": 40.0, "clearance_mm": 10.0}
    return Device(id=name, kind="point_motor", x_mm=x, y_mm=250.0, **size)


def test_a_drawn_joint_says_so(plan_of: Any, cut: Any) -> None:
    made, _ = cut(plan_of(SHELF, drawn_joints=(DrawnJoint(id="D", start=(1150, 0), end=(1150, 500)),)))
    # 2 boards of 0.575 m², the largest 0.9 m²: 2 × 0.4 × (0.575 / 0.9)²; 0.5 m × 0.1
    assert [j.why for j in made.joints] == [
        "Drawn by the builder. Its cost here is 0.38 boards: size of the two boards 0.33, length 0.05. "
        "The next best place, 25 mm nearer to B01, costs the same."
    ]


def test_a_drawn_joint_tells_what_a_better_place_would_have_cost(plan_of: Any, cut: Any) -> None:
    """At 1190 boards of 1190 and 1110 mm; a device stands 5 mm beyond the free distance of 10 mm."""
    drawn = (DrawnJoint(id="D", start=(1190, 0), end=(1190, 500)),)
    made, _ = cut(plan_of(SHELF, drawn_joints=drawn, devices=(device("PM1", 1235.0),)))
    (joint,) = made.joints
    # 45 - 20 - 10 = 15 mm away, 5 beyond the free distance: 1 - 5 / 30 of 0.05
    assert "turnouts or devices close by 0.04" in joint.why
    assert "A place 40 mm nearer to B01 would cost 0.04 less" in joint.why


def test_costs_add_up_and_the_next_best_place_is_no_cheaper(plan_of: Any, cut: Any) -> None:
    """Terms as read from the sentence, each rounded to 0.01, against the sum it names."""
    tracks = (Track(id="K1", points=((0, 120), (900, 120), (2300, 380))),)
    made, _ = cut(plan_of(SHELF, devices=(device("PM1", 1130.0), device("PM2", 1010.0)), tracks=tracks))
    (joint,) = made.joints
    own, _, other = joint.why.partition("The next best place")
    (total,) = re.findall(r"cost here is ([\d.]+) boards", own)
    terms = [float(t) for t in re.findall(r"[a-z] ([\d.]+)[,.]", own.partition("boards:")[2])]
    assert len(terms) >= 4
    assert sum(terms) == pytest.approx(float(total), abs=0.005 * (len(terms) + 1))
    (more,) = re.findall(r"would cost ([\d.]+) more", other)
    changes = [float(t) for t in re.findall(r"([+-][\d.]+)[,.]", other)]
    assert sum(changes) == pytest.approx(float(more), abs=0.005 * (len(changes) + 3))


def test_where_a_wide_joint_leaves_no_other_place_that_is_said(plan_of: Any, cut: Any) -> None:
    """2400 mm in two boards of at most 1200: only the middle will do."""
    made, _ = cut(plan_of(((0, 0), (2400, 0), (2400, 500), (0, 500))))
    assert "No other place between its two boards keeps to all rules" in made.joints[0].why


def test_a_device_that_stops_the_joint_is_named(plan_of: Any, cut: Any) -> None:
    """Boards are equal at 1150. The keep-out of PM1 ends at 1160 and 10 are wanted: with nearness free of
    cost the joint goes to 1170 or a little more, and 25 mm to the left it is nearer than 10 mm."""
    made, _ = cut(plan_of(SHELF, devices=(device("PM1", 1130.0),)), near_weight=0.0)
    (joint,) = made.joints
    assert 1170.0 <= joint.start[0] <= 1195.0
    assert "nearer to B01 it would be" in joint.why
    assert "device PM1, less than 10 mm" in joint.why


def test_a_board_that_would_grow_too_long_is_named(plan_of: Any, cut: Any) -> None:
    """2390 mm in two boards of at most 1200: a joint 25 mm off the middle would leave one 1220 long."""
    ring = ((0.0, 0.0), (2390.0, 0.0), (2390.0, 500.0), (0.0, 500.0))
    made, _ = cut(plan_of(ring))
    (joint,) = made.joints
    assert joint.why.count("more than 1200 mm") == 2
    assert "nearer to B01, board B02 would measure 1220 mm" in joint.why


def test_boards_tell_their_room(plan_of: Any, cut: Any) -> None:
    """1150 × 500 mm against 1200 × 700 (the hatch asks for less than the 750 of the settings): 50 and 200 mm.
    0.575 m² · 11.3 + 3.3 m · 0.75 = 9.0 kg of 15. The
    board stands on edge, 200 thick, in a hole 700 × 250: 700 − 500 = 200 mm to spare."""
    hatch = Opening(name="the hatch", width_mm=250.0, height_mm=700.0)
    made, _ = cut(plan_of(SHELF), people=1, openings=(hatch,))
    told = made.boards[0].margins
    assert told.startswith("50 mm under the longest; 200 mm under the widest; ")
    assert "9.0 of 15.0 kg" in told
    assert "passes the hatch, and could be 200 mm wider" in told


def test_a_door_that_asks_nothing_of_the_width_tells_no_width_to_spare(plan_of: Any, cut: Any) -> None:
    """1150 long and 200 high, upright in a door 700 × 1900 and carried along its width: any width passes."""
    door = Opening(name="the door", width_mm=700.0, height_mm=1900.0)
    made, _ = cut(plan_of(SHELF), openings=(door,))
    assert made.boards[0].margins.endswith("; passes the door, however wide it were")


def test_a_joint_of_a_board_that_is_too_large_tells_no_cost(plan_of: Any, cut: Any) -> None:
    """1500 mm behind the drawn joint cannot be parted: a tank fills them."""
    drawn = (DrawnJoint(id="D", start=(800, 0), end=(800, 500)),)
    tank = Obstacle(id="tank", ring=((820, 0), (2300, 0), (2300, 500), (820, 500)))
    made, _ = cut(plan_of(SHELF, drawn_joints=drawn, obstacles=(tank,)))
    assert [j.why for j in made.joints] == ["Drawn by the builder."]


def test_the_page_names_the_weight_of_every_term() -> None:
    page = (Path(__file__).parents[3] / "docs" / "splitting.md").read_text(encoding="utf-8")
    for weight, words in terms.WORDS.items():
        assert f"| {words} | `{weight}` |" in page
    weights = {n for n in SplittingSettings.__struct_fields__ if n.endswith("_weight")}
    assert weights == set(terms.WORDS)


places = st.tuples(st.integers(40, 3360), st.integers(40, 460))
ends = st.integers(2200, 2400)


@given(st.lists(places, min_size=1, max_size=6, unique=True), places, st.integers(0, 5), st.none() | ends)
@settings(max_examples=30, deadline=None)
def test_reasons_kept_from_before_a_move_are_those_of_a_clean_run(
    at: list[tuple[int, int]], to: tuple[int, int], which: int, end: int | None
) -> None:
    """All that ``why`` is found again by settles what it says: any device may move, joints drawn or found."""
    tracks = (Track(id="K1", points=((0, 120), (900, 120), (3400, 380))),)
    drawn = [DrawnJoint(id="D", start=(1150, 0), end=(1150, 500))]
    if end:
        drawn.append(DrawnJoint(id="E", start=(2300, 0), end=(end, 500)))

    def plan(spots: list[tuple[int, int]]) -> TrackPlan:
        devices = (replace(device(f"PM{n}", x), y_mm=float(y)) for n, (x, y) in enumerate(spots))
        return TrackPlan(
            name="Test",
            drawing_file="test.dxf",
            scale_ratio=76.2,
            outlines=(Outline(id="A", ring=((0, 0), (3400, 0), (3400, 500), (0, 500))),),
            devices=tuple(devices),
            tracks=tracks,
            drawn_joints=tuple(drawn),
            obstacles=(Obstacle(id="O1", ring=((2000, 100), (2060, 190), (2000, 200))),),
        )

    moved = [to if n == which % len(at) else spot for n, spot in enumerate(at)]
    before, after, clean = Memo({}), Notes(), Notes()
    split_plan(plan(at), SplittingSettings(), Notes(), memo=before)
    assert before.used
    kept = Memo(before.used)
    found = split_plan(plan(moved), SplittingSettings(), after, memo=kept)
    assert found == split_plan(plan(moved), SplittingSettings(), clean)
    assert after.findings == clean.findings


def test_a_device_that_moves_leaves_the_reasons_of_joints_far_from_it(
    plan_of: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []

    @functools.wraps(reasons.why)
    def why(joint: Joint, *rest: Any) -> str:
        looked.append(joint.id)
        return original(joint, *rest)

    original = reasons.why
    monkeypatch.setattr(reasons, "why", why)

    def reasoned(x: float, kept: dict[str, bytes]) -> dict[str, bytes]:
        looked.clear()
        memo = Memo(kept)
        ring = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 500.0), (0.0, 500.0))
        split_plan(plan_of(ring, devices=(device("PM1", x),)), SplittingSettings(), Notes(), memo=memo)
        return memo.used

    before = reasoned(300.0, {})
    assert len(looked) == 4  # joints of five boards
    reasoned(310.0, before)
    assert len(looked) == 1  # the device is on the first board
