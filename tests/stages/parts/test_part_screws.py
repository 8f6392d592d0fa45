"""Where the screws of a box frame go, worked by hand."""

from __future__ import annotations

import math

import pytest
from part_making import FRAMING, part, pilots, plain

from boardwright import Notes
from boardwright_stages.parts.butts import butts
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import (
    BoardFixings,
    BoardPlan,
    BoardWiring,
    Face,
    HoleKind,
)


def test_pilots_by_hand(plain_box) -> None:
    """Two at each butt, 30 from both edges: y = 30 and 60. Ends meet the near side at 6 and 994."""
    near = part(plain(plain_box), "A-S0")
    assert pilots(near) == [(6, 30), (6, 60), (350, 30), (350, 60), (994, 30), (994, 60)]
    assert {(h.diameter_mm, h.depth_mm, h.face) for h in near.holes} == {(3.0, None, Face.OUTER)}
    assert pilots(part(plain(plain_box), "A-J1")) == []


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


@pytest.mark.parametrize(("lean", "tilt"), [(1.0, 0.0), (3.0, 1.718)])  # atan 0.01 = 0.57°, atan 0.03 = 1.72°
def test_a_butt_skewed_by_less_than_a_degree_is_drilled_square(boxes, lean: float, tilt: float) -> None:
    made = boxes.box("A", ((0, 0), (1000, 0), (1000 + lean, 100), (0, 100)))
    found = next(b for b in butts(made.frame.members) if b.butting.id == "A-E1" and not b.at_end)
    at = round(found.through_mm, 6)
    holes = [h for h in part(plain(made), "A-S0").holes if h.kind is HoleKind.PILOT and h.x_mm == at]
    assert [round(abs(h.tilt_deg), 3) for h in holes] == [tilt, tilt]
    assert all(("off square" in h.note) == bool(tilt) for h in holes)


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
