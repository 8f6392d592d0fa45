"""Parts of a box frame, worked by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest
from msgspec.structs import replace
from part_making import FRAMING, part, pilots, plain

from boardwright import Notes, Severity
from boardwright_stages.joints.settings import JointSettings
from boardwright_stages.joints.stages import fixings
from boardwright_stages.parts.stages import parts
from boardwright_stages.wiring.settings import WiringSettings
from boardwright_stages.wiring.stages import wiring
from boardwright_timber.model import (
    BoardPlan,
    BoardWiring,
    Joint,
)
from boardwright_timber.reference import density_kg_m3


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


def test_two_members_of_one_name_and_one_without_its_boards_are_faults(plain_box) -> None:
    """A slip of a club's own style: holes are kept by name, and one would get the other's."""
    notes = Notes()
    plain(plain_box, notes=notes)
    assert not [f for f in notes.findings if f.code == "BW-PART-008"]
    first, second, *others = plain_box.frame.members
    twins = (
        first,
        replace(second, id=first.id),
        *(replace(m, id=m.id.removeprefix("A-")) for m in others[:1]),
    )
    slipped = SimpleNamespace(**vars(plain_box) | {"frame": replace(plain_box.frame, members=twins)})
    plain(slipped, notes=notes)
    told = [f for f in notes.findings if f.code == "BW-PART-008"]
    assert [f.severity for f in told] == [Severity.FAULT] * 2
    assert "2 members of board A are called A-S0" in told[0].says
    assert "A member of board A is called S2" in told[1].says


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
