"""Wells that touch the edge, or miss it by a gap, are notches in it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import notches
from boardwright.plan.rings import area, ring

type Draw = Callable[[Any], None]
type Corners = Sequence[tuple[float, float]]


def box(x0: float, y0: float, x1: float, y1: float) -> Corners:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def with_wells(board: Draw, *wells: Corners) -> Draw:
    def draw(doc: Any) -> None:
        board(doc)
        for well in wells:
            doc.modelspace().add_lwpolyline(well, close=True, dxfattribs={"layer": "Edge"})

    return draw


@pytest.mark.parametrize("gap", [0.0, 0.05, 0.1, -0.1])
def test_a_well_on_the_edge_is_a_notch(read: Any, board: Draw, gap: float) -> None:
    case = read(with_wells(board, box(200, gap, 600, 300)))
    (outline,) = case.plan.outlines
    assert outline.wells == ()
    assert area(outline.ring) == pytest.approx(500_000 - 400 * 300, abs=0.01)
    assert len(outline.ring) == 8
    assert len({p.handle for p in case.notes["BW-READ-081"].where}) == 2


def test_two_wells_a_gap_apart_are_one_with_the_edge(read: Any, board: Draw) -> None:
    case = read(
        with_wells(board, box(200, 0.05, 400, 300), box(400.08, 100, 600, 300), box(800, 100, 900, 200))
    )
    (outline,) = case.plan.outlines
    assert [area(w) for w in outline.wells] == [-10_000]
    assert area(outline.ring) == pytest.approx(500_000 - 200 * 300 - 200 * 200, abs=0.02)


def test_a_well_from_side_to_side_parts_the_surface(read: Any, board: Draw) -> None:
    plan = read(with_wells(board, box(400, 0.05, 600, 499.95))).plan
    assert [area(o.ring) for o in plan.outlines] == [pytest.approx(200_000, abs=0.01)] * 2
    assert [o.id for o in plan.outlines] == ["O1", "O2"]


def test_a_well_farther_away_stays_one(read: Any, board: Draw) -> None:
    case = read(with_wells(board, box(200, 0.2, 600, 300)))
    assert len(case.plan.outlines[0].wells) == 1
    assert "BW-READ-081" not in case.notes


def test_a_well_that_touches_in_a_point_is_refused(read: Any, board: Draw) -> None:
    problems = read(with_wells(board, [(500, 0), (600, 200), (400, 200)])).problems
    assert "single point" in problems["BW-READ-082"].says


def test_a_notch_in_a_round_edge_keeps_the_circle(read: Any) -> None:
    def draw(doc: Any) -> None:
        space = doc.modelspace()
        space.add_circle((500, 500), 400, dxfattribs={"layer": "Edge"})
        # a slice of its right side, by the same circle and a straight line: 3-4-5 triangles of 400
        bulge = math.tan(math.atan2(320, 240) / 2)
        slice_ = [(740, 180, bulge), (740, 820, 0)]
        space.add_lwpolyline(slice_, format="xyb", close=True, dxfattribs={"layer": "Edge"})

    (outline,) = read(draw).plan.outlines
    assert [c.radius_mm for c in outline.circles] == [pytest.approx(400)]
    half = math.atan2(320, 240)
    rest = 400**2 * (math.pi - half) + 240 * 320  # a circle less a segment
    assert area(outline.ring) == pytest.approx(rest, abs=0.1 * 2 * math.pi * 400)
    assert len(outline.ring) < 200


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.floats(0, 2 * math.pi),
    st.floats(0.05, 0.6),
    st.floats(0.1, 0.35),
    st.floats(0.05, 0.9),
    st.floats(0, 0.099),
)
def test_any_notch_takes_its_area_off(
    turn: float, start: float, wide: float, deep: float, gap: float
) -> None:
    """On a board turned anyhow: the notch with the web at its mouth is gone, and one simple ring is left."""
    c, s = math.cos(turn), math.sin(turn)

    def turned(corners: Corners) -> Any:
        return ring([(x * c - y * s, x * s + y * c) for x, y in corners])

    x0, x1, y1 = 900 * start, 900 * (start + wide), 400 * deep
    edge, well = turned(box(0, 0, 900, 400)), turned(box(x0, gap, x1, max(y1, 5)))
    made = notches.cut(edge, [well[::-1]], 0.1)
    ((outer, wells),) = made.left
    assert wells == ()
    assert shapely.Polygon(outer).is_valid
    assert area(outer) == pytest.approx(360_000 - (x1 - x0) * max(y1, 5), abs=0.05)
