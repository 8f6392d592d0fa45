"""Parts of a box frame, worked by hand."""

from __future__ import annotations

import math

import pytest

from boardwright import Notes
from boardwright.plan.model import Device, Track, Turnout
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.parts.butts import butts
from boardwright_stages.parts.stages import parts
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import (
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    Face,
    HoleKind,
    Joint,
    MarkKind,
    Part,
)
from boardwright_timber.reference import density_kg_m3

FRAMING = FramingSettings(deck_material="birch ply", deck_thickness_mm=9.0)


def plain(made, plan: BoardPlan | None = None, notes: Notes | None = None) -> BoardParts:
    """Parts without fixings or wires."""
    return parts(
        made.board,
        plan or BoardPlan(board=made.board.id),
        made.frame,
        made.joists,
        BoardFixings(board=made.board.id),
        BoardWiring(board=made.board.id),
        FRAMING,
        notes if notes is not None else Notes(),
    )


def part(made: BoardParts, name: str) -> Part:
    return next(p for p in made.parts if p.id == name)


def pilots(p: Part) -> list[tuple[float, float]]:
    return [(h.x_mm, h.y_mm) for h in p.holes if h.kind is HoleKind.PILOT]


@pytest.fixture
def plain_box(boxes):
    return boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (), (350.0,))


def test_sizes_and_labels(plain_box) -> None:
    """Sides run through: 1000. Ends and joists fit between: 600 - 2 × 12 = 576. All 90 deep."""
    made = plain(plain_box)
    assert [(p.id, p.length_mm, p.width_mm, p.thickness_mm) for p in made.parts] == [
        ("A-D", 1000.0, 600.0, 9.0),
        ("A-S0", 1000.0, 90.0, 12.0),
        ("A-E1", 576.0, 90.0, 12.0),
        ("A-S2", 1000.0, 90.0, 12.0),
        ("A-E3", 576.0, 90.0, 12.0),
        ("A-J1", 576.0, 90.0, 12.0),
    ]
    assert all(p.label == p.id for p in made.parts)


def test_the_drawn_face_is_seen_from_outside(plain_box) -> None:
    """The near side's datum is its left end as seen from outside (from -v): at u = 0, x to the right is +u.

    The far side is seen from +v, where right is -u: its datum is at u = 1000. A joist at u = 350 is 350 from
    the near side's datum, 650 from the far side's.
    """
    made = plain(plain_box)
    near, far = part(made, "A-S0"), part(made, "A-S2")
    assert (near.placement.x_mm, near.placement.y_mm, near.placement.angle_deg) == (0, 0, 0)
    assert (far.placement.x_mm, far.placement.y_mm, abs(far.placement.angle_deg)) == (1000, 600, 180)
    assert near.placement.z_mm == -90
    assert 350.0 in {x for x, _ in pilots(near)}
    assert 650.0 in {x for x, _ in pilots(far)}


def test_pilots_by_hand(plain_box) -> None:
    """Two at each butt, 30 from both edges: y = 30 and 60. Ends meet the near side at 6 and 994."""
    near = part(plain(plain_box), "A-S0")
    assert pilots(near) == [(6, 30), (6, 60), (350, 30), (350, 60), (994, 30), (994, 60)]
    assert {(h.diameter_mm, h.depth_mm, h.face) for h in near.holes} == {(3.0, None, Face.OUTER)}
    assert pilots(part(plain(plain_box), "A-J1")) == []


def test_area_and_mass(plain_box) -> None:
    """The near side: 1000 × 90 less six 3 mm pilots (7.0686 mm² each), times 12 mm, times its density."""
    near = part(plain(plain_box), "A-S0")
    area = 1000 * 90 - 6 * math.pi * 9 / 4
    assert near.area_mm2 == pytest.approx(area, abs=1e-3)
    assert near.mass_kg == pytest.approx(area * 12 * density_kg_m3("birch ply", 12) * 1e-9, abs=1e-6)
    made = plain(plain_box)
    assert made.mass_kg == pytest.approx(sum(p.mass_kg for p in made.parts), abs=1e-6)


