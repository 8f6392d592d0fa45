"""The check report: a sound pair passes, and every check fails when its own matter is spoilt."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from types import SimpleNamespace

import msgspec
import pytest
import shapely
import shapely.affinity

from boardwright import Notes
from boardwright.plan.model import Device, Outline, TrackPlan
from boardwright_stages.checks.geometry import outside_deck
from boardwright_stages.checks.reassembly import Solid
from boardwright_stages.checks.stages import checks
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.strength.settings import SupportSettings
from boardwright_timber.model import BoardParts, CheckLine, CheckReport, HoleKind

replace = msgspec.structs.replace
OUTLINE = Outline(id="O1", ring=((0, 0), (2000, 0), (2000, 600), (0, 600)))


@pytest.fixture
def pair(straight_pair: Callable, build: Callable):
    a, b = straight_pair()
    made = {"A": a, "B": b}
    return made, build(made)


def report(pair, parts=None, outline=OUTLINE, devices=(), settings=None) -> tuple[CheckReport, Notes]:
    made, built = pair
    notes = Notes()
    plan = TrackPlan(name="pair", drawing_file="pair.dxf", scale_ratio=87.0, outlines=(outline,))
    answer = checks(
        plan,
        {n: m.board for n, m in made.items()},
        {n: replace(p, devices=devices) for n, p in built.plans.items()},
        parts or built.parts,
        {n: m.frame for n, m in made.items()},
        settings or SplittingSettings(),
        SupportSettings(),
        notes,
    )
    return answer, notes


def line(answer: CheckReport, number: int) -> CheckLine:
    return next(x for x in answer.lines if x.code == f"BW-CHECK-{number:03d}")


def spoilt(pair, board: str, part: str, **changes) -> dict[str, BoardParts]:
    """All parts, with one part of one board changed."""
    _, built = pair
    own = tuple(replace(p, **changes) if p.id == part else p for p in built.parts[board].parts)
    return {**built.parts, board: replace(built.parts[board], parts=own)}


def failed(answer: CheckReport) -> list[str]:
    return [x.code for x in answer.lines if not x.passed]


def part(pair, board: str, name: str):
    return next(p for p in pair[1].parts[board].parts if p.id == name)


def test_a_sound_pair_passes(pair) -> None:
    answer, notes = report(pair)
    assert failed(answer) == []
    assert notes.findings == []
    assert answer.passed
    assert [x.code for x in answer.lines] == [f"BW-CHECK-{n:03d}" for n in range(1, 10)]
    # six holes of the joint in either board: two bolts, two dowels, two wires
    assert (line(answer, 2).counted, line(answer, 3).counted) == (12, 12)
    # the nearest hole to an edge: a pilot in the middle of 12 mm, 6 from the end, 3 wide
    assert line(answer, 8).measured == 2.0


def test_decks_that_leave_a_strip(pair) -> None:
    """The outline drawn 10 mm longer: 10 × 600 mm² are bare."""
    wide = replace(OUTLINE, ring=((0, 0), (2010, 0), (2010, 600), (0, 600)))
    answer, notes = report(pair, outline=wide)
    assert failed(answer) == ["BW-CHECK-001"]
    assert line(answer, 1).measured == pytest.approx(6000, abs=1e-3)
    assert [(f.code, f.severity) for f in notes.findings] == [("BW-CHECK-001", "fault")]


def test_decks_that_lie_twice(pair) -> None:
    """B's deck put 5 mm to the left: 5 × 600 twice and 5 × 600 bare."""
    deck = part(pair, "B", "B-D")
    moved = spoilt(pair, "B", "B-D", placement=replace(deck.placement, x_mm=deck.placement.x_mm - 5))
    assert line(report(pair, moved)[0], 1).measured == pytest.approx(6000, abs=1e-3)


