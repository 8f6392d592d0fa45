"""Corners, angles and radii of parts, against shapes worked out by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace

import msgspec
import pytest

from boardwright.plan import curves
from boardwright.plan.model import Circle
from boardwright_outputs.drawings.drawing import Role, Text
from boardwright_outputs.drawings.views.part import part_drawing
from boardwright_outputs.drawings.views.shape import openings_of, shape_of
from boardwright_timber.model import Part


def part_of(layout: SimpleNamespace, *corners: tuple[float, float, float]) -> Part:
    """A part whose edge has these corners (x, y, bulge)."""
    own = list(corners)
    rounds = tuple(
        Circle(x_mm=r.centre[0], y_mm=r.centre[1], radius_mm=r.radius, chord_mm=r.chord)
        for r in curves.rounds(own, True, 0.05)
    )
    ring = tuple((round(x, 6), round(y, 6)) for x, y in curves.polyline(own, True, 0.05))
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    deck = next(p for p in layout.parts["B01"].parts if p.role == "deck")
    return msgspec.structs.replace(
        deck, ring=ring, circles=rounds, openings=(), holes=(), marks=(), length_mm=max(xs), width_mm=max(ys)
    )


def test_a_rectangle_has_four_right_angles(layout: SimpleNamespace) -> None:
    shape = shape_of(part_of(layout, (0, 0, 0), (800, 0, 0), (800, 500, 0), (0, 500, 0)))
    assert [c.angle_deg for c in shape.corners] == pytest.approx([90.0] * 4)
    assert shape.rounds == ()


def test_a_sloping_edge(layout: SimpleNamespace) -> None:
    """800 long below, 500 above: the right edge leans by atan(300 / 500) = 30.96°."""
    part = part_of(layout, (0, 0, 0), (800, 0, 0), (500, 500, 0), (0, 500, 0))
    lean = math.degrees(math.atan2(300, 500))
    angles = {c.at: c.angle_deg for c in shape_of(part).corners}
    assert angles == pytest.approx(
        {(0, 0): 90, (800, 0): 90 - lean, (500, 500): 90 + lean, (0, 500): 90}, abs=1e-6
    )
    said = [i.text for i in part_drawing(part).items if isinstance(i, Text)]
    assert {"59.0°", "121.0°"} <= set(said)
    assert said.count("500") == 3  # along the lower edge once, the height twice
    assert "90.0°" not in said


def test_a_corner_cut_inwards_counts_inside_the_wood(layout: SimpleNamespace) -> None:
    corners = ((0, 0, 0), (800, 0, 0), (800, 500, 0), (400, 500, 0), (400, 200, 0), (0, 200, 0))
    angles = [c.angle_deg for c in shape_of(part_of(layout, *corners)).corners]
    assert sorted(a for a in angles if a is not None) == pytest.approx([90.0] * 5 + [270.0])


def dimensions(part: Part) -> list[str]:
    drawing = part_drawing(part)
    return [i.text for i in drawing.items if isinstance(i, Text) and i.role is Role.DIMENSION]


def test_an_opening_has_its_place_and_angles(layout: SimpleNamespace) -> None:
    """A chimney's hole from (300, 100) to (450, 310), one corner cut by 30: there it is 225° of wood."""
    part = part_of(layout, (0, 0, 0), (800, 0, 0), (800, 500, 0), (0, 500, 0))
    assert not {"300", "100"} & set(dimensions(part))
    hole = ((300.0, 100.0), (300.0, 310.0), (420.0, 310.0), (450.0, 280.0), (450.0, 100.0))
    cut = msgspec.structs.replace(part, openings=(hole,))
    (shape,) = openings_of(cut)
    assert sorted(round(c.angle_deg or 0) for c in shape.corners) == [225, 225, 270, 270, 270]
    assert {"0", "100", "280", "300", "310", "420", "450", "800", "500", "225.0°"} <= set(dimensions(cut))
    turned = msgspec.structs.replace(part, openings=(hole[::-1],))
    assert sorted(dimensions(turned)) == sorted(dimensions(cut))


def test_a_round_opening_has_its_middle_and_radius_a_free_one_its_reach(layout: SimpleNamespace) -> None:
    """A turntable's well of radius 150 about (400, 250); an ellipse 240 × 120 about (350, 200)."""
    whole = part_of(layout, (250, 250, 1), (550, 250, 1))
    part = part_of(layout, (0, 0, 0), (800, 0, 0), (800, 500, 0), (0, 500, 0))
    well = msgspec.structs.replace(part, openings=(whole.ring,), circles=whole.circles)
    said = dimensions(well)
    assert {"400", "250"} <= set(said)
    assert "100" not in said  # its lowest point: only ends of half circles, no corners
    assert any(t.startswith("R 150") for t in said)
    around = [math.radians(2 * k) for k in range(180)]
    oval = tuple((350 + 120 * math.cos(a), 200 + 60 * math.sin(a)) for a in around)
    assert {"230", "470", "140", "260"} <= set(dimensions(msgspec.structs.replace(part, openings=(oval,))))


def test_a_round_end_has_its_radius(layout: SimpleNamespace) -> None:
    """Half a circle between (600, 0) and (600, 400): radius 200, its middle at (800, 200)."""
    part = part_of(layout, (0, 0, 0), (600, 0, 1), (600, 400, 0), (0, 400, 0))
    (arc,) = shape_of(part).rounds
    assert arc.radius_mm == pytest.approx(200, abs=1e-6)
    assert arc.middle == pytest.approx((800, 200), abs=1e-6)
    assert arc.centre == pytest.approx((600, 200), abs=1e-6)
    assert "R 200" in [i.text for i in part_drawing(part).items if isinstance(i, Text)]


def test_a_hollow_end_has_its_radius_too(layout: SimpleNamespace) -> None:
    """A quarter circle of 100 taken out of the corner: bulge -tan(90° / 4)."""
    hollow = -math.tan(math.pi / 8)
    part = part_of(layout, (0, 0, 0), (500, 0, hollow), (600, 100, 0), (600, 400, 0), (0, 400, 0))
    (arc,) = shape_of(part).rounds
    assert arc.radius_mm == pytest.approx(100, abs=1e-6)
    assert arc.centre == pytest.approx((600, 0), abs=1e-6)
