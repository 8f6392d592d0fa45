"""What stands under a board, counted by hand: a box 1200 × 600, 90 mm deep, level 0, floor 1000 mm below."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis
from hypothesis import strategies as st
from msgspec.structs import replace

from boardwright import Notes
from boardwright_stages.hardware.leg_bolting import leg_bolts, meets_next
from boardwright_stages.hardware.supporting import support_lines
from boardwright_stages.joints.wall import anchors_along, wall_anchors
from boardwright_stages.strength.net import centreline
from boardwright_stages.strength.settings import SupportSettings
from boardwright_stages.strength.standing import about_names, standing
from boardwright_timber.model import BoardStrength, HardwareLine, Joint, Leg, Member, SupportPoint


def counted(
    boxes: Any, settings: SupportSettings, level: float = 0.0, notes: Notes | None = None
) -> dict[str, HardwareLine]:
    made = boxes.box("A", ((0, 0), (1200, 0), (1200, 600), (0, 600)), (), (400.0, 800.0))
    low, high = made.frame.members[0].id, made.frame.members[2].id
    points = tuple(
        SupportPoint(member=m, x_mm=x, y_mm=y, load_n=50.0, uplift_n=0.0)
        for x in (264.0, 936.0)
        for m, y in ((low, 6.0), (high, 594.0))
    )
    told = BoardStrength(board="A", support=settings.kind, points=points, mass_kg=9.0, service_class=1)
    board = replace(made.board, level_mm=level)
    anchors = list(wall_anchors(board, made.frame, settings, Notes()))
    heard = notes if notes is not None else Notes()
    lines = support_lines(board, made.frame, made.joists, told, anchors, settings, heard)
    return {line.item: line for line in lines}


def test_legs(boxes: Any) -> None:
    """1000 - 90 - 25 = 885 to the frame and 70 up beside it: 955 each; two rails between the inner faces of
    members 12 thick, 600 - 2 × 12 = 576."""
    found = counted(boxes, SupportSettings())
    assert found["leg-timber-44"].quantity == 4 * 955 + 2 * 576
    assert found["leg-timber-44"].why == "4 legs of 955, 2 rails of 576 across"
    # 44 of leg + 12 of side + 3 washer + 10 wing nut (DIN 315, memory) + 1.25 pitch = 70.25: next length 75
    assert (found["adjustable-foot"].quantity, found["leg-bolt-M8x75"].quantity) == (4, 4)
    assert "M8 × 75" in found["leg-bolt-M8x75"].says


@pytest.mark.parametrize(("lap", "long", "bolts"), [(0.0, 885, 0), (40.0, 925, 4), (200.0, 975, 4)])
def test_a_leg_runs_up_beside_its_member_at_most_to_its_top(
    boxes: Any, lap: float, long: int, bolts: int
) -> None:
    """885 to the frame, which is 90 deep. A leg that ends under it is bolted to nothing, and its rail goes
    from middle to middle of the members, 594 - 6."""
    found = counted(boxes, SupportSettings(leg_lap_mm=lap))
    assert found["leg-timber-44"].quantity == 4 * long + 2 * (576 if lap else 588)
    assert sum(line.quantity for item, line in found.items() if item.startswith("leg-bolt")) == bolts


def test_legs_without_feet_on_a_higher_board(boxes: Any) -> None:
    found = counted(boxes, SupportSettings(foot_mm=0.0, leg_mm=34.0), level=150.0)
    assert found["leg-timber-34"].quantity == 4 * (1150 - 90 + 70) + 2 * 576
    assert "adjustable-foot" not in found


def test_what_is_sawn_is_whole_millimetres(boxes: Any) -> None:
    """Floor 1000.238 below, frame 90, foot 25, lap 70: 955.238, so 955 is sawn; the foot gives the rest."""
    found = counted(boxes, SupportSettings(floor_below_mm=1000.238))
    assert found["leg-timber-44"].quantity == 4 * 955 + 2 * 576


def test_no_room_for_legs(boxes: Any) -> None:
    notes = Notes()
    assert counted(boxes, SupportSettings(floor_below_mm=100.0), notes=notes) == {}
    assert [f.code for f in notes.findings] == ["BW-HARD-005"]


@pytest.mark.parametrize(("kind", "item"), [("trestles", "trestle"), ("brackets", "wall-bracket")])
def test_lines_across(boxes: Any, kind: Any, item: str) -> None:
    """Two rows, each 588 from place to place, with two places of 50 N."""
    notes = Notes()
    found = counted(boxes, SupportSettings(kind=kind), notes=notes)
    assert "each of which carries up to 100 N" in found[item].why
    assert [f.code for f in notes.findings] == ["BW-HARD-006"] * (kind == "brackets")
    assert all("up to 100 N" in f.says and "competent person" in f.mend for f in notes.findings)
    assert list(found) == [item] + ["wall-screw-6x100", "wall-plug-8x50"] * (kind == "brackets")
    assert all(line.quantity == 2 * 2 for line in list(found.values())[1:])  # two anchors a bracket
    assert found[item].quantity == 2
    assert "588 mm at least" in found[item].says


def carried(made: Any, settings: SupportSettings) -> tuple[HardwareLine, Notes]:
    """What carries a board at the places that are chosen for it."""
    notes, members = Notes(), (*made.frame.members, *made.joists.members)
    points = []
    for place in standing(made.board, made.frame, members, settings, Notes())[1]:
        x, y = centreline(members[place.member]).at(place.station)
        points.append(
            SupportPoint(member=members[place.member].id, x_mm=x, y_mm=y, load_n=50.0, uplift_n=0.0)
        )
    told = BoardStrength(board="A", support=settings.kind, points=tuple(points), mass_kg=9.0, service_class=1)
    lines = list(support_lines(made.board, made.frame, made.joists, told, (), settings, notes))
    return lines[0], notes


@pytest.mark.parametrize("kind", ["trestles", "brackets"])
@pytest.mark.parametrize(
    "ring", [((0, 0), (700, 0), (700, 600), (0, 600)), ((0, 0), (682, 0), (675, 675), (0, 600))]
)
def test_lines_run_across_a_board_that_is_nearly_square(boxes: Any, kind: Any, ring: Any) -> None:
    """Of 700 × 600 the places lie 392 apart along it and 588 across: two lines, each 588 long, not 392."""
    line, _ = carried(boxes.box("A", ring), SupportSettings(kind=kind))
    assert line.quantity == 2
    assert ("588 mm at least" in line.says) == (ring[1][0] == 700)


def met(*edges: tuple[tuple[float, float], tuple[float, float]]) -> tuple[Joint, ...]:
    return tuple(Joint(id=f"A|{n}", boards=("A", f"N{n}"), start=a, end=b) for n, (a, b) in enumerate(edges))


SOUTH, EAST = ((0.0, 0.0), (760.0, 0.0)), ((760.0, 0.0), (760.0, 600.0))
NORTH, WEST = ((760.0, 600.0), (0.0, 600.0)), ((0.0, 600.0), (0.0, 0.0))


@pytest.mark.parametrize(
    ("edges", "arm", "codes"),
    [
        ((), 588, ["BW-HARD-006"]),
        ((EAST, WEST), 588, ["BW-HARD-006"]),
        ((SOUTH, EAST), 588, ["BW-HARD-006"]),  # the wall is in the north or in the west
        ((SOUTH,), 748, ["BW-HARD-006"]),  # the end of a shelf that goes on in the south
        ((SOUTH, NORTH), 748, ["BW-HARD-006"]),  # in the east or west: arms run along the board
        ((SOUTH, NORTH, EAST, WEST), 588, ["BW-HARD-006", "BW-HARD-007"]),
    ],
)
def test_arms_of_brackets_run_to_a_free_edge(boxes: Any, edges: Any, arm: int, codes: list[str]) -> None:
    made = boxes.box("A", ((0, 0), (760, 0), (760, 600), (0, 600)), met(*edges), (380.0,))
    line, notes = carried(made, SupportSettings(kind="brackets"))
    assert f"its arm {arm} mm at least" in line.says
    assert [f.code for f in notes.findings] == codes
    assert "its beam 588 mm at least" in carried(made, SupportSettings(kind="trestles"))[0].says


def test_battens(boxes: Any) -> None:
    found = counted(boxes, SupportSettings(battens={"A": (((0.0, 600.0), (1200.0, 600.0)),)}))
    # 1200 at most 400 apart: three gaps, four screws; anchors 1100 at most 400 apart: four as well
    assert {item: line.quantity for item, line in found.items()} == {
        "wall-batten": 1200,
        "screw-4x60": 4,
        "wall-screw-6x100": 4,
        "wall-plug-8x50": 4,
    }
    assert "common practice, no source" in found["wall-screw-6x100"].why
    assert "local codes" in found["wall-screw-6x100"].why


def test_anchors_by_hand(boxes: Any) -> None:
    """1200: 50 from each end, 1100 in three gaps; 120: a quarter in, 60 apart. 90 of frame and half of 44."""
    made = boxes.box("A", ((0, 0), (1200, 0), (1200, 600), (0, 600)))
    settings = SupportSettings(
        battens={"A": (((0.0, 600.0), (1200.0, 600.0)), ((0.0, 600.0), (0.0, 480.0)))}, anchor_plug=""
    )
    notes = Notes()
    found = list(wall_anchors(made.board, made.frame, settings, notes))
    assert [(a.id, a.batten, round(a.x_mm, 1), a.y_mm) for a in found] == [
        ("A-A1", 1, 50.0, 600.0),
        ("A-A2", 1, 416.7, 600.0),
        ("A-A3", 1, 783.3, 600.0),
        ("A-A4", 1, 1150.0, 600.0),
        ("A-A5", 2, 0.0, 570.0),
        ("A-A6", 2, 0.0, 510.0),
    ]
    assert {a.z_mm for a in found} == {-112.0}
    assert {(a.screw, a.plug) for a in found} == {("6x100", "")}
    assert [f.code for f in notes.findings] == ["BW-JOINT-013"]
    assert list(wall_anchors(made.board, made.frame, SupportSettings(), notes)) == []


@given(st.floats(1.0, 5000.0), st.floats(20.0, 800.0), st.floats(0.0, 200.0))
@hypothesis(deadline=None, max_examples=25, derandomize=True)
def test_anchors_are_on_the_batten_and_never_too_far_apart(
    length: float, spacing: float, first: float
) -> None:
    at = anchors_along(length, SupportSettings(anchor_spacing_mm=spacing, anchor_from_end_mm=first))
    assert 0 <= at[0] <= first + 1e-6
    assert at[0] == pytest.approx(length - at[-1], abs=1e-5)
    assert all(0 < b - a <= spacing + 1e-5 for a, b in itertools.pairwise(at))


def test_a_screw_that_does_not_reach_into_the_wall_is_refused() -> None:
    """80 - 44 = 36, and the plug is 50 long."""
    battens = {"A": (((0.0, 0.0), (1.0, 0.0)),)}
    with pytest.raises(ValueError, match="36 mm into the wall"):
        SupportSettings(battens=battens, anchor_screw="6x80")
    assert SupportSettings(battens=battens, anchor_screw="6x80", anchor_plug="8x35").anchor_plug == "8x35"


def test_a_board_that_does_not_exist_is_told() -> None:
    notes = Notes()
    given = SupportSettings(points={"B9": ((0.0, 0.0),), "B01": ((0.0, 0.0),)})
    about_names(["B02", "B01"], given, notes)
    (finding,) = notes.findings
    assert finding.code == "BW-STR-010"
    assert "B9" in finding.says
    assert finding.mend == "The boards are B01, B02."


def test_a_legs_bolt_is_sunk_where_the_next_board_comes(straight_pair: Any) -> None:
    """A stands at x ≤ 1000, B beyond: its end there meets B, the one at x = 0 and the sides meet nothing; of
    a joint only the stretch that it covers counts."""
    a, _ = straight_pair()
    members = {m.id: m for m in a.frame.members}
    ends = {x: next(m for m in members.values() if abs(m.outer_start[0] - m.outer_end[0]) < 1 and
            abs(m.outer_start[0] - x) < 1) for x in (0.0, 1000.0)}  # fmt: skip
    side = next(m for m in members.values() if abs(m.outer_start[1] - m.outer_end[1]) < 1)

    def leg(member: Member, x: float, y: float, lap: float = 70.0) -> Leg:
        return Leg(
            id="A-L1", member=member.id, x_mm=x, y_mm=y, top_mm=-20.0, length_mm=900.0, side_mm=44.0,
            foot_mm=0.0, lap_mm=lap,
        )  # fmt: skip

    def lines(*legs: Leg) -> list[tuple[str, str, float]]:
        found = leg_bolts(a.board, legs, tuple(members.values()))
        return [(line.item, line.says.split(" ")[0], line.quantity) for line in found]

    own = [leg(ends[0.0], 6.0, 300.0), leg(side, 500.0, 6.0)]
    assert lines(*own, leg(ends[1000.0], 994.0, 120.0), leg(side, 500.0, 6.0, lap=0.0)) == [
        ("leg-bolt-M8x75", "Cup-head", 2),
        ("leg-bolt-sunk-M8x75", "Countersunk", 1),
    ]
    short = replace(a.board, joints=(replace(a.board.joints[0], end=(1000.0, 100.0)),))
    assert meets_next(short, ends[1000.0], leg(ends[1000.0], 994.0, 80.0))
    assert not meets_next(short, ends[1000.0], leg(ends[1000.0], 994.0, 120.0))
