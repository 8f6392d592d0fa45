"""Bolts by moment and by depth: sums by hand, then what the stage makes of them."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.joints.bores import bolt_bore
from boardwright_stages.joints.holding import held_nmm, leaning_nmm, pull_n, rows
from boardwright_stages.joints.mating import Half
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import joint_fixings
from boardwright_stages.strength.settings import StrengthSettings
from boardwright_timber.model import FixingKind
from boardwright_timber.reference import bolt_tension_n

WIDE = ((44.0, 556.0),)
M8 = JointSettings()


def test_the_moment_of_a_hand_by_hand(straight_pair: Callable) -> None:
    """Two boards 1000 long, legs 220 from the joint on both: a hand of 200 N makes 200 × 220 / 2 = 22 000
    N mm. 20 kg/m² on 600 of width are 0.11772 N/mm; 0.11772 × 440 / 2 × 110 = 2848.8 N mm more."""
    a, b = straight_pair()
    halves = (Half(a.board, a.frame, a.joists), Half(b.board, b.frame, b.joists))
    (joint,) = a.board.joints
    got = leaning_nmm(joint, halves, StrengthSettings(), (0.22, 0.22))
    assert got == pytest.approx(22_000 + 2_848.8, abs=0.1)
    assert leaning_nmm(joint, halves, StrengthSettings(), (0.0, 0.0)) == 0.0


def test_what_a_bolt_may_pull_by_hand() -> None:
    """Cup head M8: 20.65 wide over a 9 mm hole, π/4 (20.65² - 81) = 271.3 mm²; 3 × 2.5 × 0.9 / 1.3 = 5.192
    N/mm² make 1408.6 N. A hex bolt between timber washers (28): 552.1 mm², 2866.9 N; steel bears 10541."""
    assert pull_n("M8", "cup bolt", 9.0) == pytest.approx(1408.6, abs=1)
    assert pull_n("M8", "hex bolt", 9.0) == pytest.approx(2866.9, abs=1)
    # of any grade the wood gives first: 0.9 × 800 × 36.6 / 1.25 = 21 082 of grade 8.8, 10 541 of 4.6
    assert [round(bolt_tension_n("M8", g)) for g in ("4.6", "8.8")] == [10541, 21082]
    assert {pull_n("M8", "hex bolt", 9.0, g) for g in ("4.6", "5.8", "8.8")} == {
        pull_n("M8", "hex bolt", 9.0)
    }


def test_what_rows_hold_by_hand() -> None:
    """One row of two at 45 below the top: 2 × 1000 × 45 = 90 000. Rows at 24 and 116: the lower one pulls
    1000, the upper 1000 × 24 / 116: 2 × (1000 × 116 + 206.9 × 24) = 241 931."""
    assert held_nmm((-45.0,), 2, 1000.0) == 90_000
    assert held_nmm((-24.0, -116.0), 2, 1000.0) == pytest.approx(241_931, abs=1)


@pytest.mark.parametrize(
    ("depth", "moment_nm", "z", "wanted"),
    [
        (90.0, 30, (-45.0,), 2),  # two hold 2 × 1408.6 × 45 = 126.8 N m
        (90.0, 190, (-45.0,), 3),  # 3 × 63.4 = 190.2
        (90.0, 191, (-45.0,), 4),
        (140.0, 30, (-24.0, -116.0), 2),  # deep: two rows though one would do
        (139.0, 30, (-69.5,), 2),
        (90.0, 2000, (-24.0, -66.0), 20),  # one row has room for ten beside two dowels: not 32
    ],
)
def test_rows_and_numbers(depth: float, moment_nm: float, z: tuple[float, ...], wanted: int) -> None:
    got = rows(moment_nm * 1e3, depth, WIDE, bolt_bore(M8), M8, "cup bolt")
    assert got.z_mm == z
    pull = pull_n("M8", "cup bolt", 9.0)
    assert held_nmm(z, got.wanted, pull) >= moment_nm * 1e3
    if wanted > 2:
        assert held_nmm(z, got.wanted - 1, pull) < moment_nm * 1e3  # not one too many
    assert got.wanted == (wanted if wanted < 20 else math.ceil(2e6 / held_nmm(z, 1, pull)))


def test_rows_keep_four_diameters_and_a_washer_apart() -> None:
    """M8: rows 24 from the edges and 32 apart want 80 mm; a 79 mm frame has one row, whatever its moment."""
    heavy = (2e6, WIDE, bolt_bore(M8), M8, "cup bolt")
    assert len(rows(heavy[0], 79.0, *heavy[1:]).z_mm) == 1  # type: ignore[arg-type]  # a plain tuple
    assert len(rows(heavy[0], 80.0, *heavy[1:]).z_mm) == 2  # type: ignore[arg-type]  # as above


def deep(made: Any, depth: float) -> Half:
    members = tuple(replace(m, depth_mm=depth) for m in made.frame.members)
    return Half(made.board, replace(made.frame, members=members), made.joists)


@pytest.mark.parametrize(
    ("one", "other", "z"),
    [
        (150.0, 150.0, {-24.0, -126.0}),
        (150.0, 90.0, {-45.0}),  # frames of different depth: the shallower one decides
        (200.0, 160.0, {-24.0, -136.0}),
    ],
)
def test_two_rows_in_deep_frames(straight_pair: Callable, one: float, other: float, z: set[float]) -> None:
    a, b = straight_pair()
    (joint,) = a.board.joints
    notes = Notes()
    made = joint_fixings(joint, deep(a, one), deep(b, other), M8, notes)
    bolts = [f for f in made if f.kind is FixingKind.BOLT]
    assert {f.z_mm for f in bolts} == z
    assert {f.z_mm for f in made if f.kind is FixingKind.DOWEL} == {-min(one, other) / 2}
    assert len(bolts) == 2 * len(z)
    assert len({f.id for f in made}) == len(made)
    assert notes.findings == []


def test_a_moment_that_bolts_cannot_hold_is_told(straight_pair: Callable) -> None:
    """100 wide: one bolt, 63.4 N m."""
    a, b = straight_pair(width=100.0)
    halves = [Half(m.board, m.frame, m.joists) for m in (a, b)]
    notes = Notes()
    joint_fixings(a.board.joints[0], *halves, JointSettings(dowels_per_joint=0), notes, moment_nmm=64e3)
    assert [f.code for f in notes.findings] == ["BW-JOINT-003", "BW-JOINT-009"]
    assert "63 N m" in notes.findings[1].says
