"""Edges drawn the way people draw them: pieces that overlap, overshoot or end on each other; filled areas."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import noding
from boardwright.plan.rings import area

EDGE = {"layer": "Edge"}
SIDES = [((0, 0), (800, 0)), ((800, 0), (800, 400)), ((800, 400), (0, 400)), ((0, 400), (0, 0))]


def lines(*ends: tuple[tuple[float, float], tuple[float, float]]) -> Callable[[Any], None]:
    def draw(doc: Any) -> None:
        for a, b in ends:
            doc.modelspace().add_line(a, b, dxfattribs=EDGE)

    return draw


@pytest.mark.parametrize("at", [(800, 0), (300, 0), (50, 50)])
def test_a_line_without_length_is_no_piece_of_the_edge(read: Any, at: tuple[float, float]) -> None:
    """A slip of the mouse, at a corner, on a side, or anywhere: it has no ends to close."""
    plain, dotted = read(lines(*SIDES)), read(lines(*SIDES, (at, at)))
    assert dotted.plan.outlines[0].ring == plain.plan.outlines[0].ring
    assert list(dotted.notes) == list(plain.notes)


@pytest.mark.parametrize(
    ("ends", "code", "what"),
    [
        # the right side goes on past both corners: 30 + 20 mm stick out
        ([SIDES[0], ((800, -30), (800, 420)), *SIDES[2:]], "BW-READ-056", "longest 30.00 mm"),
        # the bottom is drawn in two pieces that overlap from 300 to 500
        (
            [((0, 0), (500, 0)), ((300, 0), (800, 0)), *SIDES[1:]],
            "BW-READ-055",
            "5 pieces of the edge overlap",
        ),
        # part of a side drawn over a longer one
        ([*SIDES, ((0, 100), (0, 300))], "BW-READ-016", "drawn twice"),
        # the left side stops 0.05 mm short of the middle of a bottom that goes on to x = -50
        ([((-50, 0), (800, 0)), *SIDES[1:3], ((0, 400), (0, 0.05))], "BW-READ-056", "longest 50.00 mm"),
        # a line from side to side of an edge that is whole without it
        ([*SIDES, ((300, 0), (300, 400))], "BW-READ-012", "do not close and are left out"),
        # two plates that share a side: one surface, and it is said
        (
            [*SIDES, ((800, 0), (900, 0)), ((900, 0), (900, 400)), ((900, 400), (800, 400))],
            "BW-READ-013",
            "into 2",
        ),
    ],
)
def test_pieces_that_do_not_meet_end_to_end(read: Any, ends: Any, code: str, what: str) -> None:
    case = read(lines(*ends))
    wide = 900 if code == "BW-READ-013" else 800
    assert area(case.plan.outlines[0].ring) == pytest.approx(wide * 400, abs=0.1)
    assert what in case.notes[code].says
    assert len(case.plan.outlines[0].ring) in (4, 5, 6, 7)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.lists(st.just(0.0) | st.floats(0.2, 60), min_size=8, max_size=8),
    st.floats(0, 2 * math.pi),
    st.permutations(range(4)),
)
def test_sides_that_cross_make_the_same_edge(over: list[float], turn: float, order: list[int]) -> None:
    """Whatever sticks out at the corners (by more than the gap), the area between the lines is the same."""
    c, s = math.cos(turn), math.sin(turn)
    pieces = []
    for n in order:
        (ax, ay), (bx, by) = SIDES[n]
        length = math.hypot(bx - ax, by - ay)
        ux, uy = (bx - ax) / length, (by - ay) / length
        ends = (
            (ax - ux * over[2 * n], ay - uy * over[2 * n]),
            (bx + ux * over[2 * n + 1], by + uy * over[2 * n + 1]),
        )
        pieces.append([(x * c - y * s, x * s + y * c) for x, y in ends])
    (group,) = noding.groups(pieces, 0.1)
    assert abs(area(group.points)) == pytest.approx(320_000, rel=1e-6)
    assert group.areas == 1
    assert sorted(group.members) == [0, 1, 2, 3]


def test_a_well_of_loose_pieces_stays_a_well(read: Any) -> None:
    inner = [(x + 300, y / 4 + 100) for x, y in ((0, 0), (200, 0), (200, 400), (0, 400))]
    well = list(zip(inner, [*inner[1:], inner[0]], strict=True))
    case = read(lines(SIDES[0], ((800, -30), (800, 420)), *SIDES[2:], *well))
    (outline,) = case.plan.outlines
    assert [area(w) for w in outline.wells] == [-200 * 100]


def hatch(doc: Any) -> None:
    filled = doc.modelspace().add_hatch(dxfattribs=EDGE)
    filled.paths.add_polyline_path([(0, 0), (1000, 0), (1000, 500, 1), (0, 500)], is_closed=True)


def hatch_of_edges(doc: Any) -> None:
    path = doc.modelspace().add_hatch(dxfattribs=EDGE).paths.add_edge_path()
    path.add_line((0, 0), (1000, 0))
    path.add_line((1000, 0), (1000, 500))
    path.add_arc((500, 500), 500, 0, 180)
    path.add_line((0, 500), (0, 0))


def hatch_with_an_ellipse(doc: Any) -> None:
    path = doc.modelspace().add_hatch(dxfattribs=EDGE).paths.add_edge_path()
    path.add_ellipse((500, 500), (500, 0), 1.0, 0, 180)
    path.add_line((0, 500), (0, 0))
    path.add_line((0, 0), (1000, 0))
    path.add_line((1000, 0), (1000, 500))


@pytest.mark.parametrize("draw", [hatch, hatch_of_edges, hatch_with_an_ellipse])
def test_a_hatch_alone_is_an_edge(read: Any, draw: Callable[[Any], None]) -> None:
    case = read(draw)
    # 1000 × 500 + half a circle of 500: 500 000 + π·500²/2 = 892 699.1; chords take off ≤ 2/3 × 0.05 × π·500
    assert area(case.plan.outlines[0].ring) == pytest.approx(892_699.1, abs=2 / 3 * 0.05 * math.pi * 500)
    assert "1 filled areas serve" in case.notes["BW-READ-050"].says


def test_a_solid_alone_is_an_edge(read: Any) -> None:
    def draw(doc: Any) -> None:
        # the third and fourth corners of a SOLID are stored crossed (DXF reference; from memory)
        doc.modelspace().add_solid([(0, 0), (600, 0), (0, 300), (600, 300)], dxfattribs=EDGE)

    assert area(read(draw).plan.outlines[0].ring) == 180_000


def test_a_hatch_inside_a_drawn_edge_plays_no_part(read: Any, board: Callable[[Any], None]) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_hatch(dxfattribs=EDGE).paths.add_polyline_path(
            [(1, 1), (999, 1), (999, 499), (1, 499)], is_closed=True
        )

    (outline,) = read(draw).plan.outlines
    assert area(outline.ring) == 500_000
    assert outline.wells == ()


def test_another_drawing_referred_to_is_told(read: Any, board: Callable[[Any], None]) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.add_xref_def("house.dxf", "HOUSE")
        doc.modelspace().add_blockref("HOUSE", (0, 0))

    case = read(draw)
    assert "house.dxf" in case.notes["BW-READ-027"].says


@pytest.mark.parametrize(("choice", "wells"), [("read", 1), ("skip", 0)])
def test_hidden_layers_by_choice(read: Any, board: Callable[[Any], None], choice: str, wells: int) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.layers.add("Edge 2").off()
        doc.modelspace().add_circle((500, 250), 100, dxfattribs={"layer": "Edge 2"})

    case = read(draw, layers={"outline": ["Edge*"]}, hidden_layers=choice)
    assert len(case.plan.outlines[0].wells) == wells
    assert "'Edge 2'" in case.notes["BW-READ-033"].says


@pytest.mark.parametrize("away", [(0.0, 0.0), (5_312_004.0, 481_250.0), (-7e9, 2e9)])
def test_plans_far_from_the_origin_are_brought_near(read: Any, away: tuple[float, float]) -> None:
    x, y = away

    def draw(doc: Any) -> None:
        corners = [(0, 0), (1000, 0), (1000, 500, 0, 0, 0.25), (0, 500)]
        placed = [(p[0] + x, p[1] + y, *p[2:]) for p in corners]
        doc.modelspace().add_lwpolyline(placed, close=True, dxfattribs=EDGE)

    case = read(draw, csv=f"id,kind,x_mm,y_mm\nM1,point_motor,{x + 250},{y + 125}\n")
    (outline,) = case.plan.outlines
    corner = min(outline.ring)
    assert max(map(abs, corner)) < 1000 if away != (0.0, 0.0) else corner == (0, 0)
    device = case.plan.devices[0]
    assert (device.x_mm - corner[0], device.y_mm - corner[1]) == pytest.approx((250, 125), abs=2e-6)
    assert ("BW-READ-039" in case.notes) is (away != (0.0, 0.0))
