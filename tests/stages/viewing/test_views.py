"""What is seen of wood: counted by hand on small bodies, and nothing hidden on any board."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from boardwright_stages.viewing.solids import FRONT, ISOMETRIC, RIGHT_END, Prism, seen
from boardwright_stages.viewing.stages import views
from boardwright_timber.model import SeenLine

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
    assert told.lift_mm == 900
