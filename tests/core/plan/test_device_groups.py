"""Devices inside other blocks: turned, mirrored, scaled, in rows, in one another; a turnout's motor."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

ON = {"layer": "Devices"}
type Draw = Callable[[Any], None]


def motor(doc: Any, name: str = "MOTOR") -> None:
    block = doc.blocks.new(name)
    block.add_line((0, 0), (40, 0))
    for tag in ("KIND", "NAME", "DEPTH_MM"):
        block.add_attdef(tag, (0, 0))


def group(doc: Any, name: str, members: list[tuple[tuple[float, float], float, dict[str, str]]]) -> Any:
    block = doc.blocks.new(name)
    for at, turn, attributes in members:
        inner = block.add_blockref("MOTOR", at, dxfattribs={"layer": "0", "rotation": turn})
        inner.add_auto_attribs(attributes)
    return block


TWO = [
    ((100, 50), 30.0, {"KIND": "servo", "NAME": "PM1"}),
    ((300, 50), 0.0, {"KIND": "solenoid", "DEPTH_MM": "77"}),
]


def test_each_block_in_a_group_is_a_device(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        group(doc, "THROAT", TWO)
        doc.modelspace().add_blockref("THROAT", (200, 100), dxfattribs=ON)

    case = read(draw)
    found = [(d.id, d.kind, d.x_mm, d.y_mm, d.angle_deg, d.depth_mm) for d in case.plan.devices]
    assert found == [("D01", "solenoid", 500, 150, 0, 77), ("PM1", "servo", 300, 150, 30, 40)]
    assert "'THROAT' holds 2 devices" in case.notes["BW-READ-066"].says
    assert case.plan.devices[0].place.handle == case.notes["BW-READ-066"].where[0].handle


def test_turned_and_mirrored_as_the_group_is(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        group(doc, "THROAT", TWO)
        turned = {**ON, "rotation": 90, "xscale": -1}
        doc.modelspace().add_blockref("THROAT", (600, 400), dxfattribs=turned)

    # mirrored: (100, 50) -> (-100, 50), a direction of 30° -> 150°; then turned by 90°:
    # (-100, 50) -> (-50, -100), 150° -> 240°; then moved by (600, 400)
    servo = next(d for d in read(draw).plan.devices if d.kind == "servo")
    assert (servo.x_mm, servo.y_mm, servo.angle_deg) == pytest.approx((550, 300, 240))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.floats(0, 359),
    st.floats(0, 359),
    st.floats(0, 359),
    st.sampled_from([1.0, -1.0, 0.5, -2.0]),
    st.sampled_from([1.0, -1.0]),
)
def test_groups_in_groups_by_arithmetic(
    read: Any, outer: float, inner: float, own: float, size: float, flip: float
) -> None:
    """Place and direction through two groups, against the same turned, scaled and mirrored by hand."""

    def draw(doc: Any) -> None:
        edge = [(-900, -900), (900, -900), (900, 900), (-900, 900)]
        doc.modelspace().add_lwpolyline(edge, close=True, dxfattribs={"layer": "Edge"})
        motor(doc)
        group(doc, "PAIR", [((70, 20), own, {"KIND": "servo", "NAME": "M"})])
        holder = {"rotation": inner, "xscale": flip}
        doc.blocks.new("YARD").add_blockref("PAIR", (-30, 55), dxfattribs=holder)
        around = {**ON, "rotation": outer, "xscale": size, "yscale": abs(size)}
        doc.modelspace().add_blockref("YARD", (110, -40), dxfattribs=around)

    def placed(x: float, y: float) -> tuple[float, float]:
        x, y = turned(x * flip, y, inner)
        x, y = turned((x - 30) * size, (y + 55) * abs(size), outer)
        return x + 110, y - 40

    (device,) = read(draw).plan.devices
    at, ahead = placed(70, 20), placed(*(a + b for a, b in zip((70, 20), turned(1, 0, own), strict=True)))
    assert (device.x_mm, device.y_mm) == pytest.approx(at, abs=2e-6)
    points = math.degrees(math.atan2(ahead[1] - at[1], ahead[0] - at[0]))
    assert (device.angle_deg - points + 180) % 360 - 180 == pytest.approx(0, abs=1e-5)


def turned(x: float, y: float, degrees: float) -> tuple[float, float]:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return x * c - y * s, x * s + y * c


def test_a_group_in_rows_gives_every_device_a_name_of_its_own(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        group(doc, "THROAT", TWO)
        rows = {**ON, "column_count": 2, "column_spacing": 400}
        doc.modelspace().add_blockref("THROAT", (100, 100), dxfattribs=rows)

    assert [(d.id, d.x_mm) for d in read(draw).plan.devices] == [
        ("D01", 200),
        ("D02", 400),
        ("D03", 600),
        ("D04", 800),
    ]


def test_names_inside_follow_the_groups_own(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        group(doc, "THROAT", TWO[:1])
        for name, x in (("NORTH", 100), ("SOUTH", 500)):
            insert = doc.modelspace().add_blockref("THROAT", (x, 100), dxfattribs=ON)
            insert.add_attrib("NAME", name, (x, 100))

    assert [d.id for d in read(draw).plan.devices] == ["NORTH-PM1", "SOUTH-PM1"]


@pytest.mark.parametrize(("name", "attributes"), [("POINT MOTOR 7", {}), ("THROAT", {"KIND": "point_motor"})])
def test_a_block_with_a_kind_of_its_own_is_one_device(
    read: Any, board: Draw, name: str, attributes: dict[str, str]
) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        group(doc, name, TWO)
        insert = doc.modelspace().add_blockref(name, (200, 100), dxfattribs=ON)
        for tag, text in attributes.items():
            insert.add_attrib(tag, text, (0, 0))

    assert [(d.kind, d.x_mm, d.y_mm) for d in read(draw).plan.devices] == [("point_motor", 200, 100)]


def test_blocks_in_a_group_that_tell_no_kind_are_told(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        doc.blocks.new("SCREW").add_circle((0, 0), 2)
        group(doc, "THROAT", TWO).add_blockref("SCREW", (5, 5))
        doc.modelspace().add_blockref("THROAT", (200, 100), dxfattribs=ON)

    assert "1 more in it tell no kind" in read(draw).notes["BW-READ-066"].says


def test_a_group_without_devices_is_one_unknown_thing(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.blocks.new("SCREW").add_circle((0, 0), 2)
        doc.blocks.new("PLATE").add_blockref("SCREW", (5, 5))
        doc.modelspace().add_blockref("PLATE", (200, 100), dxfattribs=ON)

    assert "'PLATE'" in read(draw).problems["BW-READ-046"].says


def test_a_turnouts_block_may_hold_its_motor(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        motor(doc)
        turnout = doc.blocks.new("T")
        turnout.add_lwpolyline([(0, -20), (230, -20), (230, 20), (0, 20)], close=True)
        turnout.add_blockref("MOTOR", (30, 0), dxfattribs=ON).add_auto_attribs({"KIND": "servo"})
        doc.modelspace().add_blockref("T", (200, 100), dxfattribs={"layer": "Turnouts", "yscale": -1})

    plan = read(draw).plan
    assert [t.id for t in plan.turnouts] == ["T01"]
    assert [(d.kind, d.x_mm, d.y_mm) for d in plan.devices] == [("servo", 230, 100)]
