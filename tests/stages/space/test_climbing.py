"""Clear heights by hand, where one track passes over another."""

from __future__ import annotations

import pytest
import shapely
from any_shapes import board_of
from msgspec.structs import replace

from boardwright import Finding, Notes, Severity
from boardwright.plan.model import Track
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.space.climbing import about_climbs
from boardwright_stages.space.stages import climbed
from boardwright_timber.model import BoardParts, BoardPlan, Grain, Joint, Part, Placement

OBLONG = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))


def deck(board: str) -> BoardParts:
    lies = Placement(x_mm=0, y_mm=0, z_mm=0, angle_deg=0, stands=False)
    part = Part(
        id=f"{board}-D1",
        board=board,
        role="deck",
        label="",
        material="birch ply",
        thickness_mm=9,
        length_mm=1000,
        width_mm=80,
        grain=Grain.LENGTH,
        ring=((0, 0), (1000, 0), (1000, 80), (0, 80)),
        area_mm2=80000,
        mass_kg=0.5,
        placement=lies,
    )
    return BoardParts(board=board, parts=(part,))


def heard(upper_mm: float, ratio: float, style: str = "open-top") -> Notes:
    """A level track, and one that climbs 20 mm and passes over it at x = 500, ``upper_mm`` up there."""
    board, notes = board_of(OBLONG), Notes()
    level = Track(id="T1", points=((0, 250), (1000, 250)), heights_mm=(0, 0))
    over = Track(id="T2", points=((500, 0), (500, 500)), heights_mm=(upper_mm - 10, upper_mm + 10))
    plan = BoardPlan(board="B01", tracks=(level, over), scale_ratio=ratio)
    framing = FramingSettings()
    made = (
        open_top(board, plan, framing, OpenTopSettings(), Notes())
        if style == "open-top"
        else frame(board, framing, Notes())
    )
    about_climbs({"B01": board}, {"B01": plan}, {"B01": made}, {"B01": deck("B01")}, notes)
    return notes


@pytest.mark.parametrize(
    ("upper_mm", "ratio", "code", "says"),
    [
        # 100 less 9 mm of deck and 10 mm of track: 81, and 3 in = 76.2 are wanted
        (100, 87.1, "BW-SPACE-004", "T2 passes over T1 with 81 mm clear above the rails; 76 mm"),
        (94, 87.1, "BW-SPACE-003", "with 75 mm clear"),
        # 1:160: 60 less 9 and 870/160 = 5.4: 45.6, and 6620/160 = 41.4 are wanted
        (60, 160, "BW-SPACE-004", "with 46 mm clear above the rails; 41 mm"),
        (50, 160, "BW-SPACE-003", "with 36 mm clear"),
    ],
)
def test_clear_height(upper_mm: float, ratio: float, code: str, says: str) -> None:
    notes = heard(upper_mm, ratio)
    (found,) = notes.findings
    assert found.code == code
    assert says in found.says
    assert [(p.board, p.item, p.x_mm, p.y_mm) for p in found.where] == [
        ("B01", "T1", 500, 250),
        ("B01", "T2", 500, 250),
    ]
    assert (found.severity is Severity.CAUTION) == (code == "BW-SPACE-003")


def over_and_over(level_mm: float, own: dict[str, Track]) -> list[Finding]:
    """Two boards, one above the other, and what is said of tracks that pass over others."""
    boards = {n: replace(board_of(OBLONG, name=n), level_mm=z) for n, z in (("A", 0.0), ("B", level_mm))}
    plans = {n: BoardPlan(board=n, tracks=(t,), scale_ratio=87.1) for n, t in own.items()}
    frames = {n: frame(boards[n], FramingSettings(), Notes()) for n in boards}
    notes = Notes()
    about_climbs(boards, plans, frames, {n: deck(n) for n in boards}, notes)
    return [f for f in notes.findings if f.code in ("BW-SPACE-003", "BW-SPACE-004")]


