"""Every kind of entity, block and unit is read as drawn."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Any

import pytest

from boardwright.findings import Notes
from boardwright.plan.reading import read_drawing
from boardwright.plan.rings import area
from boardwright.plan.settings import DrawingSettings, LayerSettings
from boardwright.plan.source import SourceFile

EDGE = {"layer": "Edge"}


def surface(plan: Any) -> float:
    return sum(area(o.ring) + sum(area(w) for w in o.wells) for o in plan.outlines)


def test_polyline_with_bulges(read: Any) -> None:
    def draw(doc: Any) -> None:
        stadium = [(0, 0, 0), (600, 0, 1), (600, 400, 0), (0, 400, 1)]
        doc.modelspace().add_lwpolyline(stadium, format="xyb", close=True, dxfattribs=EDGE)

    plan = read(draw).plan
    # 600 × 400 + π·200² = 240 000 + 125 663.7 = 365 663.7 mm²; flattening takes off at most
    # 2/3 × 0.05 mm × the arcs' length: 2/3 × 0.05 × 2π·200 = 41.9 mm².
    assert 365_663.7 - 41.9 <= surface(plan) <= 365_663.8


def test_old_polyline_circle_ellipse_and_closed_spline(read: Any) -> None:
    def draw(doc: Any) -> None:
        space = doc.modelspace()
        space.add_polyline2d([(0, 0), (300, 0), (300, 200), (0, 200)], close=True, dxfattribs=EDGE)
        space.add_circle((1000, 0), 100, dxfattribs=EDGE)
        space.add_ellipse((2000, 0), (200, 0), 0.5, dxfattribs=EDGE)
        corners = [(3000, 0, 0), (3200, 0, 0), (3200, 200, 0), (3000, 200, 0)]
        space.add_spline(dxfattribs=EDGE).set_closed(corners)

    areas = [area(o.ring) for o in read(draw).plan.outlines]
    assert areas[0] == 60_000
    assert areas[1] == pytest.approx(math.pi * 100**2, rel=1e-3)
    assert areas[2] == pytest.approx(math.pi * 200 * 100, rel=1e-3)
    assert areas[3] == pytest.approx(_uniform_spline_area(200), rel=1e-3)


def _uniform_spline_area(side: float) -> float:
    """Area inside a uniform closed cubic B-spline round a square, summed finely from its basis."""
    square = [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]

    def at(span: int, t: float) -> tuple[float, float]:
        w = (
            (1 - t) ** 3 / 6,
            (3 * t**3 - 6 * t**2 + 4) / 6,
            (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6,
            t**3 / 6,
        )
        corners = [square[(span + i) % 4] for i in range(4)]
        return (
            sum(k * p[0] for k, p in zip(w, corners, strict=True)),
            sum(k * p[1] for k, p in zip(w, corners, strict=True)),
        )

    return area([at(span, i / 500) for span in range(4) for i in range(500)])


def test_lines_arcs_and_a_spline_make_one_edge(read: Any) -> None:
    def draw(doc: Any) -> None:
        space = doc.modelspace()
        space.add_line((0, 0), (900, 0), dxfattribs=EDGE)
        space.add_arc((900, 100), 100, 270, 0, dxfattribs=EDGE)
        space.add_line((1000, 400), (1000, 100), dxfattribs=EDGE)
        space.add_open_spline([(1000, 400), (700, 400), (300, 400), (0, 400)], dxfattribs=EDGE)
        space.add_line((0, 400), (0, 0), dxfattribs=EDGE)

    # 1000 × 400 less the corner: r²·(1 − π/4) = 10 000 × 0.214602 = 2146.0 mm²
    assert surface(read(draw).plan) == pytest.approx(400_000 - 2_146.0, abs=2 / 3 * 0.05 * 158)


def test_a_ring_inside_is_a_well_and_a_ring_in_the_well_an_outline(read: Any) -> None:
    def draw(doc: Any) -> None:
        for inset in (0, 500, 700):
            far = 2000 - inset
            ring = [(inset, inset), (far, inset), (far, far), (inset, far)]
            doc.modelspace().add_lwpolyline(ring, close=True, dxfattribs=EDGE)

    plan = read(draw).plan
    # 2000² − 1000² + 600² = 4 000 000 − 1 000 000 + 360 000
    assert surface(plan) == 3_360_000
    assert [len(o.wells) for o in plan.outlines] == [1, 0]
    assert area(plan.outlines[0].wells[0]) == -1_000_000


def test_nested_scaled_turned_and_mirrored_blocks_are_opened(read: Any) -> None:
    def draw(doc: Any) -> None:
        inner = doc.blocks.new("INNER")
        inner.add_lwpolyline([(0, 0), (300, 0), (300, 100), (0, 200)], close=True)  # layer 0: the insert's
        outer = doc.blocks.new("OUTER", base_point=(10, 0))
        outer.add_blockref("INNER", (10, 0), dxfattribs={"xscale": 2, "yscale": 2})
        doc.modelspace().add_blockref("OUTER", (1000, 0), dxfattribs={**EDGE, "rotation": 90, "yscale": -1})

    plan = read(draw).plan
    # The trapezium is 300 × (200 + 100) / 2 = 45 000 mm²; twice as large each way: 180 000.
    assert surface(plan) == pytest.approx(180_000)
    # (300, 100) doubled (600, 200), mirrored (600, −200), turned by 90° (200, 600), moved by 1000.
    assert (1200.0, 600.0) in plan.outlines[0].ring


def test_an_arc_drawn_from_below_is_mirrored(read: Any) -> None:
    def draw(doc: Any) -> None:
        space = doc.modelspace()
        space.add_arc((-500, 0), 400, 0, 180, dxfattribs={**EDGE, "extrusion": (0, 0, -1)})
        space.add_line((100, 0), (900, 0), dxfattribs=EDGE)

    assert surface(read(draw).plan) == pytest.approx(math.pi * 400**2 / 2, abs=2 / 3 * 0.05 * math.pi * 400)


def test_texts_paper_space_and_other_layers_play_no_part(read: Any, board: Callable[[Any], None]) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_text("hello", dxfattribs=EDGE)
        doc.modelspace().add_mtext("hello", dxfattribs=EDGE)
        doc.modelspace().add_circle((5000, 5000), 300, dxfattribs={"layer": "Tree"})
        doc.paperspace().add_circle((0, 0), 3000, dxfattribs=EDGE)

    case = read(draw)
    assert surface(case.plan) == 500_000
    assert "'Tree'" in case.notes["BW-READ-025"].says


@pytest.mark.parametrize(
    ("code", "name", "mm"), [(1, "in", 25.4), (2, "ft", 304.8), (4, "mm", 1), (5, "cm", 10), (6, "m", 1000)]
)
def test_units(read: Any, code: int, name: str, mm: float) -> None:
    def draw(doc: Any) -> None:
        ring = [(0, 0), (2000 / mm, 0), (2000 / mm, 1000 / mm), (0, 1000 / mm)]
        doc.modelspace().add_lwpolyline(ring, close=True, dxfattribs=EDGE)

    assert surface(read(draw, insunits=code).plan) == pytest.approx(2_000_000)
    assert surface(read(draw, insunits=0, units=name).plan) == pytest.approx(2_000_000)


def test_tracks_turnouts_joints_obstacles_and_lift_outs(read: Any, board: Callable[[Any], None]) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        space = doc.modelspace()
        space.add_line((0, 250), (1000, 250), dxfattribs={"layer": "Track"})
        space.add_arc((500, 0), 200, 0, 90, dxfattribs={"layer": "Track"})
        block = doc.blocks.new("CROSSING")
        block.add_line((0, 0), (200, 0))
        block.add_line((0, 0), (200, 40))
        right = {"layer": "Turnouts", "yscale": -1}
        space.add_blockref("CROSSING", (400, 250), dxfattribs=right)
        named = space.add_blockref("CROSSING", (100, 250), dxfattribs={"layer": "Turnouts"})
        named.add_attrib("NAME", "T02", (0, 0))
        space.add_line((500, 500), (500, 0), dxfattribs={"layer": "Joints"})
        space.add_lwpolyline([(300, 0), (300, 500)], dxfattribs={"layer": "Joints"})
        space.add_circle((900, 400), 30, dxfattribs={"layer": "Obstacles"})
        space.add_point((950, 100), dxfattribs={"layer": "Lift-outs"})
        space.add_circle((20, 20), 5, dxfattribs={"layer": "Lift-outs"})

    plan = read(draw).plan
    assert [t.id for t in plan.tracks] == ["TR001", "TR002"]
    arc = plan.tracks[1].points
    # Quarter circle of 200 mm: 314.159 mm; the chords are shorter by less than 0.05 %.
    assert sum(math.dist(a, b) for a, b in itertools.pairwise(arc)) == pytest.approx(314.159, rel=5e-4)
    assert {t.id: t.ring for t in plan.turnouts} == {
        "T01": ((400, 250), (600, 210), (600, 250)),
        "T02": ((100, 250), (300, 250), (300, 290)),
    }
    assert [(j.id, j.start, j.end) for j in plan.drawn_joints] == [
        ("J1", (300, 0), (300, 500)),
        ("J2", (500, 0), (500, 500)),
    ]
    assert len(plan.obstacles) == 1
    assert [(m.x_mm, m.y_mm) for m in plan.lift_outs] == [(20, 20), (950, 100)]
    assert plan.turnouts[0].place.handle
    assert plan.turnouts[0].place.layer == "Turnouts"


def test_drawing_order_does_not_matter(read: Any, board: Callable[[Any], None]) -> None:
    lines = [((0, y), (1000, y)) for y in (100, 200, 300)]

    def draw(order: list[int]) -> Callable[[Any], None]:
        def inner(doc: Any) -> None:
            for i in order:
                doc.modelspace().add_line(*lines[i], dxfattribs={"layer": "Track"})
            board(doc)

        return inner

    def seen(order: list[int]) -> list[Any]:
        return [(t.id, t.points) for t in read(draw(order)).plan.tracks]

    assert seen([0, 1, 2]) == seen([2, 0, 1])


def test_layers_named_with_wildcard_and_any_case(read: Any) -> None:
    def draw(doc: Any) -> None:
        doc.modelspace().add_circle((0, 0), 400, dxfattribs={"layer": "A-Plan-Rim"})

    assert read(draw, layers={"outline": ["*plan-RIM"]}).plan.outlines
    assert "BW-READ-008" in read(draw).problems


@pytest.mark.parametrize("written", ["\\U+8f2a\\U+90ed", "\\M+197D6\\M+18A73"])
def test_names_outside_the_code_page(
    to_bytes: Any, read: Any, board: Callable[[Any], None], written: str
) -> None:
    """Two letters as older releases write them: by Unicode number, and by Japanese code page."""
    data = to_bytes(board).replace(b"Edge", written.encode())
    assert surface(read(data, layers={"outline": ["輪郭"]}).plan) == 500_000


def test_things_without_a_role_are_counted_and_not_read(to_bytes: Any, board: Callable[[Any], None]) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        space = doc.modelspace()
        for n in range(40):
            space.add_circle((500, 250), 1 + n, dxfattribs={"layer": "Trees"})
        near = doc.blocks.new("NEAR")
        near.add_line((0, 100), (1000, 100), dxfattribs={"layer": "Track"})
        near.add_line((0, 90), (1000, 90), dxfattribs={"layer": "Trees"})
        far = doc.blocks.new("FAR")
        far.add_circle((0, 0), 5)
        for name in ("NEAR", "FAR", "FAR"):
            space.add_blockref(name, (0, 0), dxfattribs={"layer": "Trees"})

    settings = DrawingSettings(file="a.dxf", layers=LayerSettings(outline=("Edge",), tracks=("Track",)))
    source = SourceFile("a.dxf", to_bytes(draw))
    sketch = read_drawing(source, settings, Notes(), Notes())
    assert sketch is not None
    assert sorted(c.layer for c in sketch.drawn.curves) == ["Edge", "Track"]
    # of the inserts only NEAR holds something that is read; its other line is counted like the circles
    assert sketch.drawn.unread == {"Trees": {"CIRCLE": 40, "INSERT": 2, "LINE": 1}}
    whole = read_drawing(source, settings, Notes(), Notes(), everything=True)
    assert whole is not None
    assert len(whole.drawn.curves) == 2 + 40 + 1 + 2
