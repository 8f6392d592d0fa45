"""The device list and the drawing's devices become one set of devices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from boardwright.plan.kinds import KINDS

Draw = Callable[[Any], None]
HEAD = "id,kind,x_mm,y_mm,angle_deg,length_mm,width_mm,depth_mm,clearance_mm,note\n"


def device(doc: Any, name: str, kind: str, at: tuple[float, float], block: str = "BOX", **more: Any) -> None:
    if block not in doc.blocks:
        doc.blocks.new(block).add_circle((0, 0), 10)
    insert = doc.modelspace().add_blockref(block, at, dxfattribs={"layer": "Devices", **more})
    for tag, text in (("NAME", name), ("KIND", kind)):
        if text:
            insert.add_attrib(tag, text, at)


def test_rows_alone(read: Any, board: Draw) -> None:
    plan = read(board, HEAD + "M1,point motor,200,100,90,,,,,\nF1,dropper,300.5,100,,,,,,blue wire\n").plan
    feed, motor = plan.devices
    assert (motor.kind, motor.x_mm, motor.y_mm, motor.angle_deg) == ("point_motor", 200, 100, 90)
    usual = KINDS["point_motor"]
    assert (motor.length_mm, motor.width_mm, motor.depth_mm) == (
        usual.length_mm,
        usual.width_mm,
        usual.depth_mm,
    )
    assert motor.clearance_mm == 15  # the [devices] default: the kind states none
    assert motor.place.row == 2
    assert (feed.kind, feed.clearance_mm, feed.x_mm) == ("feed", 5, 300.5)


def test_a_row_adds_to_the_drawing_and_changes_only_what_it_fills(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        device(doc, "M1", "point_motor", (200, 100), rotation=30)
        device(doc, "M2", "point_motor", (400, 100))

    motors = read(draw, HEAD + "M1,servo,,,,,,75,,\nM2,point_motor,410,110,,,,,,\n").plan.devices
    assert [(d.kind, d.x_mm, d.y_mm, d.depth_mm) for d in motors] == [
        ("servo", 200, 100, 75),
        ("point_motor", 410, 110, 60),
    ]
    assert motors[0].angle_deg == pytest.approx(30)
    assert motors[0].place.handle
    assert motors[0].place.row == 2


def test_kind_from_the_blocks_name_ids_by_place_mirrored_angle(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        device(doc, "", "", (600, 100), block="Signal base 2")
        device(doc, "", "", (200, 100), block="SLOW-MOTION MOTOR", rotation=30, yscale=-1)
        device(doc, "D01", "feed", (300, 300))

    found = {d.id: (d.kind, d.x_mm) for d in read(draw).plan.devices}
    assert found == {"D01": ("feed", 300), "D02": ("slow_motion_motor", 200), "D03": ("signal_base", 600)}
    assert next(d for d in read(draw).plan.devices if d.id == "D02").angle_deg == pytest.approx(30)


def test_drawing_in_metres_list_in_millimetres(read: Any) -> None:
    def draw(doc: Any) -> None:
        doc.modelspace().add_lwpolyline(
            [(0, 0), (1, 0), (1, 0.5), (0, 0.5)], close=True, dxfattribs={"layer": "Edge"}
        )
        device(doc, "M1", "servo", (0.2, 0.1))

    plan = read(draw, HEAD + "M2,servo,700,100,,,,,,\n", insunits=6).plan
    assert [d.x_mm for d in plan.devices] == [200, 700]


@pytest.mark.parametrize(
    "table",
    [
        "id;kind;x_mm;y_mm\nM1;servo;12,5;100,25\n",
        "\ufeffID;Kind;X mm;Y mm\r\nM1;servo;12.5;100.25\r\n",
        "id\tkind\tx_mm\ty_mm\nM1\tservo\t12,5\t100.25\n",
        'id,kind,x_mm,y_mm\n"M1","servo","12.5","100.25"\n',
        "\n\nid,kind,y_mm,x_mm\n,,,\nM1,servo, 100.25 , 12.5 \n\n",
    ],
)
def test_ways_a_spreadsheet_writes_a_list(read: Any, board: Draw, table: str) -> None:
    (servo,) = read(board, table).plan.devices
    assert (servo.x_mm, servo.y_mm) == (12.5, 100.25)


def test_encodings(read: Any, board: Draw) -> None:
    table = HEAD + "Stellwerk-Süd,panel,200,100,,,,,,\n"
    assert read(board, table.encode("utf-16")).plan.devices[0].id == "Stellwerk-Süd"
    old = read(board, table.encode("cp1252"))
    assert old.plan.devices[0].id == "Stellwerk-Süd"
    assert "BW-READ-051" in old.notes


def test_own_kinds_and_changed_ones(read: Any, board: Draw) -> None:
    kinds = {"Winch": {"length_mm": 70, "width_mm": 20}, "servo": {"depth_mm": 55}}
    servo, winch = read(
        board, HEAD + "a,servo,200,100,,,,,,\nb,winch,300,100,,,,,,\n", kinds=kinds
    ).plan.devices
    assert (servo.length_mm, servo.depth_mm) == (KINDS["servo"].length_mm, 55)
    assert (winch.kind, winch.length_mm, winch.width_mm, winch.depth_mm) == ("winch", 70, 20, 0)
    assert "BW-READ-052" in read(board, kinds={"winch": {"length_mm": 70}}).problems


BAD_ROWS = [
    ("M1,srvo,200,100", "BW-READ-046", 2, "'servo'"),
    ("M1,,200,100", "BW-READ-046", 2, "Valid kinds"),
    (
        "M1,Moteur,200,100",
        "BW-READ-046",
        2,
        "Did you mean 'point_motor'? Write it as the kind in the device list",
    ),
    ("M1,slow motor,200,100", "BW-READ-046", 2, "'slow_motion_motor'"),
    ("M1,servo,2oo,100", "BW-READ-043", 2, "number"),
    ("M1,servo,nan,100", "BW-READ-043", 2, "number"),
    ("M1,servo,1_000,100", "BW-READ-043", 2, "number"),
    ("M1,servo,200,100,0,-5", "BW-READ-043", 2, "number"),
    ("M1,servo,200,100,0,5,5,5,-1", "BW-READ-043", 2, "number"),
    ("M1,servo,200,", "BW-READ-047", 2, "both"),
    ("M1,servo,,", "BW-READ-047", 2, "Fill"),
    (",servo,200,100", "BW-READ-044", 2, "name"),
    ('"M1,servo,200,100\nM2,servo,300,100', "BW-READ-044", 2, "Close the quotation mark"),
    ("M1,servo,200,100\nM1,servo,300,100", "BW-READ-045", 2, "name"),
]


@pytest.mark.parametrize(("rows", "code", "row", "mend"), BAD_ROWS)
def test_bad_rows(read: Any, board: Draw, rows: str, code: str, row: int, mend: str) -> None:
    problems = read(board, HEAD + rows + "\n").problems
    assert set(problems) == {code}
    assert problems[code].where[0].row == row
    assert problems[code].where[0].file == "devices.csv"
    assert mend in problems[code].mend


def test_the_column_of_a_bad_number_is_named(read: Any, board: Draw) -> None:
    says = read(board, HEAD + "M1,servo,200,1O0,,,,,,\n").problems["BW-READ-043"].says
    assert says == "y_mm of M1 is not a number: '1O0'"


def test_every_bad_row_is_told(read: Any, board: Draw) -> None:
    problems = read(board, HEAD + "M1,srvo,200,100\n,servo,1,1\nM3,servo,x,1\n").problems
    assert set(problems) == {"BW-READ-043", "BW-READ-044", "BW-READ-046"}


def test_columns(read: Any, board: Draw) -> None:
    missing = read(board, "id,x_mm,y_mm\nM1,1,1\n").problems["BW-READ-041"]
    assert "'kind'" in missing.says
    case = read(board, "id,kind,x_mm,y_mm,anlge_deg\nM1,servo,200,100,90\n")
    assert "'angle_deg'" in case.notes["BW-READ-042"].mend
    assert "BW-READ-053" in read(board, "\n \n").notes
    assert "no device" in read(board, HEAD).notes["BW-READ-053"].says


@pytest.mark.parametrize(
    ("x", "mend"),
    [
        ("1.100,5", "nothing between thousands: 1100.5"),
        ("1 100", "nothing between thousands: 1100"),
        ("-1'100,25", "nothing between thousands: -1100.25"),
        ("1.100", "nothing between thousands: 1100"),  # 1.1 where a point stands before decimals
        ("1.100.000", "nothing between thousands: 1100000"),
        ("400 mm", "a plain number in mm"),
    ],
)
def test_marks_between_thousands_are_asked_about(read: Any, board: Draw, x: str, mend: str) -> None:
    found = read(board, f"id;kind;x_mm;y_mm\nM1;servo;{x};100\nM2;servo;200,5;100\n").problems
    assert mend in found["BW-READ-043"].mend


def test_three_decimals_are_decimals_in_a_list_that_has_points(read: Any, board: Draw) -> None:
    (device,) = read(board, "id;kind;x_mm;y_mm\nM1;servo;200.125;100.000\n").plan.devices
    assert (device.x_mm, device.y_mm) == (200.125, 100.0)


def test_a_refusal_tells_what_may_have_caused_it(read: Any, board: Draw) -> None:
    """Units that were assumed, and a layer that is not there, beside the device that is nowhere."""
    layers = {"outline": ["Edge"], "tracks": ["X"]}
    found = read(board, HEAD + "M1,servo,99999,100\n", insunits=0, layers=layers)
    assert set(found.problems) == {"BW-READ-048"}
    assert set(found.beside) == {"BW-READ-004", "BW-READ-009"}


def test_what_follows_from_a_wrong_row_is_not_told_as_its_cause(read: Any, to_bytes: Any) -> None:
    """A motor whose place cannot be read lies far from every turnout; that says nothing."""

    def draw(doc: Any) -> None:
        space, block = doc.modelspace(), doc.blocks.new("T")
        space.add_lwpolyline(
            [(0, 0), (1000, 0), (1000, 500), (0, 500)], close=True, dxfattribs={"layer": "Edge"}
        )
        block.add_lwpolyline([(0, -20), (200, -20), (200, 20), (0, 20)], close=True)
        space.add_blockref("T", (600, 250), dxfattribs={"layer": "TURNOUTS"})

    found = read(draw, HEAD + "M1,point_motor,60x,250\n")
    assert set(found.problems) == {"BW-READ-043"}
    assert "BW-READ-087" in found.notes
    assert found.beside == ()


def test_a_list_that_is_no_text(read: Any, board: Draw) -> None:
    assert "BW-READ-040" in read(board, b"PK\x03\x04\0\0\0\0stuff").problems


def test_two_devices_of_one_name_in_the_drawing(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        device(doc, "M1", "servo", (200, 100))
        device(doc, "M1", "servo", (400, 100))

    assert "M1" in read(draw).problems["BW-READ-045"].says


def test_off_the_layout_and_over_its_edge(read: Any, board: Draw) -> None:
    case = read(board, HEAD + "far,servo,2000,100\nedge,servo,200,5\nfine,servo,200,100\n")
    assert case.problems["BW-READ-048"].says == "far (servo) is not on the layout"
    assert [f.code for f in case.problems.values()] == ["BW-READ-048"]
    case = read(board, HEAD + "edge,servo,200,5\nfine,servo,200,100\n")
    assert "edge" in case.notes["BW-READ-049"].says


def test_a_decimal_comma_that_moves_the_cells_is_refused(read: Any, board: Draw) -> None:
    """450,150,5 under four columns, meant as x = 450 and y = 150.5: the 5 would be lost without a word."""
    head = "id,kind,x_mm,y_mm\n"
    found = read(board, head + "m,servo,450,150,5\n").problems["BW-READ-054"]
    assert "5" in found.says
    assert found.where[0].row == 2
    case = read(board, head + "m,servo,200,100,,\n")  # empty cells at the end do no harm
    assert [d.id for d in case.plan.devices] == ["m"]


@pytest.mark.parametrize(
    ("block", "kind"),
    [
        ("Weichenantrieb 3", "point_motor"),
        ("Moteur d'aiguille", "point_motor"),
        ("HAUT-PARLEUR", "loudspeaker"),
        ("Décoder", "electronics"),  # accents do not count
        ("Getriebe", None),
    ],
)
def test_blocks_named_in_other_languages(read: Any, board: Draw, block: str, kind: str | None) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.blocks.new(block).add_circle((0, 0), 5)
        doc.modelspace().add_blockref(block, (200, 100), dxfattribs={"layer": "Devices"})

    case = read(draw)
    if kind:
        assert [d.kind for d in case.plan.devices] == [kind]
    else:
        assert "Give its block an attribute KIND that says so" in case.problems["BW-READ-046"].mend
