"""Where a joint crosses a curved track, the angle is that of the arc, not of its chord."""

from __future__ import annotations

import math

import pytest

from boardwright.plan.curves import arc
from boardwright.plan.model import Circle, Outline, Track, TrackPlan
from boardwright.plan.rings import run
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.tracks import Tracks


@pytest.mark.parametrize("error_mm", [0.01, 0.5])
@pytest.mark.parametrize("x_mm", [40.0, 100.0, 133.7, 200.0])
def test_off_square_is_exact_on_arcs(error_mm: float, x_mm: float) -> None:
    points = run(arc((0.0, 0.0), 500.0, math.radians(30), math.radians(60), error_mm))
    circle = Circle(x_mm=0, y_mm=0, radius_mm=500, chord_mm=math.dist(points[0], points[1]))
    board = Outline(id="O1", ring=((-100, 0), (600, 0), (600, 600), (-100, 600)))
    plan = TrackPlan(
        name="Bend",
        drawing_file="plan.dxf",
        scale_ratio=87,
        outlines=(board,),
        tracks=(Track(id="TR001", points=points, circles=(circle,)),),
    )
    (crossing,) = Tracks(plan, SplittingSettings()).crossings((x_mm, 0.0), (x_mm, 600.0))
    # a joint x = 500·sin(a) crosses where the tangent is off square by a; its chord lies a hair inside
    assert crossing.off_square_deg == pytest.approx(math.degrees(math.asin(x_mm / 500)), abs=0.12 * error_mm)
