"""What the checks measure on decks that climb, and that they tell what is wrong."""

from __future__ import annotations

import math

import pytest
import shapely
from any_shapes import board_of
from climbs import ENDS, OBLONG, track, whole
from msgspec.structs import replace

from boardwright.plan.model import Outline
from boardwright_stages.checks.climbing import met, passed_over, reached
from boardwright_stages.checks.geometry import tiling
from boardwright_stages.strength.open_deck import open_deck_places
from boardwright_timber.model import BoardPlan, MemberRole

LOWER = track("T1", (0, 250, 0), (1200, 250, 0))
UPPER = track("T2", (300, 0, 85), (900, 500, 95))
PLAN = BoardPlan(board="B01", tracks=(LOWER, UPPER), scale_ratio=87)


def test_a_deck_over_another_is_not_covered_twice() -> None:
    """Two strips 80 mm wide that cross at atan(500 / 600) = 39.8°: 80² / sin = 9998 mm² lie twice."""
    board = board_of(OBLONG)
    made, _, placed, _ = whole(board, PLAN)
    decks = [s for s in placed.values() if s.part.role == "deck"]
    over = passed_over(made, decks)
    assert over == pytest.approx(80 * 80 / (5 / 61**0.5), abs=1)
    wood = shapely.union_all([shapely.Polygon(p.ring) for p in made.deck])
    outline = Outline(id="O1", ring=OBLONG)
    laid = [("O1", d) for d in decks]
    open_ = [("O1", shapely.Polygon(OBLONG), wood)]
    assert tiling([outline], laid, open_, over=[("O1", over)]).value < 1
    assert tiling([outline], laid, open_).value > 9990
    near = replace(
        made,
        deck=tuple(
            replace(p, ways=tuple(tuple((x, y, z / 18) for x, y, z in w) for w in p.ways)) for p in made.deck
        ),
    )
    assert passed_over(near, decks) == 0, "5 mm apart there is no room for 9 mm of deck"


def test_only_its_own_risers_bear_a_deck() -> None:
    """Without the upper deck's risers nothing bears it, though the lower deck's stand below it."""
    board = board_of(OBLONG)
    made, found, _, _ = whole(board, PLAN)
    lower, upper = sorted((shapely.Polygon(p.ring) for p in made.deck), key=lambda p: p.bounds[0])
    risers = tuple(m for m in found.members if m.role is MemberRole.RISER)
    places = {
        which: [
            shapely.Point(s.x_mm, s.y_mm) for s, _ in open_deck_places(made.deck, some, 1e-5, 1e5, 1e5).held
        ]
        for which, some in (("all", risers), ("low", tuple(m for m in risers if m.top_mm < 1)))
    }
    assert any(upper.difference(lower).contains(p) for p in places["all"])
    assert places["low"]
    assert all(lower.buffer(1).contains(p) for p in places["low"])


def test_a_riser_too_short_is_told() -> None:
    board = board_of(OBLONG)
    made, _, placed, _ = whole(board, PLAN)
    middles, corners = reached({"B01": made}, {"B01": list(placed.values())})
    assert middles.value < 0.001
    assert corners.value < 0.001
    assert middles.counted == sum(s.part.role == "riser" for s in placed.values()) > 8
    wrong = next(i for i, s in placed.items() if s.part.top_tilt_deg)
    part = placed[wrong].part
    low = replace(part.placement, z_mm=part.placement.z_mm - 0.3)
    turned = part.thickness_mm * abs(
        math.tan(math.radians(part.top_tilt_deg))
    )  # each corner by all of the lean
    for worse, off in (
        (replace(part, placement=low), 0.3),
        (replace(part, top_bevel_deg=-part.top_tilt_deg), turned),
    ):
        solids = [replace(s, part=worse) if i == wrong else s for i, s in placed.items()]
        _, corners = reached({"B01": made}, {"B01": solids})
        assert corners.value == pytest.approx(off, abs=0.01)
        assert corners.where == f"riser {wrong}"


def test_decks_meet_where_both_follow() -> None:
    """The same track on two boards: 30 mm up at x = 1200. A box beside an open top is 30 mm lower."""
    left, right = (board_of(OBLONG, name=n, joints=ENDS[1:]) for n in ("B01", "B02"))
    joint = replace(left.joints[0], boards=("B01", "B02"))
    beyond = tuple((x + 1200, y) for x, y in OBLONG)
    right = replace(board_of(beyond, name="B02"), joints=(joint,))
    left = replace(left, joints=(joint,))
    plans = {
        "B01": BoardPlan(board="B01", tracks=(track("T1", (0, 250, 0), (1200, 250, 30)),)),
        "B02": BoardPlan(board="B02", tracks=(track("T1", (1200, 250, 30), (2400, 250, 60)),)),
    }
    boards = {"B01": left, "B02": right}
    frames = {n: whole(boards[n], plans[n])[0] for n in boards}
    found = met(boards, plans, frames)
    assert (found.counted, round(found.value, 9)) == (1, 0)
    flat = replace(frames["B02"], deck=())
    assert met(boards, plans, {"B01": frames["B01"], "B02": flat}).value == pytest.approx(30)


@pytest.mark.parametrize("turn_deg", [15, 45, 90])
@pytest.mark.parametrize("x", [464.0, 480.0, 510.0])
def test_a_turn_up_to_a_right_angle_at_one_point_keeps_risers_at_their_deck(turn_deg: int, x: float) -> None:
    """A climb of 1 in 33 that turns at one point on, before or beyond a joist: what BW-CHECK-012 promises."""
    turned = math.radians(turn_deg)
    ends = ((x - 200, 250.0, 4.0), (x + 200 * math.cos(turned), 250 + 200 * math.sin(turned), 16.0))
    plan = BoardPlan(board="B01", tracks=(track("T1", ends[0], (x, 250.0, 10.0), ends[1]),), scale_ratio=87)
    made, _, placed, _ = whole(board_of(OBLONG), plan)
    middles, corners = reached({"B01": made}, {"B01": list(placed.values())})
    assert (middles.counted, corners.counted) > (1, 1)
    assert middles.value <= 0.1
    assert corners.value <= 0.2
