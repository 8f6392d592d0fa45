"""Strips where rails are fixed: drawn where tracks cross, and no bolt near the top stands under one."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from boardwright import Notes
from boardwright.plan.model import Point, Track
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.rails import rail_strips
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings, joint_fixings
from boardwright_timber.model import BoardPlan, FixingKind

H0 = 87.1


def half(made: Any, depth: float = 90.0) -> Half:
    members = tuple(replace(m, depth_mm=depth) for m in made.frame.members)
    return Half(made.board, replace(made.frame, members=members), made.joists)


def track(*points: Point) -> BoardPlan:
    return BoardPlan(board="A", tracks=(Track(id="T1", points=points),), scale_ratio=H0)


def test_a_strip_by_hand(straight_pair: Callable) -> None:
    """Straight across at y = 300: 2600 / 87.1 = 29.85 wide, 60 long, from the joint's line into the board."""
    a, b = straight_pair()
    (joint,) = a.board.joints
    (one,) = rail_strips(half(a), track((0, 300), (1000, 300)), joint, JointSettings())
    (two,) = rail_strips(half(b), track((1000, 300), (2000, 300)), joint, JointSettings())
    assert (one.along_mm, two.along_mm) == (300, 300)
    for strip, x0, x1 in ((one, 940, 1000), (two, 1000, 1060)):
        shape = shapely.Polygon(strip.ring)
        assert shape.bounds == pytest.approx((x0, 300 - 14.925, x1, 300 + 14.925), abs=0.01)


def test_a_track_that_ends_elsewhere_has_no_strip(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    (joint,) = a.board.joints
    assert rail_strips(half(a), track((0, 300), (990, 300)), joint, JointSettings()) == ()


def test_a_slanted_track_has_a_slanted_strip(straight_pair: Callable) -> None:
    a, _ = straight_pair()
    (joint,) = a.board.joints
    (strip,) = rail_strips(half(a), track((900, 200), (1000, 300)), joint, JointSettings())
    assert shapely.Polygon(strip.ring).area == pytest.approx(60 * 2600 / H0)
    (x, y), (u, v) = strip.ring[:2]
    assert math.degrees(math.atan2(v - y, u - x)) == pytest.approx(-135.0)


def test_a_bolt_near_the_top_stands_beside_the_strip(straight_pair: Callable) -> None:
    """Two rows in 150 mm: the upper bolts are 24 below the top, their washers 9. A track over the place of
    the outermost bolt, 44 from the edge, moves it: 44 + 14.93 + 15 = 73.93. In a 90 mm frame it stays."""
    a, b = straight_pair()
    (joint,) = a.board.joints
    for depth, at in ((150.0, 44 + 2600 / H0 / 2 + 15), (90.0, 44.0)):
        halves = (half(a, depth), half(b, depth))
        plans = (track((0, 44), (1000, 44)), track((1000, 44), (2000, 44)))
        one, two = (rail_strips(h, p, joint, JointSettings()) for h, p in zip(halves, plans, strict=True))
        made = joint_fixings(joint, *halves, JointSettings(), Notes(), 0.0, (one, two))
        bolts = sorted({f.along_mm for f in made if f.kind is FixingKind.BOLT})
        assert bolts == pytest.approx([at, 600 - at])


def test_each_board_has_its_own_strips(straight_pair: Callable) -> None:
    a, b = straight_pair()
    plans = {"A": track((0, 300), (1000, 300)), "B": replace(track((1000, 300), (2000, 300)), board="B")}
    made = fixings(
        a.board,
        {"B": b.board},
        plans["A"],
        {"B": plans["B"]},
        a.frame,
        {"B": b.frame},
        a.joists,
        {"B": b.joists},
        JointSettings(),
        Notes(),
    )
    assert [(r.joint, r.track) for r in made.rails] == [("J01", "T1")]
    assert max(x for x, _ in made.rails[0].ring) == 1000
