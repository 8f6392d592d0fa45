"""Edges drawn twice: closed edges within the gap of each other, circles drawn again, arcs that overlap."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import curves, noding
from boardwright.plan.model import Circle
from boardwright.plan.rings import area, followed, ring

EDGE = {"layer": "Edge"}
SQUARE = [(0, 0), (1000, 0), (1000, 500), (0, 500)]
CHORDS = (
    2 / 3 * 0.05
)  # a flattened arc is short of its area by 2/3 of the chord error along its length, at most


def moved(dx: float, dy: float = 0.0) -> list[tuple[float, float]]:
    return [(x + dx, y + dy) for x, y in SQUARE]


@pytest.mark.parametrize(
    "second",
    [moved(0), moved(0.07), moved(-0.05, 0.05), moved(0.02)[::-1], [*moved(0.03)[2:], *moved(0.03)[:2]]],
)
def test_a_closed_edge_drawn_twice_is_one(read: Any, board: Callable[[Any], None], second: Any) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_lwpolyline(second, close=True, dxfattribs=EDGE)

    case = read(draw)
    (outline,) = case.plan.outlines
    assert outline.wells == ()
    assert area(outline.ring) == pytest.approx(500_000, abs=0.1)
    assert len({p.handle for p in case.notes["BW-READ-016"].where}) == 2  # both are named


def test_edges_farther_apart_than_the_gap_are_told(read: Any, board: Callable[[Any], None]) -> None:
    inner = [(2, 2), (998, 2), (998, 498), (2, 498)]

    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_lwpolyline(inner, close=True, dxfattribs=EDGE)

    finding = read(draw).problems["BW-READ-057"]
    assert len(finding.where) == 2
    assert "gap_mm = 2.83" in finding.mend  # the corners are √8 = 2.828 mm apart
    case = read(draw, gap_mm=2.83)
    assert area(case.plan.outlines[0].ring) == 500_000


def circle(space: Any) -> None:
    space.add_circle((500, 250), 240, dxfattribs=EDGE)


def one_arc(space: Any) -> None:
    space.add_arc((500, 250), 240, 17, 17, dxfattribs=EDGE)


def two_arcs(space: Any) -> None:
    space.add_arc((500, 250), 240, 40, 200, dxfattribs=EDGE)
    space.add_arc((500, 250), 240, 200, 40, dxfattribs=EDGE)


def three_that_overlap(space: Any) -> None:
    for start, end in ((0, 130), (100, 260), (250, 11)):
        space.add_arc((500, 250), 240, start, end, dxfattribs=EDGE)


def bulges(space: Any) -> None:
    space.add_lwpolyline([(740, 250, 1), (260, 250, 1)], format="xyb", close=True, dxfattribs=EDGE)


def two_near(space: Any) -> None:
    space.add_arc((500.03, 250), 240.02, 40, 230, dxfattribs=EDGE)
    space.add_arc((500, 250.02), 240, 200, 70, dxfattribs=EDGE)


AGAIN = [circle, one_arc, two_arcs, three_that_overlap, bulges, two_near]


@pytest.mark.parametrize("one", AGAIN)
@pytest.mark.parametrize("other", [None, *AGAIN])
def test_a_circle_however_drawn_and_redrawn(read: Any, one: Any, other: Any) -> None:
    def draw(doc: Any) -> None:
        one(doc.modelspace())
        if other:
            other(doc.modelspace())

    case = read(draw)
    (outline,) = case.plan.outlines
    assert outline.wells == ()
    round_it = math.pi * 240**2
    assert area(outline.ring) == pytest.approx(round_it, abs=(CHORDS + 0.05) * 2 * math.pi * 240)
    assert [c.radius_mm for c in outline.circles] == [pytest.approx(240, abs=0.03)]
    assert "BW-READ-013" not in case.notes


def test_a_redrawn_piece_of_a_closed_edge_is_told_as_drawn_twice(
    read: Any, board: Callable[[Any], None]
) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_line((300, 0.04), (700, 0.04), dxfattribs=EDGE)

    case = read(draw)
    assert "BW-READ-016" in case.notes
    assert "BW-READ-012" not in case.notes


def test_overlapping_arcs_in_an_edge_of_lines(read: Any) -> None:
    def draw(doc: Any) -> None:
        space = doc.modelspace()
        for a, b in (((0, 0), (1000, 0)), ((1000, 500), (0, 500)), ((0, 500), (0, 0))):
            space.add_line(a, b, dxfattribs=EDGE)
        space.add_arc((1000, 250), 250, 270, 30, dxfattribs=EDGE)
        space.add_arc((1000, 250), 250, 350, 90, dxfattribs=EDGE)

    case = read(draw)
    (outline,) = case.plan.outlines
    half = math.pi * 250**2 / 2
    assert area(outline.ring) == pytest.approx(500_000 + half, abs=CHORDS * math.pi * 250)
    assert [(c.x_mm, c.y_mm, c.radius_mm) for c in outline.circles] == [pytest.approx((1000, 250, 250))]
    assert "BW-READ-055" in case.notes
    assert "BW-READ-013" not in case.notes


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.floats(0, 360), st.floats(130, 340)), min_size=3, max_size=7),
    st.floats(20, 600),
    st.floats(-math.pi, math.pi),
)
def test_any_arcs_that_cover_a_circle_are_that_circle(
    spans: list[tuple[float, float]], radius: float, turn: float
) -> None:
    """Whatever the overlaps, one area is enclosed and every piece of its edge follows the circle."""
    centre = (radius * math.cos(turn), radius * math.sin(turn))
    whole = [*spans, (0.0, 200.0), (190.0, 180.0)]  # the last two alone go round
    lines, circles = [], []
    for start, sweep in whole:
        line = curves.arc(centre, radius, math.radians(start), math.radians(sweep), 0.05)
        lines.append(line)
        chord = math.dist(line[0], line[1])
        circles.append([Circle(x_mm=centre[0], y_mm=centre[1], radius_mm=radius, chord_mm=chord)])
    (group,) = noding.groups(lines, 0.1, circles)
    assert group.areas == 1
    assert group.overshoots == ()
    edge = ring(group.points)
    assert math.pi * radius**2 - area(edge) == pytest.approx(0, abs=CHORDS * 2 * math.pi * radius + 1e-3)
    assert len(followed([edge], group.circles)) == 1
