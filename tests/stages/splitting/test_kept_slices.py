"""What slices are worth is kept between calls: the same answer, and only what is near a change anew."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Memo
from boardwright.findings import Finding, Notes
from boardwright.plan.model import Device, Outline, TrackPlan
from boardwright_stages.splitting import slices
from boardwright_stages.splitting.chords import Chords, find
from boardwright_stages.splitting.piece import contains, from_outline, held
from boardwright_stages.splitting.row import past_wells
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.slices import ROUND, Slices
from boardwright_stages.splitting.whole import split_plan
from boardwright_timber.model import Splitting

Ring = tuple[tuple[float, float], ...]


def round_three_walls() -> Ring:
    """A shelf 500 mm deep round three walls, its inner corners bends of 600 mm."""

    def bend(x: float, y: float, first: float) -> list[tuple[float, float]]:
        turns = (math.radians(first - 90.0 * k / 6) for k in range(7))
        return [(round(x + 600 * math.cos(t), 3), round(y + 600 * math.sin(t), 3)) for t in turns]

    inner = [*bend(5500 - 600, 500 + 600, 0.0), *bend(500 + 600, 500 + 600, 270.0)]
    walls = [(0.0, 0.0), (6000.0, 0.0), (6000.0, 3500.0), (5500.0, 3500.0)]
    return (*walls, *inner, (500.0, 3500.0), (0.0, 3500.0))


RING = round_three_walls()
SPOTS = [(700.0, 250.0), (1180.0, 240.0), (3000.0, 250.0), (250.0, 1700.0), (5750.0, 2300.0)]


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many pairs of joints were judged, call by call."""
    counts: list[int] = []
    original = slices.Slices.worths

    def worths(self: slices.Slices, i: Any, js: Any) -> Any:
        counts.append(len(i))
        return original(self, i, js)

    monkeypatch.setattr(slices.Slices, "worths", worths)
    return counts


def motor(x: float, y: float) -> Device:
    return Device(
        id="PM1",
        kind="point_motor",
        x_mm=x,
        y_mm=y,
        length_mm=60.0,
        width_mm=30.0,
        depth_mm=60.0,
        clearance_mm=10.0,
    )


def plan(ring: Ring, x: float, y: float) -> TrackPlan:
    outline = Outline(id="A", ring=ring)
    return TrackPlan(
        name="Test", drawing_file="test.dxf", scale_ratio=76.2, outlines=(outline,), devices=(motor(x, y),)
    )


def split(plan: TrackPlan, memo: Memo, asked: SplittingSettings) -> tuple[Splitting, list[Finding]]:
    notes = Notes()
    return split_plan(plan, asked, notes, memo=memo), list(notes.findings)


def across(places: list[int]) -> Chords:
    """Joints square to the walls at these places along them, and some askew."""
    piece = from_outline(RING, ())
    normals = [(1.0, 0.0), (0.0, 1.0), (0.8, 0.6)]
    lines = [(n, float(x)) for x in places for n in normals]
    found = find(piece, np.array([n for n, _ in lines]), np.array([x for _, x in lines]))
    return found.pick(past_wells(found))


def every_pair(slices: Slices) -> list[list[Any]]:
    """Joints that may follow one another and the worth of what lies between, told exactly."""
    parts = [slices.pairs(first) for first in range(0, len(slices.order), ROUND)]
    return [[column.tolist() for column in part] for part in parts]


places = st.lists(st.integers(100, 5900), min_size=8, max_size=20, unique=True)
boards = st.sampled_from([(1200.0, 600.0), (1300.0, 550.0)])


@settings(max_examples=40)
@given(
    before=places,
    gone=st.integers(0, 4),
    new=places,
    limits=st.sampled_from([(1200.0, 600.0), (1300.0, 550.0)]),
)
def test_what_is_kept_is_what_would_be_found(
    before: list[int], gone: int, new: list[int], limits: tuple[float, float]
) -> None:
    """Joints come, go and stay, under the same limits or others: each pair is worth what it is anew."""
    found, first = across(before), Memo({})
    cost = np.zeros(len(found))
    every_pair(Slices(found, cost, SplittingSettings(), first))
    assert first.used
    now = across([*before[gone:], *new[: 2 * gone]])
    asked = SplittingSettings(max_length_mm=limits[0], max_width_mm=limits[1])
    cost, memo = np.zeros(len(now)), Memo(first.used)
    assert every_pair(Slices(now, cost, asked, memo)) == every_pair(Slices(now, cost, asked))


def test_two_shelves_with_the_same_joints_are_told_apart() -> None:
    """Joints at the same places of two pieces: the far edge of one bulges between them."""
    first, joints = Memo({}), (np.tile((1.0, 0.0), (5, 1)), np.arange(300.0, 2700.0, 500.0))
    for bulge in (0.0, 40.0, 90.0):
        ring = (
            (0.0, 0.0),
            (3000.0, 0.0),
            (3000.0, 500.0),
            (1550.0, 500.0 + bulge),
            (1450.0, 500.0),
            (0.0, 500.0),
        )
        found = find(from_outline(ring, ()), *joints)
        cost = np.zeros(len(found))
        memo = Memo(first.used)
        assert every_pair(Slices(found, cost, SplittingSettings(), memo)) == every_pair(
            Slices(found, cost, SplittingSettings())
        )
        first = memo


@settings(max_examples=4)
@given(
    at=st.sampled_from(SPOTS),
    by=st.tuples(st.integers(-40, 40), st.integers(-40, 40)),
    longest=st.sampled_from([1200.0, 1250.0]),
)
def test_kept_or_anew_the_boards_are_the_same(
    at: tuple[float, float], by: tuple[int, int], longest: float
) -> None:
    first = Memo({})
    split(plan(RING, *at), first, SplittingSettings())
    moved = plan(RING, at[0] + by[0], at[1] + by[1])
    asked = SplittingSettings(max_length_mm=longest)
    assert split(moved, Memo(first.used), asked) == split(moved, Memo(), asked)


def test_a_motor_that_moves_leaves_the_slices_far_from_it(counted: list[int]) -> None:
    """It stands on the first of ten boards: what lies beyond the next ones is not judged again."""
    shelf = ((0.0, 0.0), (12000.0, 0.0), (12000.0, 500.0), (0.0, 500.0))
    first = Memo({})
    split(plan(shelf, 300.0, 250.0), first, SplittingSettings())
    every = sum(counted)
    counted.clear()
    split(plan(shelf, 309.0, 250.0), Memo(first.used), SplittingSettings())
    assert 0 < sum(counted) < every / 3


def test_points_are_held_one_by_one_or_together() -> None:
    ring = np.array(RING)
    x, y = np.meshgrid(np.arange(-100.0, 6200.0, 170.0), np.arange(-100.0, 3700.0, 170.0))
    points = np.column_stack((x.ravel(), y.ravel()))
    assert held(ring, points).tolist() == [contains(ring, p) for p in points]