def test_bevelled_ends_weigh_what_they_are(boxes) -> None:
    """An end at 45° between its sides: faces 12 mm different at each end, so the mean length counts."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1600, 600), (0, 600)))
    slanting = part(plain(made), "A-E1")
    # between v = 12 and v = 588 along a 45° line: 576 × √2 = 814.59 on both faces, offset by 12
    assert slanting.left_bevel_deg == pytest.approx(-45)
    assert slanting.right_bevel_deg == pytest.approx(45)
    assert slanting.length_mm == pytest.approx(576 * math.sqrt(2) + 12)
    wood = 576 * math.sqrt(2) * 12 * 90
    lost = sum(math.pi * h.diameter_mm**2 / 4 for h in slanting.holes) * 12
    assert slanting.mass_kg == pytest.approx((wood - lost) * density_kg_m3("birch ply", 12) * 1e-9, abs=1e-6)


def test_too_skewed_to_screw(boxes) -> None:
    notes = Notes()
    made = boxes.box("A", ((0, 0), (1000, 0), (1600, 600), (0, 600)))
    plain(made, notes=notes)
    assert [f.code for f in notes.findings] == ["BW-PART-001", "BW-PART-001"]


def test_a_skewed_butt_is_drilled_in_line(boxes) -> None:
    """An end leaning by 30 in 100: 16.7° off square. Its centreline meets the near side's outer face where
    the line through the middle of its end, (1006.26 + 3.6, 12) back by 12 × 0.3 = 3.6, comes out."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1030, 100), (0, 100)))
    found = next(b for b in butts(made.frame.members) if b.butting.id == "A-E1" and not b.at_end)
    assert found.skew_deg == pytest.approx(math.degrees(math.atan(0.3)))
    middle = [(a + b) / 2 for a, b in zip(found.butting.outer_start, found.butting.inner_start, strict=True)]
    assert found.through_mm == pytest.approx(middle[0] - 12 * 0.3)
    hole = next(h for h in part(plain(made), "A-S0").holes if "A-E1" in h.note)
    assert hole.note == "countersink, screw 4 × 50, drill 17° off square, in line with A-E1"


def test_mitres_are_not_screwed(boxes) -> None:
    """Four strips mitred at 45°: no butt joint anywhere."""
    from boardwright_timber.model import Member, MemberRole

    outer = ((0, 0), (1000, 0), (1000, 600), (0, 600))
    inner = ((12, 12), (988, 12), (988, 588), (12, 588))
    members = tuple(
        Member(
            id=f"M{n}",
            role=MemberRole.SIDE,
            outer_start=outer[n],
            outer_end=outer[(n + 1) % 4],
            inner_start=inner[n],
            inner_end=inner[(n + 1) % 4],
            thickness_mm=12,
            depth_mm=90,
            material="birch ply",
        )
        for n in range(4)
    )
    assert butts(members) == ()


def test_pilots_keep_clear_of_a_wire_hole_in_the_way(boxes) -> None:
    """A deep wire hole of 60 mm through the near side right at the joist leaves 15 mm above and below it:
    nearer than 2 + 4 mm to its rim nothing may go, so a screw stands at most 9 mm from an edge, where 12 are
    wanted: both are left out with one caution. With 40 mm (rim at 25 and 65) they move to 19 and 71: the
    heights tried are 2.5 apart, 30 - 12.5 = 17.5 and 72.5."""
    from boardwright_timber.model import WireHole

    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (), (350.0,))

    def drilled(diameter: float) -> tuple[list[tuple[float, float]], list[str]]:
        notes = Notes()
        hole = WireHole(member="A-S0", along_mm=350, z_mm=-45, x_mm=350, y_mm=0, diameter_mm=diameter)
        answer = parts(
            made.board,
            BoardPlan(board="A"),
            made.frame,
            made.joists,
            BoardFixings(board="A"),
            BoardWiring(board="A", holes=(hole,)),
            FRAMING,
            notes,
        )
        at_joist = [p for p in pilots(part(answer, "A-S0")) if p[0] == 350]
        return at_joist, [f.code for f in notes.findings]

    assert drilled(60) == ([], ["BW-PART-002"])
    assert drilled(40) == ([(350, 17.5), (350, 72.5)], [])


