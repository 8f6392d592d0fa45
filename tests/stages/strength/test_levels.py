"""Supports of one level: which settings a board takes, which joints share a pair, what is told; by hand."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from boardwright import Notes, Severity
from boardwright.refusing import refused
from boardwright_stages.hardware.legs import stand
from boardwright_stages.joints.wall import wall_anchors
from boardwright_stages.strength.levels import AS_ALL, BoardSupports, about_levels, board_supports
from boardwright_stages.strength.settings import LevelSupports, StrengthSettings, SupportSettings
from boardwright_stages.strength.stages import standing
from boardwright_stages.strength.standing import standing as places_under
from boardwright_timber.model import Board, BoardParts, BoardStrength, Joint, SupportPoint

SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))
FEET = ((200.0, 0.0), (800.0, 0.0), (800.0, 500.0), (200.0, 500.0))
UPPER = LevelSupports(level_mm=250.0, kind="brackets", max_spacing_mm=800.0, from_end=0.0)
WALLED = SupportSettings(leg_mm=34.0, levels=(UPPER,))


def board(name: str, level_mm: float, *joints: Joint) -> Board:
    return Board(
        id=name,
        outline="O1",
        level_mm=level_mm,
        ring=SQUARE,
        origin=(0.0, 0.0),
        angle_deg=0.0,
        length_mm=1000.0,
        width_mm=500.0,
        joints=joints,
    )


def test_a_board_takes_what_its_level_says_and_the_rest_of_all() -> None:
    upper = board_supports(board("B", 250.2), WALLED)
    assert board_supports(board("A", 0.0), WALLED) == AS_ALL
    assert AS_ALL.over(WALLED) is WALLED
    found = upper.over(WALLED)
    # 0 and "" are said, not left out
    assert (found.kind, found.max_spacing_mm, found.from_end) == ("brackets", 800.0, 0.0)
    assert (found.leg_mm, found.floor_below_mm, found.levels) == (34.0, 1000.0, ())


def test_a_pair_is_shared_only_by_boards_that_both_share_theirs() -> None:
    """A, at 250, stands 250 above B: seen from A its second board lies 250 lower. A level's own table counts
    on both sides of the joint, and so do places of a board's own."""
    joint = Joint(id="J", boards=("A", "B"), start=(0.0, 0.0), end=(0.0, 500.0), drop_mm=250.0)
    a, b = board("A", 250.0, joint), board("B", 0.0, joint)
    both = SupportSettings(shared=True)
    assert board_supports(b, both).unshared == board_supports(a, both).unshared == ()
    walled = replace(both, levels=(LevelSupports(level_mm=250.0, kind="brackets"),))
    assert board_supports(b, walled).unshared == ("J",)
    own = replace(both, levels=(LevelSupports(level_mm=250.0, shared=False),))
    assert board_supports(b, own).unshared == ("J",)
    assert board_supports(a, own).unshared == ()  # it shares none itself
    placed = replace(both, points={"A": FEET})
    assert board_supports(b, placed).unshared == ("J",)


def test_beside_a_board_on_brackets_a_pair_of_its_own_stands_at_the_joint(boxes: Any) -> None:
    """The pair of a joint stands under its first board; where that is on brackets, under this one's end."""
    joint = Joint(id="A|B", boards=("A", "B"), start=(1000.0, 0.0), end=(1000.0, 500.0))
    made = boxes.box("B", ((1000, 0), (2000, 0), (2000, 500), (1000, 500)), (joint,), (300.0, 650.0))
    members = (*made.frame.members, *made.joists.members)
    for unshared, on in (((), {"A", ""}), (("A|B",), {""})):
        said, places = places_under(
            made.board, made.frame, members, SupportSettings(shared=True), Notes(), unshared
        )
        assert (said, set(places.values())) == ("legs shared at joints", on)
        assert len(places) == 4


