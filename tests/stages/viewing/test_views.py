"""What is seen of wood: counted by hand on small bodies, and nothing hidden on any board."""

from __future__ import annotations

import math
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest
import shapely

from boardwright_stages.viewing.apart import apart
from boardwright_stages.viewing.slabs import Prism
from boardwright_stages.viewing.solids import FRONT, ISOMETRIC, RIGHT_END, seen, seen_with_spots
from boardwright_stages.viewing.stages import views
from boardwright_timber.model import Placement, SeenLine

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def length(lines: tuple[SeenLine, ...]) -> float:
    return sum(math.dist(line.start, line.end) for line in lines)


def test_a_cube_from_the_front_and_from_the_corner() -> None:
    """Front: four edges of 10. Isometric: nine edges, each shortened to the root of two thirds."""
    cube = [Prism(False, SQUARE, (), 0.0, 10.0)]
    front = seen(cube, FRONT)
    assert (len(front), length(front)) == (4, pytest.approx(40))
    iso = seen(cube, ISOMETRIC)
    assert (len(iso), length(iso)) == (9, pytest.approx(90 * math.sqrt(2 / 3)))


def test_a_corner_drawn_twice_is_one() -> None:
    """A strip too short for its cuts can have one."""
    twice = (*SQUARE[:2], *SQUARE[1:])
    assert length(seen([Prism(False, twice, (), 0.0, 10.0)], FRONT)) == pytest.approx(40)


def test_what_is_behind_is_not_seen() -> None:
    """A cube right behind another, as seen from the front, shows nothing; from the right end it does."""
    behind = Prism(True, tuple((x, y + 20) for x, y in SQUARE), (), 0.0, 10.0)
    near = Prism(False, SQUARE, (), 0.0, 10.0)
    assert not any(line.deck for line in seen([near, behind], FRONT) if length((line,)) and _inside(line))
    assert length(tuple(line for line in seen([near, behind], RIGHT_END) if line.deck)) == pytest.approx(40)


def _inside(line: SeenLine) -> bool:
    """Off the outline of the near cube's front, where lines of both coincide."""
    middle = shapely.Point((line.start[0] + line.end[0]) / 2, (line.start[1] + line.end[1]) / 2)
    return bool(shapely.box(0, 0, 10, 10).buffer(-0.1).contains(middle))


def test_half_hidden() -> None:
    """A plank 4 high before a cube 10 high: of the cube's two upright edges 6 each are seen, and its top."""
    plank = Prism(False, ((-5.0, -3.0), (15.0, -3.0), (15.0, -1.0), (-5.0, -1.0)), (), 0.0, 4.0)
    cube = Prism(True, SQUARE, (), 0.0, 10.0)
    found = tuple(line for line in seen([plank, cube], FRONT) if line.deck)
    assert length(found) == pytest.approx(6 + 6 + 10)


def test_through_a_well_one_sees_what_is_below() -> None:
    lid = Prism(True, ((-20.0, -20.0), (30.0, -20.0), (30.0, 30.0), (-20.0, 30.0)), (), 30.0, 31.0)
    hole = ((-15.0, -15.0), (-15.0, 25.0), (25.0, 25.0), (25.0, -15.0))
    cube = Prism(False, SQUARE, (), 0.0, 10.0)
    hidden = [line for line in seen([lid, cube], ISOMETRIC) if not line.deck]
    opened = [line for line in seen([lid._replace(wells=(hole,)), cube], ISOMETRIC) if not line.deck]
    assert length(tuple(opened)) > length(tuple(hidden))


def test_a_boards_elevations_are_its_sizes(boxes: Any) -> None:
    """A box 1200 × 600 of 90 mm strips, a 9 mm deck: front 1200 × 99, end 600 × 99, joists unseen."""
    from boardwright import Notes
    from boardwright_stages.framing.settings import FramingSettings
    from boardwright_stages.parts.stages import parts
    from boardwright_timber.model import BoardFixings, BoardPlan, BoardWiring

    made = boxes.box("A", ((0, 0), (1200, 0), (1200, 600), (0, 600)), (), (400.0, 800.0))
    cut = parts(
        made.board,
        BoardPlan(board="A"),
        made.frame,
        made.joists,
        BoardFixings(board="A"),
        BoardWiring(board="A"),
        FramingSettings(),
        Notes(),
    )
    told = views(made.board, made.frame, made.joists, cut)
    for lines, wide in ((told.front, 1200), (told.right_end, 600)):
        box = shapely.MultiLineString([(line.start, line.end) for line in lines]).bounds
        assert (box[2] - box[0], box[3] - box[1]) == pytest.approx((wide, 99))
    assert length(tuple(line for line in told.front if not line.deck)) == pytest.approx(2 * 1200 + 2 * 90)
    assert {n.part for n in told.names} == {p.id for p in cut.parts}


