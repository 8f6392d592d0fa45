"""A board that is made is not sawn in two, and what the layout gains beyond it is a board of its own."""

from __future__ import annotations

from typing import Any

import pytest
import shapely
from shapely import Polygon

from boardwright import Notes
from boardwright.plan.model import Ring, TrackPlan, Turnout
from boardwright_stages.splitting.settings import LiftOutSpot, SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_timber.model import Splitting
from boardwright_timber.model.made import HeldJoints

SHELF = SplittingSettings(max_length_mm=1200, max_width_mm=800)


def ring(length: float = 3600, deep: float = 500) -> Ring:
    return ((0, 0), (length, 0), (length, deep), (0, deep))


def with_spur(left: float, right: float, out: float = 600) -> Ring:
    spur = ((right, 500), (right, 500 + out), (left, 500 + out), (left, 500))
    return ((0, 0), (3600, 0), (3600, 500), *spur, (0, 500))


def made(plan_of: Any, held_of: Any, name: str) -> tuple[HeldJoints, Polygon]:
    """A shelf of three boards of 1200 mm, one of them made."""
    free = split(plan_of(ring()), SHELF, Notes())
    assert [round(b.length_mm) for b in free.boards] == [1200, 1200, 1200]
    return held_of(free, name, with_edge=True), shape(free, name)


def shape(splitting: Splitting, name: str) -> Polygon:
    return next(Polygon(b.ring) for b in splitting.boards if b.id == name)


def after(
    plan: TrackPlan, held: HeldJoints, settings: SplittingSettings = SHELF
) -> tuple[Splitting, list[str]]:
    notes = Notes()
    done = split(plan, settings, notes, held=held)
    whole = shapely.union_all([Polygon(b.ring) for b in done.boards])
    assert abs(whole.area - sum(Polygon(b.ring).area for b in done.boards)) < 1.0
    assert abs(whole.area - sum(Polygon(o.ring).area for o in plan.outlines)) < 1.0
    return done, [f.code for f in notes.findings]


@pytest.mark.parametrize("longest_mm", [1000, 900, 600])
def test_a_shorter_limit_saws_no_made_board(plan_of: Any, held_of: Any, longest_mm: float) -> None:
    """At 600 mm its joints are where they were by themselves, and one more ran through its middle."""
    held, was = made(plan_of, held_of, "B02")
    done, codes = after(plan_of(ring()), held, SplittingSettings(max_length_mm=longest_mm, max_width_mm=800))
    assert shape(done, "B02").equals_exact(was.normalize(), 1e-5) or shape(done, "B02").equals(was)
    assert codes == ["BW-SPLIT-023"]
    assert all(b.length_mm <= longest_mm + 0.01 for b in done.boards if b.id != "B02")
    assert [b.id for b in done.boards if b.stays_whole] == ["B02"]


@pytest.mark.parametrize(("gained_mm", "boards"), [(500, 4), (260, 4), (1300, 5)])
def test_what_a_shelf_gains_is_a_board_of_its_own(
    plan_of: Any, held_of: Any, gained_mm: float, boards: int
) -> None:
    held, was = made(plan_of, held_of, "B03")
    done, codes = after(plan_of(ring(3600 + gained_mm)), held)
    assert shape(done, "B03").equals(was)
    assert (len(done.boards), codes) == (boards, [])


def test_a_strip_too_narrow_for_a_board_is_none(plan_of: Any, held_of: Any) -> None:
    """Deeper by 60 mm, or longer by 60 mm with 1260 mm allowed: the same joints, the board itself another."""
    held, _ = made(plan_of, held_of, "B03")
    deeper, codes = after(plan_of(ring(deep=560)), held)
    assert ([round(b.length_mm) for b in deeper.boards], codes) == ([1200, 1200, 1200], [])
    longer, codes = after(plan_of(ring(3660)), held, SplittingSettings(max_length_mm=1260, max_width_mm=800))
    assert ([round(b.length_mm) for b in longer.boards], codes) == ([1200, 1200, 1260], [])


@pytest.mark.parametrize(("left", "right"), [(1500, 2100), (2100, 2800), (1200, 2400), (900, 1500)])
def test_a_spur_is_parted_at_the_edge_of_the_made_board(
    plan_of: Any, held_of: Any, left: float, right: float
) -> None:
    """In its middle, over a joint, as wide as the board; the board's joints do not run on into the spur."""
    held, was = made(plan_of, held_of, "B02")
    done, codes = after(plan_of(with_spur(left, right)), held)
    assert shape(done, "B02").equals(was)
    assert codes == []


def test_a_turnout_across_the_old_edge_is_not_cut(plan_of: Any, held_of: Any) -> None:
    held, _ = made(plan_of, held_of, "B03")
    over = Turnout(id="T1", x_mm=3600, y_mm=250, ring=((3500, 230), (3700, 230), (3700, 280), (3500, 280)))
    done, codes = after(plan_of(ring(4100), turnouts=(over,)), held)
    assert "BW-SPLIT-002" not in codes
    assert not any(j.held and j.start[0] == j.end[0] == 3600 for j in done.joints)


def test_a_lift_out_that_is_made_keeps_its_gap(plan_of: Any, held_of: Any) -> None:
    """It stands back from its joints: its edges there are no edges beyond which the layout has grown."""
    spots = SplittingSettings(max_length_mm=1200, lift_outs=(LiftOutSpot(x_mm=1800, y_mm=250),))
    free = split(plan_of(ring()), spots, Notes())
    held = held_of(free, "B02", with_edge=True)
    assert free.boards[1].clear_mm == 1.0
    assert split(plan_of(ring()), spots, Notes(), held=held) == free
