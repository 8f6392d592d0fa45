"""Wide places at shelves and wells are parted at their foot first; single joints then slide to their best."""

from __future__ import annotations

import random
from typing import Any

import pytest
import shapely

from boardwright import Notes
from boardwright_stages.splitting import in_two, solving
from boardwright_stages.splitting.keepaway import KeepAway
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.search import Search, State
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.sliding import slid
from boardwright_stages.splitting.stages import split
from boardwright_stages.splitting.tracks import Tracks

ELL = ((0.0, 0.0), (4200.0, 0.0), (4200.0, 800.0), (1500.0, 800.0), (1500.0, 3000.0), (0.0, 3000.0))
WELL = ((500.0, 1400.0), (500.0, 2400.0), (1000.0, 2400.0), (1000.0, 1400.0))


def test_an_l_with_a_well_is_a_shelf_and_four_boards_round_the_well(plan_of: Any, cut: Any) -> None:
    """Boards of 1200 × 800 mm. The shelf of 4200 × 800 needs 4200 / 1200, so 4. Of the rest, 1500 × 2200 with
    a well of 500 × 1000, four boards of 750 × 1100 round the well take all. No joints from edge to edge alone
    do that: the joint at the foot has others ending on both its sides."""
    made, findings = cut(plan_of(ELL, wells=(WELL,)), max_width_mm=800.0)
    assert len(made.boards) == 8
    assert findings == []
    above = [shapely.Polygon(b.ring).bounds[1] >= 800 for b in made.boards]
    below = [shapely.Polygon(b.ring).bounds[3] <= 800 for b in made.boards]
    assert (sum(above), sum(below)) == (4, 4)


def blocks(seed: int) -> Any:
    rnd = random.Random(seed)
    boxes = []
    for _ in range(4):
        x, y = 300.0 * rnd.randint(0, 4), 300.0 * rnd.randint(0, 4)
        boxes.append(shapely.box(x, y, x + rnd.randint(2, 8) * 300 + 150, y + rnd.randint(2, 8) * 300 + 150))
    return shapely.union_all(boxes)


def test_it_is_cheaper_and_saves_boards(plan_of: Any, cut: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    area = blocks(6)
    plan = plan_of(tuple(area.exterior.coords)[:-1], tuple(tuple(r.coords)[:-1] for r in area.interiors))
    made, _ = cut(plan)
    monkeypatch.setattr(solving, "best_in_two", lambda *_: None)
    without = split(plan, SplittingSettings(), Notes())
    assert sum(c.cost for c in made.costs) < sum(c.cost for c in without.costs)
    assert len(made.boards) < len(without.boards)
    assert all(c.at_least <= c.cost for c in made.costs)


def test_a_joint_slides_to_its_best_place_and_no_further(plan_of: Any) -> None:
    """A shelf of 2000 mm cut at 850: pieces cost least when they are even, at 1000; then nothing moves."""
    settings = SplittingSettings()
    plan = plan_of(((0.0, 0.0), (2000.0, 0.0), (2000.0, 500.0), (0.0, 500.0)))
    piece = from_outline(plan.outlines[0].ring, ())
    search = Search(settings, KeepAway(plan, settings), Tracks(plan, settings), piece.main_directions)
    found = search.tried(piece)
    at = next(
        i for i in range(len(found)) if abs(found.start[i][0] - 850) < 1 and abs(found.end[i][0] - 850) < 1
    )
    parts, one = piece.cut(*found.nodes(at))
    cost, togo, _ = search.judge(found.pick([at]))
    state = State(parts, (), (), (one,), float(cost[0]), float(cost[0] + togo[0]))
    moved = slid(state, search)
    assert {round(x) for x, _ in (moved.cuts[0].start, moved.cuts[0].end)} == {1000}
    assert moved.total < state.total
    assert moved.total == pytest.approx(solving.solve(piece, settings, search.keep_away, search.tracks).total)
    assert slid(moved, search) is moved


def test_a_piece_of_very_many_boards_is_not_tried(plan_of: Any) -> None:
    """More boards than MOST_BOARDS are hoped for: the parts would take too long."""
    settings = SplittingSettings()
    plan = plan_of(((0.0, 0.0), (60000.0, 0.0), (60000.0, 500.0), (0.0, 500.0)))
    piece = from_outline(plan.outlines[0].ring, ())
    search = Search(settings, KeepAway(plan, settings), Tracks(plan, settings), piece.main_directions)
    assert search.hoped(piece) > in_two.MOST_BOARDS
    assert in_two.best_in_two(piece, search, 1e9, lambda *_: pytest.fail("a part was solved")) is None


def test_no_joint_is_told_to_be_cheapest_where_a_cheaper_place_is_told(
    plan_of: Any, cut: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As of joints that cannot slide because others end on them: here none slides."""
    monkeypatch.setattr(solving, "slid", lambda state, _: state)
    made, _ = cut(plan_of(tuple(blocks(0).exterior.coords)[:-1]))
    cheaper = [j.why for j in made.joints if " less: " in j.why]
    assert cheaper
    assert not [why for why in cheaper if "cheapest place was taken" in why]
