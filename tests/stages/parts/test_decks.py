"""Decks with their marks, wells and feeds."""

from __future__ import annotations

import math

import pytest
from part_making import part, plain

from boardwright import Notes
from boardwright.plan.model import Circle, Device, Track, Turnout
from boardwright_outputs.verify.shapes import part_shape
from boardwright_stages.parts.deck import deck_parts
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import Board, BoardPlan, MarkKind


def test_the_deck_and_its_marks(boxes) -> None:
    made = boxes.box("A", ((100, 50), (1100, 50), (1100, 650), (100, 650)), (), (350.0,))
    motor = Device(
        id="M1",
        kind="point motor",
        x_mm=600,
        y_mm=350,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )
    astride = Device(
        id="M2",
        kind="point motor",
        x_mm=1110,
        y_mm=350,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )
    far = Device(
        id="M3",
        kind="point motor",
        x_mm=1140,
        y_mm=350,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )
    feed = Device(
        id="F1",
        kind="feed",
        x_mm=300,
        y_mm=150,
        length_mm=4,
        width_mm=4,
        depth_mm=0,
        clearance_mm=5,
        hole_mm=3,
    )
    plan = BoardPlan(
        board="A",
        devices=(motor, astride, far, feed),
        own_devices=("M1", "F1"),
        tracks=(Track(id="T1", points=((100, 350), (1100, 350))),),
        turnouts=(
            Turnout(id="P1", x_mm=500, y_mm=350, ring=((450, 320), (550, 320), (550, 380), (450, 380))),
        ),
    )
    deck = part(plain(made, plan), "A-D")
    assert deck.ring == ((0, 0), (1000, 0), (1000, 600), (0, 600))
    by_kind = {k: [m.text for m in deck.marks if m.kind is k] for k in MarkKind}
    assert by_kind[MarkKind.DEVICE] == [
        "M1",
        "M2",
        "F1",
    ]  # M3's clearance reaches the board, its body does not
    assert by_kind[MarkKind.TRACK] == ["T1"]
    assert by_kind[MarkKind.TURNOUT] == ["P1"]
    assert by_kind[MarkKind.MEMBER] == ["A-S0", "A-E1", "A-S2", "A-E3", "A-J1"]
    motor_mark, cut_mark = (next(m for m in deck.marks if m.text == name) for name in ("M1", "M2"))
    assert motor_mark.points == ((470, 280), (530, 280), (530, 320), (470, 320))
    assert {x for x, _ in cut_mark.points} == {980, 1000}  # 1080 to 1140 in the plan, cut at the deck's edge
    joist = next(m for m in deck.marks if m.text == "A-J1")
    assert joist.points == ((350, 12), (350, 588))
    assert [(h.x_mm, h.y_mm, h.diameter_mm, h.note) for h in deck.holes] == [
        (200, 100, 3.0, "dropper of feed F1")
    ]


def test_a_deck_with_a_well(boxes) -> None:
    import msgspec

    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)))
    well = ((300, 200), (300, 400), (700, 400), (700, 200))
    with_well = type(made)(msgspec.structs.replace(made.board, wells=(well,)), made.frame, made.joists)
    deck = part(plain(with_well), "A-D")
    assert deck.openings == (well,)
    assert deck.area_mm2 == 1000 * 600 - 400 * 200


@pytest.mark.parametrize(
    ("x", "on"), [(350, "A-J1"), (357.4, "A-J1"), (357.6, None), (342.6, "A-J1"), (342.4, None)]
)
def test_feeds_over_wood(plain_box, x: float, on: str | None) -> None:
    """The joist stands from 344 to 356; a hole of 3 mm reaches 1.5 to either side."""
    feed = Device(
        id="F1",
        kind="feed",
        x_mm=x,
        y_mm=300,
        length_mm=4,
        width_mm=4,
        depth_mm=30,
        clearance_mm=5,
        hole_mm=3,
    )
    notes = Notes()
    plain(plain_box, BoardPlan(board="A", devices=(feed,), own_devices=("F1",)), notes)
    assert [f.code for f in notes.findings] == (["BW-PART-003"] if on else [])
    assert all(on in f.says for f in notes.findings if on)


@pytest.mark.parametrize(
    ("apart", "slot_mm", "left"),
    [
        (0.0, 0.0, "run into each other"),  # -12 mm
        (14.0, 0.0, "leave 2.0 mm of wood between them"),  # 14 less two radii of 6
        (15.0, 0.0, None),
        (24.0, 24.0, "run into each other"),  # slots of 24 end to end: their round ends touch
        (27.0, 24.0, None),  # 3 mm between the ends
    ],
)
def test_devices_whose_holes_lie_too_near(plain_box, apart: float, slot_mm: float, left: str | None) -> None:
    motors = tuple(
        Device(
            id=f"PM{n}",
            kind="point_motor",
            x_mm=150 + n * apart,
            y_mm=300,
            angle_deg=90,
            length_mm=60,
            width_mm=30,
            depth_mm=40,
            clearance_mm=0,
            hole_mm=12,
            slot_mm=slot_mm,
        )
        for n in (0, 1)
    )
    notes = Notes()
    plain(plain_box, BoardPlan(board="A", devices=motors, own_devices=("PM0", "PM1")), notes)
    assert [f.code for f in notes.findings] == (["BW-PART-007"] if left else [])
    for f in notes.findings:
        assert f.says == f"The holes through the deck for point motor PM0 and point motor PM1 {left}."


@pytest.mark.parametrize("seams", [(700.0,), (300.0, 700.3, 1390.0), (20.0, 1333.3)])
def test_a_seam_meets_a_round_edge_on_the_arc(seams: tuple[float, ...]) -> None:
    """Each piece of a disc of radius r, its edge followed round, has the area between two parallel chords:
    the integral of 2 √(r² − x²), which is x √(r² − x²) + r² arcsin(x / r) (calculus)."""
    r = 700.0
    steps = 200
    ring = tuple(
        snap_point((r + r * math.cos(t), r + r * math.sin(t)))
        for t in (2 * math.pi * n / steps + 0.001 for n in range(steps))
    )
    circle = Circle(x_mm=r, y_mm=r, radius_mm=r, chord_mm=math.dist(ring[0], ring[1]))
    board = Board(
        id="A",
        outline="O1",
        level_mm=0,
        ring=ring,
        circles=(circle,),
        origin=(0, 0),
        angle_deg=0.0,
        length_mm=2 * r,
        width_mm=2 * r,
    )
    made = deck_parts(board, BoardPlan(board="A"), (), "birch ply", 9.0, seams=seams)

    def up_to(x: float) -> float:
        return (x - r) * math.sqrt(max(r**2 - (x - r) ** 2, 0.0)) + r**2 * math.asin((x - r) / r)

    for piece, low, high in zip(made, (0.0, *seams), (*seams, 2 * r), strict=True):
        assert part_shape(piece).area == pytest.approx(up_to(high) - up_to(low), abs=1.0)
