"""Holes and slots through the deck over devices, worked by hand, read back from the part's DXF."""

from __future__ import annotations

import io
import math
from typing import Any

import ezdxf
import pytest

from boardwright.plan.kinds import KINDS
from boardwright.plan.model import Device
from boardwright_outputs.drawings.dxf import write_dxf
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_stages.checks.geometry import edge_distance, wood_between
from boardwright_stages.parts.deck import deck_parts
from boardwright_stages.parts.device_holes import holes_on_wood
from boardwright_timber.model import Board, BoardPlan, Hole, HoleKind, Member, MemberRole, Part

SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 600.0), (0.0, 600.0))


def motor(name: str = "PM1", hole: float = 12.0, slot: float = 0.0, angle: float = 0.0) -> Device:
    return Device(
        id=name,
        kind="point_motor",
        x_mm=400,
        y_mm=300,
        length_mm=60,
        width_mm=30,
        depth_mm=60,
        clearance_mm=15,
        angle_deg=angle,
        hole_mm=hole,
        slot_mm=slot,
    )


def deck(*devices: Device, angle: float = 0.0) -> Part:
    board = Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=SQUARE,
        origin=(0, 0) if angle == 0.0 else (1000.0, 0.0),
        angle_deg=angle,
        length_mm=1000,
        width_mm=600,
    )
    plan = BoardPlan(board="A", devices=devices, own_devices=tuple(d.id for d in devices))
    return deck_parts(board, plan, (), "birch ply", 9.0)[0]


def cut(part: Part) -> list[Any]:
    """What the part's DXF says, read by the library alone."""
    document = ezdxf.read(io.StringIO(write_dxf(part_drawing(part)).decode().replace("\r\n", "\n")))
    return list(document.modelspace())


def test_a_motor_gets_its_round_hole() -> None:
    part = deck(motor())
    assert [(h.kind, h.x_mm, h.y_mm, h.diameter_mm, h.note) for h in part.holes] == [
        (HoleKind.DEVICE, 400, 300, 12, "over point motor PM1")
    ]
    assert part.area_mm2 == pytest.approx(600_000 - math.pi * 36, abs=0.001)
    (circle,) = [e for e in cut(part) if e.dxftype() == "CIRCLE"]
    assert (circle.dxf.layer, circle.dxf.center.x, circle.dxf.center.y, circle.dxf.radius) == (
        "HOLE",
        400,
        300,
        6,
    )


@pytest.mark.parametrize(("turned", "lies"), [(0.0, 90.0), (90.0, 0.0), (30.0, 120.0)])
def test_a_slot_lies_across_the_motor_s_length(turned: float, lies: float) -> None:
    """8 wide, 24 over all: ends 8 to either side of the middle; 16 × 8 + π 4² = 178.27 mm² are lost."""
    part = deck(motor(hole=8, slot=24, angle=turned))
    (hole,) = part.holes
    assert (hole.slot_mm, hole.slot_deg) == (24, lies)
    across = (math.cos(math.radians(lies)), math.sin(math.radians(lies)))
    assert hole.ends[1] == pytest.approx((400 + 8 * across[0], 300 + 8 * across[1]), abs=1e-5)
    assert 600_000 - part.area_mm2 == pytest.approx(16 * 8 + math.pi * 16, abs=0.001)
    contours = [e for e in cut(part) if e.dxftype() == "LWPOLYLINE" and e.dxf.layer == "THROUGH_CUT"]
    slot = min(contours, key=_extent)
    assert slot.closed
    bulges = sorted(abs(b) for *_, b in slot.get_points("xyb"))
    assert len(bulges) == 4  # two straight sides, two half circles: tan(180° / 4) = 1
    assert bulges == pytest.approx([0, 0, 1, 1], abs=1e-6)
    assert _extent(slot) == pytest.approx(16.0, abs=1e-3)


def _extent(entity: Any) -> float:
    """Distance from the middle of all corners to the farthest, doubled, less the corners' half width of 4."""
    points = [(x, y) for x, y, *_ in entity.get_points()]
    x, y = sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)
    far = max(math.dist((x, y), p) for p in points)
    return 2 * math.sqrt(max(far * far - 16.0, 0.0))


def test_a_slot_turns_with_its_board() -> None:
    """The board's own axes are turned by 90°: across the motor is along the board."""
    (hole,) = deck(motor(hole=8, slot=24), angle=90.0).holes
    assert hole.slot_deg == 0.0


def test_no_hole_where_none_is_wanted() -> None:
    assert deck(motor(hole=0, slot=24)).holes == ()
    assert not Hole(kind=HoleKind.DEVICE, x_mm=0, y_mm=0, diameter_mm=8, slot_mm=8).is_slot


def test_a_slot_is_measured_by_its_ends() -> None:
    """Beside it a 3 mm hole 20 from its middle, along it: 20 - 8 - 4 - 1.5 = 6.5 mm of wood between."""
    feed = Device(
        id="F1",
        kind="feed",
        x_mm=400,
        y_mm=320,
        length_mm=4,
        width_mm=4,
        depth_mm=9,
        clearance_mm=1,
        hole_mm=3,
    )
    part = deck(motor(hole=8, slot=24), feed)
    assert wood_between([part]).value == pytest.approx(6.5)
    only = deck(motor(hole=8, slot=24))
    assert edge_distance([only]).value == pytest.approx((300 - 8) / 8)


def test_a_slot_over_wood_is_told_when_only_its_end_is() -> None:
    """A strip 12 thick whose near face is 7 beyond the slot's end middle, 300 + 8 = 308: clear by 3 - 0."""
    board = Board(
        id="A", outline="O", level_mm=0, ring=SQUARE, origin=(0, 0), angle_deg=0, length_mm=1000, width_mm=600
    )
    device = motor(hole=8, slot=24)
    plan = BoardPlan(board="A", devices=(device,), own_devices=("PM1",))
    for face, found in ((311.9, 1), (312.1, 0)):
        strip = Member(
            id="J",
            role=MemberRole.JOIST,
            outer_start=(0, face),
            outer_end=(1000, face),
            inner_start=(0, face + 12),
            inner_end=(1000, face + 12),
            thickness_mm=12,
            depth_mm=90,
            material="birch ply",
        )
        assert len(list(holes_on_wood(board, plan, [strip]))) == found


def test_kinds_that_reach_through_the_deck_have_a_hole() -> None:
    """Whatever works a turnout has a pin through the deck; a slot is nowhere wider than long."""
    assert {n for n, k in KINDS.items() if k.at_turnout} <= {n for n, k in KINDS.items() if k.hole_mm}
    assert KINDS["feed"].hole_mm == 3.0
    assert all(k.slot_mm == 0 or k.slot_mm > k.hole_mm > 0 for k in KINDS.values())
