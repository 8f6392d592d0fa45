"""Shapes whose best splitting can be argued with pencil and paper (limits 1200 × 750 mm unless said)."""

from __future__ import annotations

import math
from typing import Any

import pytest

from boardwright.plan.model import Outline

SHELF = ((0, 0), (3600, 0), (3600, 600), (0, 600))


def sizes(made: Any) -> list[tuple[float, float]]:
    return sorted((round(b.length_mm, 3), round(b.width_mm, 3)) for b in made.boards)


def test_a_shelf_of_three_times_the_limit_is_three_equal_boards(plan_of: Any, cut: Any) -> None:
    made, findings = cut(plan_of(SHELF))
    assert sizes(made) == [(1200, 600)] * 3
    assert [(b.id, b.origin, b.angle_deg) for b in made.boards] == [
        ("B01", (0, 0), 0),
        ("B02", (1200, 0), 0),
        ("B03", (2400, 0), 0),
    ]
    assert [(j.id, j.boards, j.start, j.end) for j in made.joints] == [
        ("J01", ("B01", "B02"), (1200, 0), (1200, 600)),
        ("J02", ("B02", "B03"), (2400, 0), (2400, 600)),
    ]
    assert findings == []


@pytest.mark.parametrize(("length", "count"), [(1200, 1), (1201, 2), (2500, 3), (4900, 5)])
def test_a_shelf_is_divided_equally(plan_of: Any, cut: Any, length: float, count: int) -> None:
    """Fewest boards = length / 1200, rounded up; a 25 mm step may leave them a little unequal."""
    made, _ = cut(plan_of(((0, 0), (length, 0), (length, 600), (0, 600))))
    lengths = [b.length_mm for b in made.boards]
    assert len(lengths) == count
    assert max(lengths) - min(lengths) <= 25.0 + 1e-6 or count == 2


def test_an_l_is_cut_at_the_corner(plan_of: Any, cut: Any) -> None:
    """Arms 600 deep, outer sides 3000 and 2400: area 3.0 × 0.6 + 1.8 × 0.6 = 2.88 m²; a board this deep holds
    1.2 × 0.6 = 0.72 m², so at least 4; the corner to one arm gives 2400 = 2 × 1200 on both: 4 rectangles."""
    ring = ((0, 0), (600, 0), (600, 1800), (3000, 1800), (3000, 2400), (0, 2400))
    made, _ = cut(plan_of(ring))
    assert sizes(made) == [(1200, 600)] * 4


def test_a_ring_round_a_well_is_rectangles(plan_of: Any, cut: Any) -> None:
    """3000 × 2400 with 600 all round: area 7.2 − 1.8 × 1.2 = 5.04 m² = 7 boards of 1.2 × 0.6 m, no fewer."""
    well = ((600, 600), (600, 1800), (2400, 1800), (2400, 600))
    made, _ = cut(plan_of(((0, 0), (3000, 0), (3000, 2400), (0, 2400)), (well,)))
    assert sizes(made) == [(1200, 600)] * 7
    assert len(made.joints) == 7
    assert all(not b.wells for b in made.boards)


def test_a_board_may_hold_a_well(plan_of: Any, cut: Any) -> None:
    well = ((400, 200), (400, 500), (600, 500), (600, 200))
    made, _ = cut(plan_of(((0, 0), (1000, 0), (1000, 700), (0, 700)), (well,)))
    assert sizes(made) == [(1000, 700)]
    assert len(made.boards[0].wells) == 1


def test_a_curved_front_is_cut_square_to_the_wall(plan_of: Any, cut: Any) -> None:
    """4800 long and at most 670 deep: 4 boards, each joint square to the straight back."""
    front = tuple((4800 - 24 * i, 550 + 120 * math.cos(i * 0.045)) for i in range(201))
    made, _ = cut(plan_of(((0, 0), (4800, 0), *front)))
    assert len(made.boards) == 4
    assert all(abs(j.start[0] - j.end[0]) < 1e-5 for j in made.joints)


def test_a_wide_end_gets_a_side_board_with_a_t_junction(plan_of: Any, cut: Any) -> None:
    """4000 × 600 with an end 1100 deep over 1100: 2900 of shelf needs 3, the end (1100 > 750) 2."""
    ring = ((0, 0), (4000, 0), (4000, 1100), (2900, 1100), (2900, 600), (0, 600))
    made, _ = cut(plan_of(ring))
    assert len(made.boards) == 5
    long_edge = max(made.joints, key=lambda j: j.length_mm)
    assert long_edge.length_mm == pytest.approx(1100)
    end = [b for b in made.boards if b.length_mm == pytest.approx(1100)]
    assert len(end) == 2


def test_a_quarter_circle_shelf_fits_its_boards(plan_of: Any, cut: Any) -> None:
    """Outer radius 2400, 600 wide. Three boards of 30° would be 2 × 2400 × sin 15° = 1242 mm long: 4."""
    turn = [math.radians(0.9 * i) for i in range(101)]
    outer = tuple((2400 * math.cos(a), 2400 * math.sin(a)) for a in turn)
    inner = tuple((1800 * math.cos(a), 1800 * math.sin(a)) for a in reversed(turn))
    made, _ = cut(plan_of((*outer, *inner)))
    assert len(made.boards) == 4
    assert min(b.width_mm for b in made.boards) >= 250


def test_two_outlines_are_named_one_after_the_other(plan_of: Any, cut: Any) -> None:
    above = Outline(id="U", ring=((0, 0), (2000, 0), (2000, 300), (0, 300)), level_mm=250)
    made, _ = cut(plan_of(SHELF, outlines=(above,)))
    assert [(b.id, b.outline, b.level_mm) for b in made.boards] == [
        ("B01", "A", 0),
        ("B02", "A", 0),
        ("B03", "A", 0),
        ("B04", "U", 250),
        ("B05", "U", 250),
    ]
    assert [j.boards for j in made.joints] == [("B01", "B02"), ("B02", "B03"), ("B04", "B05")]


def test_a_turned_layout_is_split_the_same(plan_of: Any, cut: Any) -> None:
    """The L turned by 33°: same boards, each along its own edges."""
    c, s = math.cos(math.radians(33)), math.sin(math.radians(33))
    ring = ((0, 0), (600, 0), (600, 1800), (3000, 1800), (3000, 2400), (0, 2400))
    made, _ = cut(plan_of(tuple((x * c - y * s, x * s + y * c) for x, y in ring)))
    assert [(round(b.length_mm, 2), round(b.width_mm, 2)) for b in made.boards] == [(1200, 600)] * 4
    assert {round(b.angle_deg, 4) for b in made.boards} == {33.0, 123.0}
