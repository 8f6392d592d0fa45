"""Trimmed openings: their arithmetic, the setting that forbids them, and any devices on any oblong board."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import pytest
import shapely
from any_shapes import board_of
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright.plan.model import Device, Ring
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.parts.butts import butts
from boardwright_stages.parts.stages import parts
from boardwright_stages.strength.settings import StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import strength
from boardwright_timber.model import BoardFixings, BoardParts, BoardPlan, BoardWiring, Member, MemberRole

type Joist = Callable[..., Any]
OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0))
GAP_MM = 0.1


def device(name: str, x: float, y: float, length: float, width: float = 60) -> Device:
    return Device(
        id=name,
        kind="point_motor",
        x_mm=x,
        y_mm=y,
        length_mm=length,
        width_mm=width,
        depth_mm=60,
        clearance_mm=10,
    )


def noggins(made: Any) -> list[Member]:
    return [m for m in made.joists.members if m.role is MemberRole.NOGGIN]


def parts_of(made: Any, devices: tuple[Device, ...] = ()) -> BoardParts:
    return parts(
        board_of(OBLONG),
        BoardPlan(board="B01", devices=devices),
        made.frame,
        made.joists,
        BoardFixings(board="B01"),
        BoardWiring(board="B01"),
        FramingSettings(member_thickness_mm=12),
        Notes(),
    )


def test_a_long_device_gets_a_trimmed_joist(joisted: Joist) -> None:
    """500 long at x = 400, y = 300, 10 mm clear: 140 to 660 and 260 to 340 is taken (60 wide).

    Joists stand at 133.99 and 666.01, 532.02 apart; the one in the middle, at 400, is cut: noggins begin 0.01
    outside the keep-out, their middles 80 + 0.02 + 12 apart, from face to face of those joists.
    """
    made = joisted(board_of(OBLONG), (device("LONG", 400, 300, 500),))
    assert sorted(made.codes) == ["BW-JOIST-008", "BW-JOIST-009"]  # 10 mm all round: no hand gets in
    lower, upper = noggins(made)
    assert [lower.inner_start[1], upper.outer_start[1]] == pytest.approx([259.99, 340.01])
    for noggin in (lower, upper):
        assert (noggin.outer_start[0], noggin.outer_end[0]) == pytest.approx((139.99, 660.01))
    tails = sorted((m for m in made.joists.joists if m.outer_start[0] == 406), key=lambda m: m.outer_start[1])
    assert [(m.outer_start[1], m.outer_end[1]) for m in tails] == [
        pytest.approx((12, 259.99 - 12)),
        pytest.approx((340.01 + 12, 588)),
    ]
    assert made.joists.spacing_mm <= 400


def test_the_setting_forbids_it(joisted: Joist) -> None:
    made = joisted(board_of(OBLONG), (device("LONG", 400, 300, 500),), JoistSettings(trim=False))
    assert "BW-JOIST-001" in made.codes
    assert noggins(made) == []


def test_an_opening_too_wide_both_ways_is_a_fault_still(joisted: Joist) -> None:
    """Keep-out 520 × 480: no noggin pair within 400 of each other."""
    made = joisted(board_of(OBLONG), (device("HUGE", 400, 300, 500, 460),))
    assert "BW-JOIST-001" in made.codes
    assert noggins(made) == []


def test_a_device_at_the_side_needs_one_noggin(joisted: Joist) -> None:
    made = joisted(board_of(OBLONG), (device("EDGE", 400, 55, 500),))
    (noggin,) = noggins(made)
    assert noggin.outer_start[1] == pytest.approx(55 + 30 + 10 + 0.01)
    assert "BW-JOIST-001" not in made.codes


def test_headers_are_screwed_and_carry(joisted: Joist) -> None:
    """Both ends of each noggin have their two screws; sag is told, and more than with the joist uncut."""
    sags = []
    for devices in ((device("LONG", 400, 300, 500),), ()):
        made = joisted(board_of(OBLONG), devices)
        cut = parts_of(made, devices)
        told = strength(
            board_of(OBLONG), made.frame, made.joists, cut, StrengthSettings(), SupportSettings(), Notes()
        )
        lines = {line.key: line for line in told.lines}
        sags.append(lines["frame-hand"].measured)
        assert lines["deck-sag"].passed
        by_id = {p.id: p for p in cut.parts}
        found = [b for b in butts((*made.frame.members, *made.joists.members)) if b.butting in noggins(made)]
        assert len(found) == 2 * len(noggins(made))
        for butt in found:
            pilots = [h for h in by_id[butt.through.id].holes if abs(h.x_mm - butt.through_mm) < 1e-3]
            assert [h.screw for h in pilots] == [(4.0, 50.0)] * 2
    assert sags[0] >= sags[1]


@st.composite
def crowds(draw: st.DrawFn) -> tuple[Device, ...]:
    count = draw(st.integers(1, 4))
    return tuple(
        device(
            f"D{n}",
            draw(st.integers(100, 1100)),
            draw(st.integers(40, 560)),
            draw(st.integers(60, 560)),
            draw(st.integers(30, 200)),
        )
        for n in range(count)
    )


@settings(max_examples=60, deadline=None, derandomize=True)
@given(crowds())
def test_any_devices(joisted: Joist, devices: tuple[Device, ...]) -> None:
    """Clear of every keep-out, nothing in two places, noggins and cut joists end on wood, spans kept."""
    made = joisted(board_of(OBLONG), devices)
    keepouts = [shapely.Polygon(d.keepout()) for d in devices]
    wood = {m.id: shapely.Polygon(m.outline) for m in (*made.frame.members, *made.joists.members)}
    for one, other in itertools.combinations(wood, 2):
        assert wood[one].intersection(wood[other]).area < 0.05, (one, other)
    for member in made.joists.members:
        assert not any(k.intersection(wood[member.id]).area > 0.01 for k in keepouts), member.id
        for ends in ((member.outer_start, member.inner_start), (member.outer_end, member.inner_end)):
            end = shapely.LineString(ends)
            assert min(end.distance(w) for name, w in wood.items() if name != member.id) <= GAP_MM, member.id
    if "BW-JOIST-001" not in made.codes:
        assert made.joists.spacing_mm <= 400 + 1e-3
