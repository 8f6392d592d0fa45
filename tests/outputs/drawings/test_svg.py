"""Pictures are well-formed, labelled, and thinned only as far as nobody sees."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from itertools import pairwise

from boardwright_outputs.drawings.drawing import Box, Drawing, Polyline, Role, Text
from boardwright_outputs.drawings.svg import write_svg
from boardwright_outputs.drawings.thinning import thinned

SVG = "{http://www.w3.org/2000/svg}"


def test_pictures_are_labelled_xml(drawings: dict[str, Drawing]) -> None:
    for name, drawing in drawings.items():
        root = ET.fromstring(write_svg(drawing, f"p-{name}", "words"))
        assert root.get("role") == "img"
        ids = {e.get("id") for e in root.iter() if e.get("id")}
        assert set((root.get("aria-labelledby") or "").split()) <= ids
        assert root.find(f"{SVG}title").text == drawing.title


def test_y_points_down_in_pictures() -> None:
    drawing = Drawing(
        title="t",
        frame=Box(0.0, 0.0, 100.0, 50.0),
        items=(Text(role=Role.TEXT, x_mm=10.0, y_mm=40.0, height_mm=5.0, text="up"),),
    )
    text = ET.fromstring(write_svg(drawing, "p")).find(f".//{SVG}text")
    assert (text.get("x"), text.get("y")) == ("10", "10")


def test_names_are_only_text() -> None:
    drawing = Drawing(
        title="<script>alert(1)</script>",
        frame=Box(0.0, 0.0, 100.0, 50.0),
        items=(Text(role=Role.TEXT, x_mm=0.0, y_mm=0.0, height_mm=5.0, text='"><script>\x00&'),),
    )
    root = ET.fromstring(write_svg(drawing, "p", "</desc><script>"))
    assert not [e for e in root.iter() if "script" in e.tag]


def test_thinning_keeps_a_circle_round() -> None:
    """Every dropped point is within the tolerance of the run that is left."""
    circle = [(300 * math.cos(a), 300 * math.sin(a)) for a in [math.tau * i / 720 for i in range(721)]]
    kept = thinned(circle, 0.5)
    assert 20 < len(kept) < 120
    assert kept[0] == circle[0]
    assert kept[-1] == circle[-1]
    for p in circle:
        assert min(_off(p, a, b) for a, b in pairwise(kept)) <= 0.5 + 1e-9


def _off(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    length = math.dist(a, b)
    t = max(0.0, min(1.0, ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length**2))
    return math.dist(p, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))


def test_pictures_are_thinned_but_files_are_not() -> None:
    points = tuple((float(x), 0.0) for x in range(1000))
    drawing = Drawing(
        title="t", frame=Box(0.0, -1.0, 1000.0, 1.0), items=(Polyline(role=Role.TRACK, points=points),)
    )
    assert 'd="M0 1 999 1"' in write_svg(drawing, "p")
    assert len(drawing.items[0].points) == 1000
