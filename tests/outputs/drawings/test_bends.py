"""Runs on a circle become true arcs: the same contour, fewer corners, and no arc where none was."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan import curves
from boardwright_outputs.drawings.bends import bent
from boardwright_outputs.drawings.drawing import Box, Drawing, Polyline, Role
from boardwright_outputs.drawings.dxf import write_dxf
from boardwright_outputs.verify import record
from boardwright_outputs.verify import shapes as verified
from boardwright_outputs.verify.boards import _no_hair
from boardwright_outputs.verify.dxf import Run


def ring(*corners: tuple[float, float, float], error: float = 0.05) -> Polyline:
    """A closed contour as it comes from a plan: flattened, with the circles it follows."""
    own = list(corners)
    rounds = tuple((*r.centre, r.radius, r.chord) for r in curves.rounds(own, True, error))
    points = tuple((round(x, 6), round(y, 6)) for x, y in curves.polyline(own, True, error))
    return Polyline(role=Role.THROUGH_CUT, points=points, closed=True, rounds=rounds)


def area(corners: list[tuple[float, float, float]]) -> float:
    """Area within a closed run of corners with bulges: the polygon and a segment of a circle on each arc."""
    whole = 0.0
    for (ax, ay, bulge), (bx, by, _) in zip(corners, [*corners[1:], corners[0]], strict=True):
        whole += (ax * by - bx * ay) / 2
        if bulge:
            sweep = 4 * math.atan(bulge)
            radius = math.dist((ax, ay), (bx, by)) / (2 * math.sin(sweep / 2))
            whole += radius**2 * (sweep - math.sin(sweep)) / 2
    return whole


def test_a_plate_with_a_round_end() -> None:
    corners = bent(ring((0, 0, 0), (600, 0, 1), (600, 400, 0), (0, 400, 0)))
    assert len(corners) == 4
    assert sorted(b for *_, b in corners) == pytest.approx([0, 0, 0, 1], abs=1e-9)
    # 600 × 400 + half a circle of 200: 240 000 + 62 831.85, exactly: the arc is true again
    assert area(corners) == pytest.approx(240_000 + math.pi * 200**2 / 2, abs=1e-3)


def test_a_whole_circle_is_two_halves() -> None:
    corners = bent(ring((0, 0, 1), (100, 0, 1)))
    assert len(corners) == 2
    assert area(corners) == pytest.approx(math.pi * 50**2, abs=1e-3)


def test_a_cut_across_a_round_end_stays_straight() -> None:
    """A joint line has both its ends on the circle, and is no arc of it."""
    whole = ring((0, 0, 1), (100, 0, 1))
    half = tuple(p for p in whole.points if p[1] >= 0)
    cut = Polyline(role=Role.THROUGH_CUT, points=half, closed=True, rounds=whole.rounds)
    corners = bent(cut)
    assert [b == 0 for *_, b in corners].count(True) == 1
    assert abs(area(corners)) == pytest.approx(math.pi * 50**2 / 2, abs=1e-3)


def test_points_on_no_circle_are_left_alone() -> None:
    points = ((0.0, 0.0), (10.0, 0.0), (10.0, 5.0))
    assert bent(Polyline(role=Role.MARK, points=points)) == [(*p, 0.0) for p in points]


contours = st.tuples(
    st.lists(st.sampled_from([0.0, 0.1, 0.4, 1.0, -0.2]), min_size=4, max_size=4),
    st.floats(0, 2 * math.pi),
    st.integers(0, 3),
)


@settings(max_examples=10, deadline=None, derandomize=True)
@given(st.lists(contours, min_size=8, max_size=8))
def test_read_back_it_is_the_same_contour(drawn: list[tuple[list[float], float, int]]) -> None:
    """Files of eight contours, read by ezdxf: within the chord error of what was drawn, the true area
    the same."""
    wanted = [_turned(*contour) for contour in drawn]
    items = tuple(ring(*own) for own in wanted)
    data = write_dxf(Drawing(title="t", frame=Box(-1, -1, 1, 1), items=items))
    runs = ezdxf.read(io.StringIO(data.decode().replace("\r\n", "\n"))).modelspace().query("LWPOLYLINE")
    for own, item, run in zip(wanted, items, runs, strict=True):
        assert run.closed
        back = [(x, y, b) for x, y, b in run.get_points("xyb")]
        assert area(back) == pytest.approx(area(own), abs=0.05)
        assert len(back) <= len(item.points)
        flat = shapely.LinearRing(curves.polyline(back, True, 0.0005))
        assert shapely.hausdorff_distance(flat, shapely.LinearRing(item.points)) <= 0.0511


def _turned(bulges: list[float], turn: float, start: int) -> list[tuple[float, float, float]]:
    c, s = math.cos(turn), math.sin(turn)
    plain = [(0, 0), (900, 0), (900, 500), (0, 500)]
    own = [(x * c - y * s, x * s + y * c, b) for (x, y), b in zip(plain, bulges, strict=True)]
    return own[start:] + own[:start]


@pytest.mark.parametrize("first", range(9))
@pytest.mark.parametrize("number", [1, 2, 5])
def test_verify_rounds_what_is_drawn_round_and_nothing_else(number: int, first: int) -> None:
    """A lone chord of a circle is drawn straight, two neighbours and more as an arc: by verify's own
    reckoning too, wherever the ring begins. A segment of 6° has 8.6 mm²; both arcs come in fine steps."""
    step = math.radians(6)
    arc = [(500 + 300 * math.sin(step * n), 300 - 300 * math.cos(step * n)) for n in range(number + 1)]
    corners = [(0.0, 0.0), *arc, (900.0, 400.0), (0.0, 400.0)]
    first %= len(corners)
    corners = corners[first:] + corners[:first]
    chord = 2 * 300 * math.sin(step / 2)
    rounds = ((500.0, 300.0, 300.0, chord),)
    drawn = bent(Polyline(role=Role.THROUGH_CUT, points=tuple(corners), closed=True, rounds=rounds))
    circle = record.Circle(x_mm=500.0, y_mm=300.0, radius_mm=300.0, chord_mm=chord)
    told = shapely.Polygon(verified.rounded(tuple(corners), [circle]))
    seen = shapely.Polygon(verified.bulged(Run(layer="THROUGH_CUT", corners=tuple(drawn), closed=True)))
    assert told.symmetric_difference(seen).area < 0.05
    segment = 300**2 / 2 * (step - math.sin(step))
    wood = shapely.Polygon(corners).symmetric_difference(told).area
    assert wood == pytest.approx(0.0 if number == 1 else number * segment, abs=0.05)


def test_between_a_nearly_straight_arc_and_its_chord_lies_nothing_to_saw() -> None:
    """A chord of 625 mm of a circle of 3448 m: 625² / 8 / 3448000 = 0.014 mm deep, 2/3 x 625 x 0.014 = 5.9
    mm²; of one of 1000 m, 0.05 mm deep, 20 mm²: that counts, and so does what lies anywhere else."""
    for radius, counts in ((3_448_000.0, 0.0), (1_000_000.0, 20.3)):
        turns = [n / 40 * 312.5 / radius for n in range(-40, 41)]
        arc = [(radius * math.sin(t), 2 * radius * math.sin(t / 2) ** 2) for t in turns]
        circle = record.Circle(x_mm=0.0, y_mm=radius, radius_mm=radius, chord_mm=625.0)
        outline = record.Outline(id="O1", ring=(), wells=(), circles=(circle,), level_mm=0.0)
        sliver = shapely.Polygon(arc)
        assert sliver.area > 5.8
        assert _no_hair(sliver, outline) == pytest.approx(counts, abs=0.1)
        assert _no_hair(shapely.union_all([sliver, shapely.box(0, 50, 3, 51)]), outline) >= counts + 3 - 0.1
