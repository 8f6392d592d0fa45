"""A joint that meets a round edge ends on the arc, so that no sliver between two boards belongs to none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import cast

import msgspec
import pytest
import shapely

from boardwright import Notes
from boardwright.plan.model import Circle, Outline, TrackPlan
from boardwright_stages.checks.geometry import tiling
from boardwright_stages.checks.reassembly import Solid
from boardwright_stages.splitting.piece import from_outline
from boardwright_stages.splitting.seams import Seam
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import split
from boardwright_stages.splitting.true_edge import on_true_edge
from boardwright_timber.model import Part, Splitting

RADIUS_MM, CHORD_ERROR_MM = 3000.0, 0.05


def bowed() -> tuple[TrackPlan, Circle]:
    """2.3 m long, its front an arc of 3 m radius in chords of 2 √(2 · 3000 · 0.05) = 34.6 mm, 0.05 mm off."""
    half = math.asin(1150 / RADIUS_MM)
    steps = math.ceil(2 * half / (2 * math.acos(1 - CHORD_ERROR_MM / RADIUS_MM)))
    x, y = 1150.0, -400.0 + RADIUS_MM * math.cos(half)
    arc = [
        (x + RADIUS_MM * math.sin(t), y - RADIUS_MM * math.cos(t))
        for t in (-half + 2 * half * n / steps for n in range(steps + 1))
    ]
    circle = Circle(x_mm=x, y_mm=y, radius_mm=RADIUS_MM, chord_mm=math.dist(arc[0], arc[1]))
    ring = ((0.0, 0.0), *arc, (2300.0, 0.0))
    outline = Outline(id="O1", ring=ring, circles=(circle,))
    return TrackPlan(name="T", drawing_file="t.dxf", scale_ratio=87.0, outlines=(outline,)), circle


@pytest.mark.parametrize("longest", [1160.0, 1187.0, 800.0])
def test_corners_of_joints_lie_on_the_arc(longest: float) -> None:
    plan, circle = bowed()
    made = parted(plan, longest)
    assert len(made.boards) >= 2
    for joint in made.joints:
        front = min(joint.start, joint.end, key=lambda p: p[1])
        assert math.dist(front, (circle.x_mm, circle.y_mm)) == pytest.approx(RADIUS_MM, abs=1e-5)
        assert all(
            any(math.dist(front, p) < 1e-6 for p in b.ring) for b in made.boards if b.id in joint.boards
        )
    measured = tiling(plan.outlines, [(b.outline, _solid(b.ring)) for b in made.boards])
    assert measured.value < 1e-3


@pytest.mark.parametrize("longest", [1160.0, 1187.0, 800.0])
def test_nothing_is_left_beside_boards_on_a_hollow_edge_whose_decks_are_narrow(longest: float) -> None:
    """The front bows in: a corner moved on to the arc lies in from its chord, and between the two is nobody's
    wood, half a chord of 34.6 mm by up to 0.05 mm."""
    plan, circle = bowed()
    (outline,) = plan.outlines
    ring = (*((x, -y) for x, y in outline.ring[1:-1]), (2300.0, 1000.0), (0.0, 1000.0))
    round_ = (msgspec.structs.replace(circle, y_mm=-circle.y_mm),)
    hollow = msgspec.structs.replace(outline, ring=ring, circles=round_)
    made = parted(msgspec.structs.replace(plan, outlines=(hollow,)), longest)
    boards = [(b.outline, shapely.Polygon(b.ring), shapely.Polygon()) for b in made.boards]
    assert len(boards) >= 2
    assert tiling([hollow], [], boards).value < 1e-3


def test_a_corner_off_the_arc_is_measured() -> None:
    plan, _ = bowed()
    made = parted(plan, 1160.0)
    front = min(made.joints[0].start, made.joints[0].end, key=lambda p: p[1])
    off = [
        [(x, y + 1.0) if math.dist((x, y), front) < 1e-6 else (x, y) for x, y in b.ring] for b in made.boards
    ]
    measured = tiling(plan.outlines, [("O1", _solid(r)) for r in off])
    assert measured.value > 10.0  # half of 1 mm by the two pieces of edge beside it


def parted(plan: TrackPlan, longest: float) -> Splitting:
    return split(plan, SplittingSettings(max_length_mm=longest), Notes())


def _solid(ring: Sequence[tuple[float, float]]) -> Solid:
    """A deck of this shape: tiling looks at nothing else."""
    return Solid(cast(Part, None), shapely.Polygon(ring), 0.0, 9.0)


def test_where_a_joint_was_tried_and_slid_away_no_corner_stays_on_the_chord() -> None:
    """Left there, the edge would be cut straight on both sides of it. Drawn corners and joints' ends stay."""
    plan, circle = bowed()
    (outline,) = plan.outlines
    arc = outline.ring[1:-1]
    middle = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(arc)]
    stray, end = middle[5], middle[20]
    ring = (*outline.ring[:7], stray, *outline.ring[7:22], end, *outline.ring[22:])
    seam = Seam(0, 0, end, (end[0], 0.0), "")
    (made,), (moved,) = on_true_edge(outline, [from_outline(ring, ())], [seam])
    kept = [tuple(p) for p in made.rings[0].tolist()]
    assert len(kept) == len(outline.ring) + 1
    assert all(min(math.dist(p, q) for q in kept) < 1e-5 for p in outline.ring)
    assert min(math.dist(stray, q) for q in kept) > 10.0
    assert math.dist(moved.start, (circle.x_mm, circle.y_mm)) == pytest.approx(RADIUS_MM, abs=1e-5)
    assert any(math.dist(moved.start, q) < 1e-6 for q in kept)
