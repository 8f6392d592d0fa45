"""Our club's rules on the real stages, and the contract of every stage of ours."""

from functools import cache

import boardwright_stages.plugin
import pytest
from boardwright.plan.model import Device, Outline, TrackPlan
from boardwright.testing import Bench, StageContract
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_timber.model import Board, BoardParts, BoardPlan, Frame, Joists, MemberRole
from example_club import plugin
from example_club.crates import Crates, crates
from example_club.joists import club_joists
from example_club.ladder import LadderSettings, ladder
from example_club.settings import ClubSettings


def shelf(length_mm=2400, *devices):
    """A plain shelf 400 mm deep, with point motors at the places given."""
    motors = (
        Device(
            id=f"PM{n}",
            kind="point motor",
            x_mm=x,
            y_mm=200,
            length_mm=80,
            width_mm=50,
            depth_mm=45,
            clearance_mm=15,
        )
        for n, x in enumerate(devices, 1)
    )
    ring = ((0, 0), (length_mm, 0), (length_mm, 400), (0, 400))
    return TrackPlan(
        name="Shelf",
        drawing_file="shelf.dxf",
        scale_ratio=76.2,
        outlines=(Outline(id="shelf", ring=ring),),
        devices=tuple(motors),
    )


@pytest.fixture
def bench(tmp_path):
    with Bench(tmp_path / "bench.sqlite") as one:
        one.plug(boardwright_stages.plugin, plugin)
        one.plan = shelf(2400, 300, 900, 1700)
        one.set(SplittingSettings(max_length_mm=1300))
        yield one


def test_boards_have_two_joists_at_least_and_none_too_far_apart(bench):
    bench.plan = shelf(600, 300)
    joists = bench.run(upto="joists").values[Joists, "B01"].get()
    assert len(joists.joists) >= 2
    assert joists.spacing_mm <= 200 + 1e-6  # 600 / 3: the board asks for more than the club's 300


def test_only_the_joists_and_what_stands_on_them_follow_a_new_limit(bench):
    bench.run(upto="parts")
    bench.set(ClubSettings(joist_spacing_mm=200))
    ran = {name for name, _ in bench.run(upto="parts").ran}
    assert "joists" in ran
    assert ran.isdisjoint({"split", "boards", "board_plan", "frame"})


def test_crates_hold_every_board_once(bench):
    outcome = bench.run()
    made = outcome.values[Crates, ""].get()
    assert sorted(b for c in made.crates for b in c.boards) == ["B01", "B02"]
    lines = outcome.files["club/crates.csv"].decode().splitlines()
    assert lines[0].startswith("crate,boards,")
    frame = outcome.values[Frame, "B01"].get()
    # two boards face to face: two frames, two rooms of 160 mm, 5 mm of play on both sides
    height = 2 * (frame.depth_mm + 160) + 10
    board = outcome.values[Board, "B01"].get()
    assert lines[1].split(",")[2:5] == [f"{board.length_mm + 10:.0f}", "410", f"{height:.0f}"]
    assert made.crates[0].mass_kg == pytest.approx(
        sum(outcome.values[BoardParts, b].get().mass_kg for b in ("B01", "B02"))
    )


def test_an_odd_board_is_told(bench):
    bench.plan = shelf(1000)
    assert [f.code for f in bench.run(upto="crates").findings if f.code.startswith("CLUB")] == ["CLUB-001"]


def test_our_style_is_picked_by_name(bench):
    bench.set(FramingSettings(style="ladder"), LadderSettings(rung_every_mm=300))
    outcome = bench.run(upto="frame")
    for board in ("B01", "B02"):
        frame = outcome.values[Frame, board].get()
        assert frame.style == "ladder"
        rungs = [m for m in frame.members if m.role is MemberRole.JOIST]
        assert len(rungs) >= 3


@cache
def built(length_mm):
    """What the built-in stages make of a shelf: artefact and board -> value."""
    with Bench() as one:
        one.plug(boardwright_stages.plugin)
        one.plan = shelf(length_mm, 300)
        one.set(SplittingSettings(max_length_mm=1300))
        return {at: value.get() for at, value in one.run(upto="parts").values.items()}


class TestJoists(StageContract):
    stage = staticmethod(club_joists)

    def arguments(self):
        made = built(1200)
        return {
            "board": made[Board, "B01"],
            "board_plan": made[BoardPlan, "B01"],
            "frame": made[Frame, "B01"],
            "framing": FramingSettings(),
            "club": ClubSettings(),
        }


class TestLadder(StageContract):
    stage = staticmethod(ladder)

    def arguments(self):
        made = built(1200)
        return {
            "board": made[Board, "B01"],
            "board_plan": made[BoardPlan, "B01"],
            "s": LadderSettings(),
        }


class TestCrates(StageContract):
    stage = staticmethod(crates)

    def arguments(self):
        made = built(3600)
        boards = sorted(b for kind, b in made if kind is Board)
        wanted = {"boards": Board, "frames": Frame, "parts": BoardParts}
        return {n: {b: made[kind, b] for b in boards} for n, kind in wanted.items()} | {
            "club": ClubSettings()
        }
