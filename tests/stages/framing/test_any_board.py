"""Frames of any board: what must hold whatever the shape."""

from __future__ import annotations

import math
import os

import shapely
from any_shapes import board_of, boxed_wells, curved_rings, rounded_rings, star_rings
from hypothesis import example, given, settings

from boardwright import Notes, Severity
from boardwright.plan.model import Ring
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_timber.model import Board, Frame

DEEP = bool(os.environ.get("BOARDWRIGHT_DEEP"))
MANY = settings(max_examples=300 if DEEP else 60, deadline=None, derandomize=True)
SETTINGS = FramingSettings(max_overhang_mm=25)


def framed(board: Board) -> tuple[Frame, set[str]]:
    notes = Notes()
    made = frame(board, SETTINGS, notes)
    return made, {f.code for f in notes.findings if f.severity is Severity.FAULT}


def holds(board: Board) -> bool:
    """Checks one frame; False when a fault said that it cannot be built."""
    made, faults = framed(board)
    quads = [shapely.Polygon(m.outline) for m in made.members]
    for member, quad in zip(made.members, quads, strict=True):
        assert quad.is_valid, member.id
        ax, ay = member.direction
        for p in (member.inner_start, member.inner_end):
            left = ax * (p[1] - member.outer_start[1]) - ay * (p[0] - member.outer_start[0])
            assert math.isclose(left, member.thickness_mm, abs_tol=1e-4), member.id
    if "BW-FRAME-001" not in faults:
        deck = shapely.Polygon(board.ring, board.wells)
        allowed = deck.buffer(0.001, join_style="mitre")
        assert shapely.Polygon(made.outer, made.wells).difference(allowed).is_empty
        edges = shapely.union_all([shapely.LinearRing(r) for r in (made.outer, *made.wells)])
        for ring in (board.ring, *board.wells):
            for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
                for p in (a, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)):
                    assert edges.distance(shapely.Point(p)) <= SETTINGS.max_overhang_mm + 0.002
    if faults & {"BW-FRAME-001", "BW-FRAME-002", "BW-FRAME-003"}:
        return False
    for n, a in enumerate(quads):
        for b in quads[n + 1 :]:
            assert a.intersection(b).area <= 0.01
    band = shapely.Polygon(made.outer).difference(shapely.Polygon(made.inner))
    for outer, inner in zip(made.wells, made.inner_wells, strict=True):
        band = band.union(shapely.Polygon(inner).difference(shapely.Polygon(outer)))
    assert shapely.union_all(quads).symmetric_difference(band).area <= 0.01
    assert sum(q.area for q in quads) - band.area <= 0.01
    return True


@MANY
@given(star_rings())
def test_any_polygon(ring: Ring) -> None:
    assert holds(board_of(ring))


@MANY
@given(curved_rings())
def test_curved_edges(ring: Ring) -> None:
    assert holds(board_of(ring))


@MANY
@given(rounded_rings())
def test_rounded_corners_inward_and_outward(ring: Ring) -> None:
    """A few of these (a rounded corner beside long edges almost in line) have no good frame, and say so."""
    holds(board_of(ring))


@MANY
@given(boxed_wells())
def test_wells(shape: tuple[Ring, tuple[Ring, ...]]) -> None:
    ring, wells = shape
    assert holds(board_of(ring, wells))


@settings(MANY, max_examples=40 if not DEEP else 300)
@given(curved_rings())
@example(((0.0, 0.0), (1200.0, 0.0), (1200.0, 600.0), (0.0, 600.0)))
def test_joint_edges_stay_where_they_are(ring: Ring) -> None:
    """Both straight ends are joints: each keeps its line, whatever the curves beside it do."""
    length = max(x for x, _ in ring)
    ends = [[p for p in ring if abs(p[0] - x) < 1e-6] for x in (length, 0.0)]
    joints = tuple((min(e, key=lambda p: p[1]), max(e, key=lambda p: p[1])) for e in ends)
    made, faults = framed(board_of(ring, joints=joints))
    assert not faults
    on_joint = [m for m in made.members if m.role.value == "end"]
    assert len(on_joint) == 2
    for m in on_joint:
        x = min((0.0, length), key=lambda x: abs(x - m.outer_start[0]))
        assert max(abs(m.outer_start[0] - x), abs(m.outer_end[0] - x)) <= 0.01
