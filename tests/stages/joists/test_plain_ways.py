"""What is measured for many joists at once, or remembered, is what the plain way gives for each."""

from __future__ import annotations

import math
import os

from any_shapes import boxed_wells, star_rings
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan.model import Ring
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joists.region import Region, RegionEdge
from boardwright_stages.joists.side_joints import SideJoint, no_joists
from boardwright_stages.joists.span import Spacing, measured, reach, span, spans
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_timber.geometry import oriented
from boardwright_timber.model import Board, Frame, Joint, Member, MemberRole

SOME = settings(
    max_examples=2000 if os.environ.get("BOARDWRIGHT_DEEP") else 25, deadline=None, derandomize=True
)
T = 12.0


def region_with(ring: Ring, wells: tuple[Ring, ...] = ()) -> Region:
    turned = (oriented(w, anticlockwise=False) for w in wells)
    return Region((oriented(ring, anticlockwise=True), *turned))


def places(region: Region) -> list[float]:
    """Along the board, with joists whose faces stand at corners."""
    ends = [x + side * T / 2 for e in region.edges for x in (e.low_x, e.high_x) for side in (-1, 0, 1)]
    wide = region.high_x - region.low_x
    return sorted({*ends, *(region.low_x + k / 23 * wide for k in range(24))})


def section(region: Region, x: float, *, from_left: bool) -> list[tuple[RegionEdge, RegionEdge]]:
    """Every edge looked at."""
    crossed = [
        e
        for e in region.edges
        if e.low_x < e.high_x and (e.low_x < x <= e.high_x if from_left else e.low_x <= x < e.high_x)
    ]
    if from_left:
        probe = (x + max((e.low_x for e in crossed), default=x)) / 2
    else:
        probe = (x + min((e.high_x for e in crossed), default=x)) / 2
    crossed.sort(key=lambda e: e.y_at(probe))
    return list(zip(crossed[::2], crossed[1::2], strict=True))


def same_measures(region: Region) -> None:
    at = places(region)
    for limit in (150.0, 400.0):
        spacing = Spacing(T, limit, 20.0, 5.0)
        far = [x + limit for x in at]
        assert spans(region, at, far, T) == [span(region, a, b, T) for a, b in zip(at, far, strict=True)]
        assert measured(region, at, spacing) == (
            [reach(region, x, spacing) for x in at],
            [span(region, x, math.inf, T) for x in at],
        )
    for x in at:
        for from_left in (False, True):
            assert region.section(x, from_left=from_left) == section(region, x, from_left=from_left)


@SOME
@given(star_rings())
def test_any_polygon(ring: Ring) -> None:
    same_measures(region_with(ring))


@SOME
@given(boxed_wells())
def test_wells(shape: tuple[Ring, tuple[Ring, ...]]) -> None:
    same_measures(region_with(*shape))


class Plain(SideJoint):
    """Makes every hole anew for any joists."""

    @property
    def settled(self) -> tuple[bool, ...]:  # type: ignore[override]  # the plain way, in place of what is worked out once
        return (False, False, False)

    @settled.setter
    def settled(self, value: tuple[bool, ...]) -> None:
        pass


@SOME
@given(
    start=st.floats(0, 300),
    length=st.floats(150, 700),
    bolts=st.integers(0, 4),
    dowels=st.integers(0, 3),
    spacing=st.floats(30, 120),
    fixed_at=st.sampled_from([(), (-60.0, 60.0), (-180.0, 0.0, 180.0)]),
    wired_at=st.sampled_from([(), (0.0,), (-90.0, 90.0)]),
    joists=st.lists(st.floats(0, 1100), min_size=1, max_size=3),
)
def test_holes_that_joists_spoil(
    start: float,
    length: float,
    bolts: int,
    dowels: int,
    spacing: float,
    fixed_at: tuple[float, ...],
    wired_at: tuple[float, ...],
    joists: list[float],
) -> None:
    ring = ((0.0, 0.0), (1100.0, 0.0), (1100.0, 500.0), (0.0, 500.0))
    joint = Joint(id="J01", boards=("A", "B"), start=(start + length, 500.0), end=(start, 500.0))
    board = Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=ring,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=1100,
        width_mm=500,
        joints=(joint,),
    )
    side = Member(
        id="S1",
        role=MemberRole.SIDE,
        outer_start=(1100.0, 500.0),
        outer_end=(0.0, 500.0),
        inner_start=(1088.0, 488.0),
        inner_end=(12.0, 488.0),
        thickness_mm=12.0,
        depth_mm=90.0,
        material="birch ply",
    )
    half = Half(board, Frame(board="A", outer=ring, inner=ring, members=(side,)), no_joists("A"))
    how = JointSettings(
        bolts_per_joint=bolts, dowels_per_joint=dowels, spacing_mm=spacing, bolts_at_mm=fixed_at
    )
    wiring = WiringSettings(joint_holes_at_mm=wired_at)
    quick, plain = (kind(joint, half, None, how, wiring, T) for kind in (SideJoint, Plain))
    assert quick.bare == plain.bare
    for at in (*joists, *range(0, 1100, 25)):
        assert quick.spoilt(at) == plain.spoilt(at)
        assert not quick.behind(at) or quick._made([at]) == plain._made([at])
    assert quick.spoilt(*joists) == plain.spoilt(*joists)
