"""What is no line: read where its shape is plain, else told with kind, handle, place and what to do."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from boardwright.plan.rings import area

EDGE, TRACK = {"layer": "Edge"}, {"layer": "Track"}
type Draw = Callable[[Any], None]


def image(space: Any) -> None:
    space.add_image(space.doc.add_image_def("plan.png", (640, 480)), (100, 50), (640, 480), dxfattribs=EDGE)


def mesh(space: Any) -> None:
    with space.add_mesh(dxfattribs=EDGE).edit_data() as data:
        data.vertices, data.faces = [(100, 50, 0), (200, 50, 0), (200, 90, 0)], [[0, 1, 2]]


def polymesh(space: Any) -> None:
    space.add_polymesh((2, 2), dxfattribs=EDGE).set_mesh_vertex((0, 0), (100, 50))


def solid(entity: Any) -> None:
    entity.sat = ["400 0 1 0", "any solid's own data", "End-of-ACIS-data"]


NOT_READ: list[tuple[str, Callable[[Any], Any], bool, str]] = [
    ("RAY", lambda s: s.add_ray((100, 50), (1, 0), dxfattribs=EDGE), True, "no ends"),
    ("XLINE", lambda s: s.add_xline((100, 50), (1, 0), dxfattribs=EDGE), True, "no ends"),
    ("REGION", lambda s: solid(s.add_region(dxfattribs=EDGE)), False, "Explode it"),
    ("3DSOLID", lambda s: solid(s.add_3dsolid(dxfattribs=EDGE)), False, "seen from above"),
    ("BODY", lambda s: solid(s.add_body(dxfattribs=EDGE)), False, "Explode it"),
    ("EXTRUDEDSURFACE", lambda s: solid(s.add_extruded_surface(dxfattribs=EDGE)), False, "Explode it"),
    ("MESH", mesh, True, "polyline over it"),
    ("POLYLINE", polymesh, True, "polyline over it"),
    ("IMAGE", image, True, "a picture holds no lines"),
    ("SHAPE", lambda s: s.add_shape("BOX", (100, 50), 1, dxfattribs=EDGE), True, "Explode it"),
]


@pytest.mark.parametrize(("kind", "add", "placed", "mend"), NOT_READ, ids=[n[0] for n in NOT_READ])
def test_told_with_kind_handle_layer_and_place(
    read: Any, board: Draw, kind: str, add: Callable[[Any], None], placed: bool, mend: str
) -> None:
    handles = []

    def draw(doc: Any) -> None:
        board(doc)
        add(doc.modelspace())
        handles.append(doc.modelspace()[-1].dxf.handle)

    case = read(draw)
    finding = case.notes["BW-READ-058"]
    assert finding.says.startswith(f"1 {kind} on layer 'Edge' (outline)")
    assert mend in finding.mend
    (place,) = finding.where
    assert (place.layer, place.handle) == ("Edge", handles[0])
    assert (place.x_mm, place.y_mm) == ((100, 50) if placed else (None, None))
    assert area(case.plan.outlines[0].ring) == 500_000


def test_only_what_lies_on_a_layer_with_a_role_is_told(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_ray((0, 0), (1, 0), dxfattribs={"layer": "Scenery"})
        doc.modelspace().add_text("North", dxfattribs=EDGE)

    assert "BW-READ-058" not in read(draw).notes


def test_a_plan_of_nothing_readable_names_it(read: Any) -> None:
    case = read(lambda doc: solid(doc.modelspace().add_region(dxfattribs=EDGE)))
    assert "BW-READ-058" in case.notes
    assert "no closed outline" in case.problems["BW-READ-011"].says


def test_a_multiline_is_the_line_through_its_points(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_mline([(10, 100), (310, 100), (310, 300)], dxfattribs=TRACK)

    case = read(draw)
    assert [t.length_mm for t in case.plan.tracks if t.length_mm] == [500]
    assert "1 multilines" in case.notes["BW-READ-059"].says


def test_a_closed_multiline_is_an_edge(read: Any) -> None:
    def draw(doc: Any) -> None:
        doc.modelspace().add_mline([(0, 0), (800, 0), (800, 400), (0, 400)], close=True, dxfattribs=EDGE)

    assert area(read(draw).plan.outlines[0].ring) == 320_000


def test_an_mpolygon_with_a_round_end_and_a_well(read: Any) -> None:
    def draw(doc: Any) -> None:
        paths = doc.modelspace().add_mpolygon(dxfattribs=EDGE).paths
        paths.add_polyline_path([(0, 0), (1000, 0, 1), (1000, 500), (0, 500)], is_closed=True)
        paths.add_polyline_path([(200, 200), (300, 200), (300, 300), (200, 300)], is_closed=True)

    (outline,) = read(draw).plan.outlines
    assert [area(w) for w in outline.wells] == [-10_000]
    assert [c.radius_mm for c in outline.circles] == [pytest.approx(250)]


def test_faces_that_share_sides_are_one_surface(read: Any) -> None:
    def draw(doc: Any) -> None:
        space = doc.modelspace()
        space.add_3dface([(0, 0), (600, 0), (600, 300), (0, 300)], dxfattribs=EDGE)
        space.add_3dface([(600, 0), (900, 0), (600, 300)], dxfattribs=EDGE)
        space.add_3dface([(0, 0, 0), (600, 0, 0), (600, 0, -90), (0, 0, -90)], dxfattribs=EDGE)  # upright

    (outline,) = read(draw).plan.outlines
    assert area(outline.ring) == 600 * 300 + 300 * 300 / 2


def hatch(space: Any) -> None:
    paths = space.add_hatch(dxfattribs=EDGE).paths
    paths.add_polyline_path([(0, 0), (1000, 0, 1), (1000, 500), (0, 500)], is_closed=True)


def hatch_of_edges(space: Any) -> None:
    path = space.add_hatch(dxfattribs=EDGE).paths.add_edge_path()
    path.add_line((0, 0), (1000, 0))
    path.add_arc((1000, 250), 250, 270, 90)
    path.add_line((1000, 500), (0, 500))
    path.add_line((0, 500), (0, 0))


def hatch_with_a_round_ellipse(space: Any) -> None:
    path = space.add_hatch(dxfattribs=EDGE).paths.add_edge_path()
    path.add_line((0, 0), (1000, 0))
    path.add_ellipse((1000, 250), (0, 250), 1.0, 180, 360)
    path.add_line((1000, 500), (0, 500))
    path.add_line((0, 500), (0, 0))


def round_ellipse(space: Any) -> None:
    space.add_lwpolyline([(1000, 500), (0, 500), (0, 0), (1000, 0)], dxfattribs=EDGE)
    space.add_ellipse((1000, 250), (0, 250), 1.0, math.pi, 2 * math.pi, dxfattribs=EDGE)


@pytest.mark.parametrize("add", [hatch, hatch_of_edges, hatch_with_a_round_ellipse, round_ellipse])
def test_round_edges_keep_their_circle(read: Any, add: Callable[[Any], None]) -> None:
    (outline,) = read(lambda doc: add(doc.modelspace())).plan.outlines
    assert [(c.x_mm, c.y_mm, c.radius_mm) for c in outline.circles] == [pytest.approx((1000, 250, 250))]
    # 1000 × 500 + π·250²/2 = 598 174.77, less at most 2/3 of the chord error along the arc
    assert area(outline.ring) == pytest.approx(598_174.77, abs=2 / 3 * 0.05 * math.pi * 250)


@pytest.mark.parametrize("radius", [-100.0, 0.0])
@pytest.mark.parametrize("kind", ["CIRCLE", "ARC", "HATCH"])
def test_a_radius_that_none_can_have_is_told(read: Any, board: Draw, kind: str, radius: float) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        space = doc.modelspace()
        if kind == "CIRCLE":
            space.add_circle((500, 250), 9, dxfattribs=EDGE).dxf.radius = radius
        elif kind == "ARC":
            space.add_arc((500, 250), 9, 0, 90, dxfattribs=EDGE).dxf.radius = radius
        else:
            space.add_hatch(dxfattribs=EDGE).paths.add_edge_path().add_arc((500, 250), radius, 0, 360)

    case = read(draw)
    assert case.plan.outlines[0].wells == ()
    assert f"is {radius:g}" in case.notes["BW-READ-018"].says


def test_what_is_marked_as_hidden_is_left_out_and_told(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_circle((500, 250), 100, dxfattribs={**EDGE, "invisible": 1})

    case = read(draw)
    assert case.plan.outlines[0].wells == ()
    finding = case.notes["BW-READ-080"]
    assert finding.says.startswith("1 CIRCLE on layer 'Edge'")
    assert (finding.where[0].x_mm, finding.where[0].y_mm) == (500, 250)


def test_filled_areas_are_no_track(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_solid([(0, 0), (5, 0), (0, 5)], dxfattribs=TRACK)

    case = read(draw)
    assert case.plan.tracks == ()
    assert "1 filled areas" in case.notes["BW-READ-058"].says