def test_two_tracks_that_cross_more_than_once_are_told_once_with_the_lowest_place() -> None:
    """The lower climbs from 0 to 20 over 1000; the upper, at 300, crosses it at x = 200 and at x = 800 (16):
    300 - 16 less 9 of deck and 870 / 87.1 = 10 of track leave 265."""
    lower = Track(id="T1", points=((0, 250), (1000, 250)), heights_mm=(0, 20))
    bow = ((200.0, 100.0), (200.0, 400.0), (800.0, 400.0), (800.0, 100.0))
    (found,) = over_and_over(300.0, {"A": lower, "B": Track(id="T2", points=bow)})
    assert found.says.startswith("Track T2 passes over T1 with 265 mm clear")
    assert found.says.endswith("It does so at 2 places; this is the lowest.")
    assert {p.x_mm for p in found.where} == {800}


def test_a_track_on_boards_of_two_levels_does_not_pass_over_itself() -> None:
    """A track without a level counts on both."""
    both = Track(id="T1", points=((0, 250), (400, 250), (1000, 250)))
    climbs = Track(id="T1", points=((0, 250), (400, 250), (1000, 250)), heights_mm=(0, 10, 20))
    assert over_and_over(300.0, {"A": climbs, "B": both}) == []


@pytest.mark.parametrize(
    ("foot_mm", "told"), [(1000.0, "changes its gradient by 2.5 % right at"), (1120.0, "")]
)
def test_a_climb_that_begins_at_a_joint(foot_mm: float, told: str) -> None:
    """Level, then 1 in 40: right from the joint at x = 1000, and 120 mm beyond it."""
    joint = Joint(id="J01", boards=("B01", "B02"), start=(1000, 500), end=(1000, 0))
    beyond = tuple((x + 1000, y) for x, y in OBLONG)
    boards = {n: replace(board_of(r, name=n), joints=(joint,)) for n, r in (("B01", OBLONG), ("B02", beyond))}
    ends = (2000.0, (2000 - foot_mm) / 40)
    up = [(1000.0, 0.0), *([(foot_mm, 0.0)] if foot_mm > 1000 else []), ends]
    tracks = {"B01": [(0.0, 0.0), (1000.0, 0.0)], "B02": up}
    plans = {
        n: BoardPlan(
            board=n,
            tracks=(Track(id="T1", points=tuple((x, 250) for x, _ in t), heights_mm=tuple(z for _, z in t)),),
        )
        for n, t in tracks.items()
    }
    frames = {n: open_top(boards[n], plans[n], FramingSettings(), OpenTopSettings(), Notes()) for n in boards}
    notes = Notes()
    about_climbs(boards, plans, frames, {n: deck(n) for n in boards}, notes)
    kinks = [f for f in notes.findings if f.code == "BW-SPACE-005"]
    assert len(kinks) == bool(told)
    assert all(told in f.says and f.where[0].item == "J01" for f in kinks)


def test_a_lower_deck_that_climbs_leaves_less_below_the_upper() -> None:
    """From 0 at x = 0 to 40 at x = 1000: below a board that begins at x = 500 it is 20 to 40 mm up."""
    board = board_of(OBLONG)
    plan = BoardPlan(
        board="B01", tracks=(Track(id="T1", points=((0, 250), (1000, 250)), heights_mm=(0, 40)),)
    )
    made = open_top(board, plan, FramingSettings(), OpenTopSettings(), Notes())
    assert climbed(board, made, shapely.box(500, 0, 1000, 500)) == pytest.approx(40)
    assert climbed(board, made, shapely.box(0, 0, 500, 500)) == pytest.approx(20)
    assert climbed(board, made, shapely.box(2000, 0, 2500, 500)) == 0


def test_a_whole_deck_does_not_follow() -> None:
    first, _ = heard(100, 87.1, "box").findings
    assert first.code == "BW-SPACE-002"
    assert "T2 by +110 mm" in first.says
    assert "T1" not in first.says