def test_a_hole_drilled_a_little_off(pair) -> None:
    end = part(pair, "B", "B-E3")
    for off, codes in ((0.009, []), (0.011, ["BW-CHECK-003"])):
        holes = tuple(replace(h, y_mm=h.y_mm + off) if h.kind is HoleKind.DOWEL else h for h in end.holes)
        assert failed(report(pair, spoilt(pair, "B", "B-E3", holes=holes))[0]) == codes


def test_a_hole_forgotten(pair) -> None:
    end = part(pair, "B", "B-E3")
    answer, _ = report(pair, spoilt(pair, "B", "B-E3", holes=end.holes[1:]))
    assert failed(answer) == ["BW-CHECK-002"]
    assert line(answer, 2).measured == 1


def test_a_hole_of_another_size_is_no_mate(pair) -> None:
    end = part(pair, "B", "B-E3")
    holes = (replace(end.holes[0], diameter_mm=8.0), *end.holes[1:])
    answer, _ = report(pair, spoilt(pair, "B", "B-E3", holes=holes))
    assert line(answer, 2).measured == 2  # neither has a mate


def test_a_joist_under_a_point_motor(pair) -> None:
    """A's joist stands from x = 344 to 356. A motor's clearance from 350 to 440 covers 6 × 70 mm² of it."""
    motor = Device(
        id="M1",
        kind="point motor",
        x_mm=395,
        y_mm=300,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )
    answer, _ = report(pair, devices=(motor,))
    assert failed(answer) == ["BW-CHECK-004"]
    assert line(answer, 4).measured == pytest.approx(6 * 70, abs=1e-3)
    beside = replace(motor, x_mm=401)  # from 356 on: touching is allowed
    assert failed(report(pair, devices=(beside,))[0]) == []


def test_a_board_too_large(pair) -> None:
    for longest, codes in (
        (1000.0, []),
        (999.9905, []),
        (999.98, ["BW-CHECK-005"]),
        (990.0, ["BW-CHECK-005"]),
    ):
        answer, _ = report(pair, settings=SplittingSettings(max_length_mm=longest))
        assert failed(answer) == codes
    assert line(answer, 5).measured == 10


def test_a_board_that_splitting_left_too_large_is_no_defect(pair) -> None:
    """1000 where 990 are wanted splitting has told; a deck of 1006, whatever is wanted, it has not."""
    deck = part(pair, "A", "A-D")
    grown = spoilt(pair, "A", "A-D", ring=tuple((x + 6 * (x > 500), y) for x, y in deck.ring))
    for longest, parts, over, is_defect in (
        (990.0, None, 10, False),
        (990.0, grown, 16, True),
        (1000.0, grown, 6, True),
    ):
        answer, notes = report(pair, parts, settings=SplittingSettings(max_length_mm=longest))
        assert line(answer, 5).measured == pytest.approx(over, abs=1e-3)
        (fault,) = [f for f in notes.findings if f.code == "BW-CHECK-005"]
        assert fault.severity == "fault"
        assert ("report it as a defect" in fault.mend, "BW-SPLIT-001" in fault.mend) == (
            is_defect,
            not is_defect,
        )


def test_a_joist_too_long(pair) -> None:
    """A joist cut 1 mm too long stands 1 × 12 mm² in the far side."""
    joist = part(pair, "A", "A-J1")
    answer, _ = report(pair, spoilt(pair, "A", "A-J1", length_mm=joist.length_mm + 1))
    assert failed(answer) == ["BW-CHECK-006"]
    assert line(answer, 6).measured == pytest.approx(12, abs=1e-3)


def test_a_level_inside_another_is_no_defect(pair) -> None:
    """B put 40 mm above A, and over it: their frames meet, each by itself does not."""
    made, built = pair
    for up_mm, mend in ((40.0, "BW-SPACE-006"), (0.0, "report it as a defect")):
        over = replace(made["B"].board, level_mm=up_mm, origin=made["A"].board.origin)
        moved = {**made, "B": dataclasses.replace(made["B"], board=over)}
        _, notes = report((moved, built))
        (fault,) = [f for f in notes.findings if f.code == "BW-CHECK-006"]
        assert mend in fault.mend


