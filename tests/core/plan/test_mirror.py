"""A mirrored plan is the plan of the mirrored drawing."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from msgspec.structs import replace

from boardwright.findings import Notes
from boardwright.plan.mirror import mirrored
from boardwright.plan.model import Device, TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.rings import area
from boardwright.plan.settings import DeviceSettings, DrawingSettings, LayerSettings
from boardwright.plan.source import SourceFile

WIDE = 1000.0  # of the outline from x = 0: mirrored, x becomes 1000 - x
LAYERS = LayerSettings(
    outline=("Edge",), tracks=("Track",), turnouts=("Turnout",), joints=("Joint",), obstacles=("Keep",)
)


def drawn(turned: bool) -> Callable[[Any], None]:
    """A board with a curved edge, a well, a bent track, a joint at its end and something to keep free."""

    def at(*points: tuple[float, float]) -> list[tuple[float, float]]:
        return [(WIDE - x, y) if turned else (x, y) for x, y in points]

    def draw(doc: Any) -> None:
        space = doc.modelspace()
        bulge = 0.3 if turned else -0.3  # an edge hollowed out
        corners = at((0, 0), (WIDE, 0), (WIDE, 400), (0, 500))
        edge = [(x, y, bulge if n == 1 else 0) for n, (x, y) in enumerate(corners)]
        space.add_lwpolyline(edge, format="xyb", close=True, dxfattribs={"layer": "Edge"})
        well = at((300, 300), (420, 300), (420, 390))
        space.add_lwpolyline(well, close=True, dxfattribs={"layer": "Edge"})
        space.add_lwpolyline(at((0, 200), (500, 210), (WIDE, 120)), dxfattribs={"layer": "Track"})
        space.add_line(*at((0, 0), (0, 500)), dxfattribs={"layer": "Joint"})
        space.add_lwpolyline(at((700, 40), (760, 40), (700, 90)), close=True, dxfattribs={"layer": "Keep"})

    return draw


def plan_of(data: bytes, devices: str, *, turn: bool) -> TrackPlan:
    listed = SourceFile("devices.csv", devices.encode())
    settings = DrawingSettings(layers=LAYERS, mirrored=turn)
    return read_plan(SourceFile("plan.dxf", data), listed, settings, DeviceSettings(), "Quay", Notes())


def close(one: Any, other: Any) -> bool:
    return len(one) == len(other) and all(
        math.dist(a, b) < 1e-3 for a, b in zip(sorted(one), sorted(other), strict=True)
    )


def test_as_the_mirrored_drawing(to_bytes: Callable[..., bytes]) -> None:
    head = "id,kind,x_mm,y_mm,angle_deg\n"
    turned = plan_of(to_bytes(drawn(False)), head + "M1,point_motor,600,150,30\n", turn=True)
    other = plan_of(to_bytes(drawn(True)), head + "M1,point_motor,400,150,150\n", turn=False)
    (mine,), (theirs,) = turned.outlines, other.outlines
    assert close(mine.ring, theirs.ring)
    assert area(mine.ring) == pytest.approx(area(theirs.ring), rel=1e-9)
    assert area(mine.wells[0]) == pytest.approx(-120 * 90 / 2)
    (mine_round,), (theirs_round,) = mine.circles, theirs.circles
    assert (mine_round.x_mm, mine_round.y_mm) == pytest.approx((theirs_round.x_mm, theirs_round.y_mm))
    assert close(turned.tracks[0].points, other.tracks[0].points)
    assert {turned.drawn_joints[0].start, turned.drawn_joints[0].end} == {(WIDE, 0.0), (WIDE, 500.0)}
    assert close(turned.obstacles[0].ring, other.obstacles[0].ring)
    (device,), (same,) = turned.devices, other.devices
    assert close(device.footprint(), same.footprint())


def test_twice_is_the_plan_again(to_bytes: Callable[..., bytes]) -> None:
    plan = plan_of(to_bytes(drawn(False)), "id,kind,x_mm,y_mm,angle_deg\nM1,signal,30,40,77.5\n", turn=False)
    assert isinstance(plan.devices[0], Device)
    again = mirrored(mirrored(plan))
    assert [replace(o, circles=()) for o in again.outlines] == [replace(o, circles=()) for o in plan.outlines]
    assert replace(again, outlines=()) == replace(plan, outlines=())
    assert mirrored(plan) != plan