def test_a_name_stands_where_its_part_is_seen() -> None:
    """A lid hides the left end of a table: the table's name stands on the rest; what is under the
    whole lid has none."""
    table = Prism(False, ((0.0, 0.0), (80.0, 0.0), (80.0, 20.0), (0.0, 20.0)), (), 0.0, 1.0)
    lid = Prism(True, ((-90.0, -90.0), (20.0, -90.0), (20.0, 90.0), (-90.0, 90.0)), (), 1.0, 2.0)
    under = Prism(False, ((-30.0, 0.0), (-20.0, 0.0), (-20.0, 10.0), (-30.0, 10.0)), (), 0.0, 1.0)
    _, (table_at, lid_at, under_at) = seen_with_spots([table, lid, under], ISOMETRIC)
    assert under_at == ()
    assert lid_at
    assert table_at
    corners = [ISOMETRIC.on_paper((x, y, 1.0)) for x, y in ((20, 0), (80, 0), (80, 20), (20, 20))]
    assert all(shapely.Polygon(corners).contains(shapely.Point(at)) for at in table_at)


def test_taken_apart_nothing_goes_through_another(boxes: Any) -> None:
    """A box with three joists, on a strip below them: no two go through each other; a joist has moved
    along by a quarter of its way from the middle, and come off the strip it stood on."""
    from boardwright_timber.model import Member, MemberRole

    made = boxes.box("A", ((0, 0), (1200, 0), (1200, 600), (0, 600)), (), (300.0, 600.0, 900.0))
    strip = Member(
        id="A-G1",
        role=MemberRole.JOIST,
        thickness_mm=12.0,
        depth_mm=70.0,
        material="birch ply",
        top_mm=-90.0,
        outer_start=(20.0, 200.0),
        outer_end=(1180.0, 200.0),
        inner_start=(20.0, 212.0),
        inner_end=(1180.0, 212.0),
    )
    joists = msgspec.structs.replace(made.joists, members=(*made.joists.members, strip))
    pieces = {n.part: n.prism for n in apart(made.frame, joists, ())}
    assert set(pieces) == {m.id for m in (*made.frame.members, *joists.members)}
    for (one, a), (other, b) in combinations(pieces.items(), 2):
        if min(a.high, b.high) - max(a.low, b.low) > 1e-6:
            assert shapely.Polygon(a.ring).intersection(shapely.Polygon(b.ring)).area < 1e-6, (one, other)
    joist = made.joists.members[0]
    middle = sum(x for x, _ in joist.outline) / 4
    assert pieces[joist.id].ring[0][0] - joist.outline[0][0] == pytest.approx(0.25 * (middle - 600.0))
    assert pieces[joist.id].low - pieces["A-G1"].high == pytest.approx(80.0)  # middles were 80 apart


def test_a_curved_deck_keeps_its_size_in_chords() -> None:
    """An arc of many short pieces over a chord of 1000 that rises 80: drawn coarser, as long and as high."""
    from boardwright_stages.viewing.solids import _placed

    radius = (500.0**2 + 80.0**2) / (2 * 80.0)
    half = math.asin(500.0 / radius)
    arc = [
        (500.0 + radius * math.sin(a), 300.0 + radius * (math.cos(a) - math.cos(half)))
        for a in (half - 2 * half * n / 201 for n in range(202))
    ]
    ring = ((0.0, 0.0), (1000.0, 0.0), *arc)
    placement = Placement(x_mm=5.0, y_mm=7.0, z_mm=0.0, angle_deg=0.0, stands=False)
    drawn = _placed(SimpleNamespace(placement=placement), ring)
    assert len(drawn) < 20
    top = max(y for _, y in ring)
    assert (max(x for x, _ in drawn), max(y for _, y in drawn)) == pytest.approx((1005.0, 7.0 + top))
    assert shapely.Polygon(drawn).area == pytest.approx(shapely.Polygon(ring).area, rel=0.005)