def test_an_end_beyond_its_deck(pair) -> None:
    """A's free end put 2 mm out: 2 × 576 outside its deck (and nothing else is there to hit)."""
    end = part(pair, "A", "A-E3")
    out = spoilt(pair, "A", "A-E3", placement=replace(end.placement, x_mm=end.placement.x_mm - 2))
    answer, _ = report(pair, out)
    assert failed(answer) == ["BW-CHECK-007"]
    assert line(answer, 7).measured == pytest.approx(2 * 576, abs=1e-3)


def test_a_hole_at_the_edge(pair) -> None:
    """A 3 mm pilot 2 mm from the edge: 0.667 diameters."""
    side = part(pair, "A", "A-S0")
    holes = (replace(side.holes[0], y_mm=2.0), *side.holes[1:])
    answer, _ = report(pair, spoilt(pair, "A", "A-S0", holes=holes))
    assert failed(answer) == ["BW-CHECK-008"]
    assert line(answer, 8).measured == pytest.approx(2 / 3, abs=1e-6)


def test_two_holes_run_together(pair) -> None:
    """Pilots at 30 and 35: 5 - 3 = 2 mm of wood."""
    side = part(pair, "A", "A-S0")
    holes = (side.holes[0], replace(side.holes[1], y_mm=side.holes[0].y_mm + 5), *side.holes[2:])
    answer, _ = report(pair, spoilt(pair, "A", "A-S0", holes=holes))
    assert failed(answer) == ["BW-CHECK-009"]
    assert line(answer, 9).measured == pytest.approx(2.0)


def test_bevelled_strips_are_put_back(boxes) -> None:
    """A strip with unlike bevels comes back to its very corners."""
    from boardwright_stages.checks.reassembly import solid
    from boardwright_stages.parts.members import member_part

    made = boxes.box("A", ((100, 50), (1100, 90), (1400, 700), (0, 600)), (), (300.0, 700.0))
    for member in (*made.frame.members, *made.joists.members):
        back = solid(made.board, member_part("A", member, ()))
        drawn = [made.board.to_plan(p) for p in member.outline]
        for (x, y), (u, v) in zip(drawn, back.shape.exterior.coords[:-1], strict=True):
            assert abs(x - u) < 1e-5
            assert abs(y - v) < 1e-5
        assert (back.low_mm, back.high_mm) == (-90.0, 0.0)


def test_a_member_along_the_edge_of_its_deck_is_under_it() -> None:
    """An end of 353 x 18 mm from a board at 107.3°, its face on the deck's edge but for 1e-9 mm: of these
    very numbers GEOS 3.14 says without a grid that they share nothing."""
    end = shapely.Polygon(
        [
            (-46.45257417600709, 689.9221714669749),
            (289.42550965418883, 794.5365449692249),
            (284.07276192078865, 811.7222393602752),
            (-53.28753076485026, 706.6462092085545),
        ]
    )
    deck = shapely.Polygon(
        [
            (-301.45607922293044, 1238.927079366675),
            (-137.82555128411673, 862.3611975812651),
            (-82.3902667793401, 707.7136279200296),
            (-73.62416905456814, 681.4591620831454),
            (306.61120404523916, 799.8892927026251),
            (128.18628025595353, 1372.7457736564393),
        ]
    )
    part = SimpleNamespace(id="B01-E1")
    solid = Solid(part, end, -90.0, 0.0)  # type: ignore[arg-type]  # only what is measured of a part
    assert outside_deck([(solid, deck)]).value < 0.01
    moved = Solid(part, shapely.affinity.translate(end, 0.0, -18.0), -90.0, 0.0)  # type: ignore[arg-type]  # as above
    assert outside_deck([(moved, deck)]).value > 5000.0
