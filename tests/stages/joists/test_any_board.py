"""Joists of any board: what must hold whatever the shape and the devices."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

import shapely
from any_shapes import _arc, board_of, boxed_wells, curved_rings, star_rings
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Severity
from boardwright.plan.model import Device, Ring
from boardwright_timber.model import Board, Member, MemberRole

type Joist = Callable[..., Any]
MANY = settings(
    max_examples=300 if os.environ.get("BOARDWRIGHT_DEEP") else 25, deadline=None, derandomize=True
)


@st.composite
def device_lists(draw: st.DrawFn) -> tuple[Device, ...]:
    return tuple(
        Device(
            id=f"D{n}",
            kind="point motor",
            x_mm=draw(st.floats(50, 1350)),
            y_mm=draw(st.floats(50, 1350)),
            length_mm=draw(st.floats(10, 160)),
            width_mm=draw(st.floats(10, 80)),
            depth_mm=40,
            clearance_mm=draw(st.floats(0, 15)),
            angle_deg=draw(st.floats(0, 180)),
        )
        for n in range(draw(st.integers(0, 7)))
    )


def holds(joisted: Joist, board: Board, devices: tuple[Device, ...]) -> None:
    made = joisted(board, devices)
    frame, found = made.frame, made.joists
    room = shapely.Polygon(frame.inner, frame.inner_wells)
    assert room.is_valid
    quads = [shapely.Polygon(j.outline) for j in found.members]
    for joist, quad in zip(found.members, quads, strict=True):
        assert quad.is_valid
        assert quad.difference(room).area <= 0.01
        others = [shapely.Polygon(m.outline).exterior for m in (*frame.members, *found.members) if m != joist]
        for ends in ((joist.outer_start, joist.inner_start), (joist.outer_end, joist.inner_end)):
            off = shapely.LineString(ends).distance(shapely.union_all(others))
            assert off <= 0.01, "stands against a member at both ends"
        if joist.role is MemberRole.JOIST:
            assert abs(joist.outer_start[0] - joist.inner_start[0] - joist.thickness_mm) <= 1e-5
    noggins = {n for n, m in enumerate(found.members) if m.role is MemberRole.NOGGIN}
    for n, quad in enumerate(quads):
        for k, other in enumerate(quads[n + 1 :], n + 1):
            apart = quad.intersection(other).area <= 0.01 if {n, k} & noggins else quad.distance(other) > 1
            assert apart
        for device in devices:
            assert quad.distance(shapely.Polygon(device.keepout())) > 0
    if not noggins:  # over an opening the deck spans across, between noggins
        bays = room.difference(shapely.union_all([borne_by(j) for j in found.members]))
        longest = longest_strip(bays) + 12
        assert abs(longest - found.spacing_mm) <= 0.2, "measured another way"
    faults = [f for f in made.notes.findings if f.severity is Severity.FAULT and f.code == "BW-JOIST-001"]
    assert bool(faults) == (found.spacing_mm > found.limit_mm + 0.001)
    assert devices or not faults


def borne_by(joist: Member) -> Any:
    """Deck over a joist, and over the corner its square end leaves: it lies on that end and on the frame."""
    quad = shapely.Polygon(joist.outline).buffer(0.02, join_style="mitre")
    ends = (joist.outer_start, joist.inner_start), (joist.outer_end, joist.inner_end)
    return quad.union(shapely.union_all([shapely.LineString(e).buffer(12, cap_style="flat") for e in ends]))


def test_a_square_end_under_an_inward_corner_is_no_gap(joisted: Joist) -> None:
    """A hollow back whose corner stands over a joist: between its square end and the frame a corner of deck
    one millimetre deep runs on past the joist. The bays are 384 + 12 apart, and nothing is told."""
    back = _arc((1201.0, 450.0), (0.0, 450.0), 318.640625 - 450.0)
    made = joisted(board_of(((0.0, 0.0), (1201.0, 0.0), *back)), ())
    assert made.joists.spacing_mm <= 400 + 1e-3
    assert "BW-JOIST-001" not in made.codes


def longest_strip(bays: Any) -> float:
    """Longest stretch of deck along the board, just above and below every corner of the bays: so little that
    edges at 1 in 40 to the joists run out by a tenth of a millimetre at most there."""
    left, low, right, high = bays.bounds
    heights = {y + nudge for _, y in shapely.get_coordinates(bays) for nudge in (-0.002, 0.002)}
    longest = 0.0
    for y in heights:
        if low < y < high:
            cut = shapely.LineString(((left - 1, y), (right + 1, y))).intersection(bays)
            longest = max([longest, *(part.length for part in shapely.get_parts(cut))])
    return longest


@MANY
@given(star_rings(), device_lists())
def test_any_polygon(joisted: Joist, ring: Ring, devices: tuple[Device, ...]) -> None:
    holds(joisted, board_of(ring), devices)


@MANY
@given(curved_rings(), device_lists())
def test_curved_edges(joisted: Joist, ring: Ring, devices: tuple[Device, ...]) -> None:
    holds(joisted, board_of(ring), devices)


@MANY
@given(boxed_wells(), device_lists())
def test_wells(joisted: Joist, shape: tuple[Ring, tuple[Ring, ...]], devices: tuple[Device, ...]) -> None:
    holds(joisted, board_of(*shape), devices)