def test_a_screw_does_not_run_into_a_bolt_in_the_butting_end(boxes) -> None:
    """A bolt 20 mm from the end of an end piece lies in the screws' way (they enter 50 - 12 = 38 mm).

    At mid depth (45) its hole of 9 with 4 + 2 around it takes 34.5 to 55.5: screws at 30 and 60 pass. In a
    frame 60 deep the screws stand at 20 and 40, the bolt at 30 takes 19.5 to 40.5: they move to 17.5, 42.5.
    """
    from dataclasses import replace

    from boardwright_timber.model import Fixing, FixingKind

    for depth, heights in ((90.0, {30.0, 60.0}), (60.0, {17.5, 42.5})):
        made = replace(boxes, depth_mm=depth).box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)))
        bolt = Fixing(
            id="J01-A",
            joint="J01",
            kind=FixingKind.BOLT,
            size="M8",
            along_mm=32,
            x_mm=1000,
            y_mm=32,
            z_mm=-depth / 2,
            hole_diameter_mm=9,
            grip_mm=24,
        )
        answer = parts(
            made.board,
            BoardPlan(board="A"),
            made.frame,
            made.joists,
            BoardFixings(board="A", fixings=(bolt,)),
            BoardWiring(board="A"),
            FRAMING,
            Notes(),
        )
        assert {y for x, y in pilots(part(answer, "A-S0")) if x == 994} == heights


def test_bolt_dowel_and_wire_holes_of_an_end(straight_pair) -> None:
    """B's end travels in -y from y = 588: a hole at plan y is 588 - y from its datum, 45 up from its foot."""
    a, b = straight_pair()
    plan, plans = BoardPlan(board="B"), {"A": BoardPlan(board="A")}
    around = (b.board, {"A": a.board}, plan, plans, b.frame, {"A": a.frame}, b.joists, {"A": a.joists})
    fixed = fixings(*around, JointSettings(), Notes())
    wired = wiring(*around, fixed, WiringSettings(), Notes())
    made = parts(b.board, plan, b.frame, b.joists, fixed, wired, FRAMING, Notes())
    end = part(made, "B-E3")
    assert [(h.kind.value, h.x_mm, h.y_mm, h.joint) for h in end.holes] == [
        ("bolt", 588 - 556, 45, "J01"),
        ("dowel", 588 - 516, 45, "J01"),
        ("wire", 588 - 333, 45, "J01"),
        ("wire", 588 - 267, 45, "J01"),
        ("dowel", 588 - 84, 45, "J01"),
        ("bolt", 588 - 44, 45, "J01"),
    ]


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
        id="F1", kind="feed", x_mm=300, y_mm=150, length_mm=4, width_mm=4, depth_mm=0, clearance_mm=5
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


def test_a_joint_across_a_side(boxes) -> None:
    """A T: the fixings of B's end are drilled in A's far side and nowhere else in A."""
    joint = Joint(id="J02", boards=("A", "B"), start=(700.0, 600.0), end=(200.0, 600.0))
    a = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (joint,), (250.0, 500.0))
    b = boxes.box("B", ((700, 600), (700, 1400), (200, 1400), (200, 600)), (joint,), (300.0,))
    plan, plans = BoardPlan(board="A"), {"B": BoardPlan(board="B")}
    around = (a.board, {"B": b.board}, plan, plans, a.frame, {"B": b.frame}, a.joists, {"B": b.joists})
    fixed = fixings(*around, JointSettings(), Notes())
    made = parts(
        a.board, BoardPlan(board="A"), a.frame, a.joists, fixed, BoardWiring(board="A"), FRAMING, Notes()
    )
    held = {p.id: [h.x_mm for h in p.holes if h.joint] for p in made.parts}
    assert {k for k, v in held.items() if v} == {"A-S2"}
    assert held["A-S2"] == [1000 - 629, 1000 - 589, 1000 - 311, 1000 - 271]