def test_legs_and_anchors_are_those_of_the_boards_level(boxes: Any) -> None:
    """Upper: 1000 + 250 - 90 of frame - 10 of foot = 1150. Its batten of 1000: 100 in at each end, 800
    in two gaps of 400; by the settings of all 50 in and 900 in three gaps."""
    made = boxes.box("A", ((0, 0), (1000, 0), (1000, 500), (0, 500)), (), (300.0, 650.0))
    side = made.frame.members[0].id
    points = (SupportPoint(member=side, x_mm=200.0, y_mm=6.0, load_n=50.0, uplift_n=0.0),)
    told = BoardStrength(board="A", support="legs", points=points, mass_kg=9.0, service_class=1)
    own = LevelSupports(level_mm=250.0, foot_mm=10.0, anchor_from_end_mm=100.0)
    upper = replace(made.board, level_mm=250.0)
    settings = SupportSettings(levels=(own,))
    (leg,) = stand(upper, made.frame, made.joists, told, settings, board_supports(upper, settings)).legs
    assert (leg.length_mm, leg.foot_mm, leg.side_mm) == (1150.0 + 70.0, 10.0, 44.0)
    battens = replace(settings, battens={"A": (((0.0, 500.0), (1000.0, 500.0)),)})
    for level, along in (
        (AS_ALL, (50.0, 350.0, 650.0, 950.0)),
        (BoardSupports(level=own), (100.0, 500.0, 900.0)),
    ):
        anchors = wall_anchors(made.board, made.frame, level.over(battens), Notes())
        assert tuple(a.along_mm for a in anchors) == along


@pytest.mark.parametrize(("kind", "groups"), [("legs", 2), ("trestles", 2), ("brackets", 1)])
def test_only_boards_on_feet_can_tip(kind: Any, groups: int) -> None:
    boards = {"A": board("A", 0.0), "B": board("B", 250.0)}
    under = tuple(SupportPoint(member="S", x_mm=x, y_mm=y, load_n=0, uplift_n=0) for x, y in FEET)
    settings = SupportSettings(levels=(LevelSupports(level_mm=250.0, kind=kind),))
    found = standing(
        boards,
        {n: BoardStrength(board=n, support=kind, points=under, mass_kg=20, service_class=2) for n in boards},
        {n: BoardParts(board=n, mass_kg=10.0) for n in boards},
        StrengthSettings(),
        settings,
        Notes(),
        {n: board_supports(b, settings) for n, b in boards.items()},
    )
    assert len(found.groups) == groups


def test_a_level_where_no_board_lies_is_told() -> None:
    notes = Notes()
    about_levels([0.0, 340.0, 340.0], WALLED, notes)
    (told,) = notes.findings
    assert (told.code, told.severity) == ("BW-STR-016", Severity.CAUTION)
    assert "at 250 mm" in told.says
    assert told.where[0].key == "supports.levels"
    assert told.mend.endswith("boards lie at 0, 340.")
    about_levels([0.0, 250.3], WALLED, notes)
    assert len(notes.findings) == 1


@pytest.mark.parametrize(
    ("levels", "says"),
    [
        (
            [{"level_mm": 250, "kind": "bracket"}],
            'levels 1, kind is "bracket"; it must be one of "brackets", "legs", "posts", "trestles"',
        ),
        ([{"kind": "legs"}], "[supports] levels 1 has no level_mm"),
        ([{"level_mm": 250, "foot": 20}], "unknown key [supports] levels 1, foot"),
        (
            [{"level_mm": 250}, {"level_mm": 250, "kind": "legs"}],
            "levels speaks of the level at 250 mm twice",
        ),
        ([{"level_mm": 250, "leg_mm": 500}], "it must be a number, 150 or less"),
    ],
)
def test_a_slip_is_told_with_its_key(levels: list[dict[str, Any]], says: str) -> None:
    (told,) = refused("layout.toml", "supports", SupportSettings, {"levels": levels})
    assert says in told.says
    assert told.where[0].key.startswith("[supports]")


def test_a_screw_of_one_level_that_does_not_reach_is_refused() -> None:
    """80 - 44 = 36, and the plug is 50 long."""
    battens = {"A": (((0.0, 0.0), (1.0, 0.0)),)}
    with pytest.raises(ValueError, match="36 mm into the wall"):
        SupportSettings(battens=battens, levels=(LevelSupports(level_mm=250.0, anchor_screw="6x80"),))