@pytest.mark.parametrize(
    ("x", "on"), [(350, "A-J1"), (357.4, "A-J1"), (357.6, None), (342.6, "A-J1"), (342.4, None)]
)
def test_feeds_over_wood(plain_box, x: float, on: str | None) -> None:
    """The joist stands from 344 to 356; a hole of 3 mm reaches 1.5 to either side."""
    feed = Device(
        id="F1", kind="feed", x_mm=x, y_mm=300, length_mm=4, width_mm=4, depth_mm=30, clearance_mm=5
    )
    notes = Notes()
    plain(plain_box, BoardPlan(board="A", devices=(feed,), own_devices=("F1",)), notes)
    assert [f.code for f in notes.findings] == (["BW-PART-003"] if on else [])
    assert all(on in f.says for f in notes.findings if on)


def test_screws_lying_in_the_through_member_are_kept_clear_of(boxes) -> None:
    """A short strip meets A's end 20 mm from the near side, where that side's screws lie in the end (38 mm
    deep, at 30 and 60 up). Eight millimetres are wanted between screws: in steps of 2.5 that is 10, so its
    screws stand at 20 and 70."""
    from boardwright_timber.model import Member, MemberRole

    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)))
    strip = Member(
        id="N",
        role=MemberRole.JOIST,
        outer_start=(988, 38),
        outer_end=(700, 38),
        inner_start=(988, 26),
        inner_end=(700, 26),
        thickness_mm=12,
        depth_mm=90,
        material="birch ply",
    )
    joists = type(made.joists)(board="A", members=(strip,), spacing_mm=300, limit_mm=400)
    answer = plain(type(made)(made.board, made.frame, joists))
    assert pilots(part(answer, "A-E1")) == [(20, 20), (20, 70)]


def test_a_joist_that_stands_against_nothing(boxes) -> None:
    """Its right end 5 mm short of the far side: told, and only the left end is screwed."""
    import msgspec

    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (), (350.0,))
    (joist,) = made.joists.members
    short = msgspec.structs.replace(joist, outer_end=(356, 583), inner_end=(344, 583))
    notes = Notes()
    joists = msgspec.structs.replace(made.joists, members=(short,))
    answer = plain(type(made)(made.board, made.frame, joists), notes=notes)
    assert [f.code for f in notes.findings] == ["BW-PART-004"]
    assert "The right end of joist A-J1" in notes.findings[0].says
    assert 350 in {x for x, _ in pilots(part(answer, "A-S0"))}
    assert 650 not in {x for x, _ in pilots(part(answer, "A-S2"))}


@pytest.mark.parametrize(("end", "codes"), [(353.1, []), (352.9, ["BW-PART-005"])])
def test_screws_that_would_break_out(boxes, end: float, codes: list[str]) -> None:
    """A joist's middle at x = 350 against a strip ending at 353.1: 3.1 mm of wood, 3 are wanted."""
    import msgspec

    from boardwright_stages.parts.butts import Butt
    from boardwright_stages.parts.screws import Bored, drill

    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 600), (0, 600)), (), (350.0,))
    side, joist = made.frame.members[0], made.joists.members[0]
    cut = msgspec.structs.replace(side, outer_end=(end, 0), inner_end=(end, 12))
    butt = Butt(through=cut, butting=joist, at_end=False, through_mm=350, head_outer=True, skew_deg=0)
    bored, notes = {side.id: Bored([], []), joist.id: Bored([], [])}, Notes()
    drill((butt,), bored, "A", notes)
    assert [f.code for f in notes.findings] == codes
    assert len(bored[side.id].holes) == (0 if codes else 2)
