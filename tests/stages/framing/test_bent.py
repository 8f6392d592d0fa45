"""Strips bent round curved edges: lengths, layers and kerfs by arithmetic, and any curve put together."""

from __future__ import annotations

import itertools
import math
import os

import pytest
import shapely
from any_shapes import board_of, curved_rings
from hypothesis import given, settings

from boardwright import Notes
from boardwright.plan.model import Point, Ring
from boardwright_stages.checks.reassembly import solid
from boardwright_stages.framing.bent import KERF_MM, SKIN_MM, tightest_mm
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_timber.geometry import path_length
from boardwright_timber.model import Board, BoardFixings, BoardParts, BoardPlan, BoardWiring, Frame

DEEP = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 8
CANNOT = {"BW-FRAME-001", "BW-FRAME-002", "BW-FRAME-003"}
LAMINATED = FramingSettings(curved_edge="laminated", max_overhang_mm=40)
KERFED = FramingSettings(curved_edge="kerfed", max_overhang_mm=40)


def bowed(radius: float, half_deg: float, steps: int = 60) -> Ring:
    """A board whose front bulges: an arc of this radius, then straight sides 400 long and a straight back."""
    half = math.radians(half_deg)
    wide = 2 * radius * math.sin(half)
    arc = [
        (wide / 2 + radius * math.sin(a), radius * math.cos(half) - radius * math.cos(a))
        for a in (half * (k / steps * 2 - 1) for k in range(steps + 1))
    ]
    return (*arc, (wide, 400.0), (0.0, 400.0))


def made(board: Board, set_: FramingSettings) -> tuple[Frame, BoardParts, Notes]:
    notes, plan = Notes(), BoardPlan(board=board.id)
    framed = frame(board, set_, notes)
    found = joists(board, plan, framed, set_, JoistSettings(), notes)
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    return framed, parts(board, plan, framed, found, fixings, wiring, set_, notes), notes


@pytest.mark.parametrize(("radius", "half_deg"), [(600.0, 30.0), (1500.0, 20.0)])
def test_layers_by_hand(radius: float, half_deg: float) -> None:
    """12 mm in layers of 4: their middles have the radii r - 2, r - 6, r - 10. Corners of 90° + the half
    angle inside, so the strip's square ends stay in the board: whole arcs."""
    framed, cut, notes = made(board_of(bowed(radius, half_deg)), LAMINATED)
    (bent,) = framed.bent
    assert (bent.layers, bent.thickness_mm, bent.depth_mm) == (3, 12, 90)
    assert tightest_mm(bent) == pytest.approx(radius, rel=1e-3)
    layers = [p for p in cut.parts if bent.id in (p.id, p.of)]
    assert [p.id for p in layers] == ["B01-C1", "B01-C1-2", "B01-C1-3"]
    for p, r in zip(layers, (radius - 2, radius - 6, radius - 10), strict=True):
        assert p.length_mm == pytest.approx(2 * math.radians(half_deg) * r, rel=1e-3)
        assert (p.thickness_mm, p.width_mm) == (4, 90)
    assert {"BW-FRAME-011"} <= {f.code for f in notes.findings}
    assert "BW-FRAME-012" not in {f.code for f in notes.findings}


def test_too_tight_a_bend_is_told() -> None:
    """Radius 200 over 60 is 3.33: layers of 4 are too thick, 3.3 would do."""
    _, _, notes = made(board_of(bowed(200.0, 40.0)), LAMINATED)
    (told,) = [f for f in notes.findings if f.code == "BW-FRAME-012"]
    assert "3.3 or less" in told.mend


def test_closed_kerfs_make_the_turn() -> None:
    """60° in all; a kerf of 3 in 12 mm with a skin of 2 turns by 3 / 10 rad: ⌊1.0472 / 0.3 + ½⌋ = 3 kerfs, at
    0.15, 0.45, 0.75 rad of the way along the skin's middle, radius 600 - 1."""
    framed, cut, _ = made(board_of(bowed(600.0, 30.0)), KERFED)
    (bent,) = framed.bent
    each = KERF_MM / (12 - SKIN_MM)
    assert [k.x_mm for k in bent.kerfs] == pytest.approx([599 * each * (n + 0.5) for n in range(3)], abs=0.2)
    assert all(k.inside for k in bent.kerfs)
    (strip,) = [p for p in cut.parts if p.id == bent.id]
    assert strip.length_mm == pytest.approx(math.radians(60) * 599, rel=1e-3)
    assert [m.text for m in strip.marks] == ["kerf, from behind"] * 3


def round_ring(x: float, y: float, radius: float, steps: int = 96) -> Ring:
    turns = [2 * math.pi * k / steps for k in range(steps)]
    return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns)


def fills(framed: Frame, board: Board, cut: BoardParts, band: shapely.Geometry) -> None:
    """Strips cover a band once, and no member stands in it."""
    strips = [shapely.Polygon(b.outline) for b in framed.bent]
    assert sum(s.area for s in strips) == pytest.approx(band.area, abs=0.5)
    assert shapely.union_all(strips).symmetric_difference(band).area <= 0.5
    for part in cut.parts:
        if part.placement.stands and not part.placement.path:
            assert solid(board, part).shape.intersection(band).area <= 0.05, part.id


@pytest.mark.parametrize("set_", [LAMINATED, KERFED], ids=["laminated", "kerfed"])
def test_a_round_board_gets_two_strips_that_butt(set_: FramingSettings) -> None:
    """Radius 450, 12 mm: half a circle each, pi * 448 for the outermost layer, pi * 449 for a kerfed skin."""
    ring = round_ring(450.0, 450.0, 450.0)
    board = board_of(ring)
    framed, cut, notes = made(board, set_)
    assert len(framed.bent) == 2
    lengths = [p.length_mm for p in cut.parts if p.role == "curved side"]
    kept = 449 if set_ is KERFED else 448
    assert lengths == pytest.approx([math.pi * kept] * 2, rel=2e-3)
    assert [tightest_mm(b) for b in framed.bent] == pytest.approx([450] * 2, rel=2e-3)
    disc = shapely.Polygon(ring)
    fills(framed, board, cut, disc.difference(disc.buffer(-12, join_style="mitre")))
    assert "BW-FRAME-013" not in {f.code for f in notes.findings}


def test_a_round_well_is_edged_too() -> None:
    """Radius 250 in the middle of an oblong; strips stand outside of it: layers of 4, pi * 252 the first."""
    well = tuple(reversed(round_ring(600.0, 400.0, 250.0)))
    ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 800.0), (0.0, 800.0))
    board = board_of(ring, (well,))
    framed, cut, notes = made(board, LAMINATED)
    assert [p.length_mm for p in cut.parts if p.role == "curved side"] == pytest.approx(
        [math.pi * 252] * 2, rel=2e-3
    )
    hole = shapely.Polygon(well)
    fills(framed, board, cut, hole.buffer(12, join_style="mitre").difference(hole))
    assert {m.role.value for m in framed.members} == {"side", "well side"}
    assert not {"BW-FRAME-013", *CANNOT} & {f.code for f in notes.findings}


def test_a_strip_longer_than_a_sheet_is_parted() -> None:
    """An arc of radius 1500 over 120° is 3142 long; a sheet of 2440 leaves 2420: two strips of 1571."""
    board = board_of(bowed(1500.0, 60.0))
    framed, cut, _ = made(board, LAMINATED)
    assert [path_length(b.outer) for b in framed.bent] == pytest.approx([1570.8] * 2, abs=1.1)
    assert framed.bent[0].outer[-1] == framed.bent[1].outer[0]
    first, second = (shapely.Polygon(b.outline) for b in framed.bent)
    assert first.intersection(second).area <= 1e-3
    assert max(p.length_mm for p in cut.parts if p.placement.path) <= 2420


def butts_of(cut: BoardParts, layer: int, layers: int) -> list[Point]:
    """Where the lengths of one layer begin: its parts come strip by strip, the outermost layer first."""
    return [p.placement.path[0] for p in [p for p in cut.parts if p.placement.path][layer::layers]]


def test_layers_butt_in_steps() -> None:
    """Of two strips of 1571 the outer layers butt in the middle, the second 150 further on, the third as much
    before it; a round board's, 1414 long, likewise at both of its butts. No seam lies on a seam."""
    for board in (board_of(bowed(1500.0, 60.0)), board_of(round_ring(450.0, 450.0, 450.0))):
        framed, cut, _ = made(board, LAMINATED)
        first, second = framed.bent
        for n, by_mm in enumerate((0.0, 150.0, -150.0)):
            begin = butts_of(cut, n, 3)[1]
            edge = shapely.LineString([*first.outer, *second.outer[1:]])
            at = edge.project(shapely.Point(begin)) - path_length(first.outer)
            assert at == pytest.approx(by_mm, abs=4), (
                "at the middle of its 12 mm, and off a corner of the steps"
            )
        layers = [solid(board, p) for p in cut.parts if p.placement.path]
        whole = shapely.union_all([shapely.Polygon(b.outline) for b in framed.bent])
        assert sum(s.shape.area for s in layers) == pytest.approx(whole.area, abs=0.5)
        assert shapely.union_all([s.shape for s in layers]).symmetric_difference(whole).area <= 0.5


def test_kerfed_strips_butt_as_they_are() -> None:
    framed, cut, _ = made(board_of(round_ring(450.0, 450.0, 450.0)), KERFED)
    strips = [p for p in cut.parts if p.placement.path]
    for bent, part in zip(framed.bent, strips, strict=True):
        middle = shapely.LineString(part.placement.path)
        assert middle.hausdorff_distance(shapely.Polygon(bent.outline).exterior) <= 6.1


def test_one_layer_is_as_long_as_its_strip_also_beside_a_kerfed_one() -> None:
    """A strip that needs no kerf butts against one that does: each ends where its outline does, to a
    thousandth, and is as long as its middle, or as its skin. (Found by random layouts: 1 mm past it.)"""
    front = ((0.4, 10.7), (590.0, 25.0), (1180.8, 31.1), (1653.0, 42.7), (2361.6, 0.0), (3303.3, 20.4))
    ring = (*front, (3303.4, 671.8), (0.8, 697.9))
    framed, cut, _ = made(board_of(ring), KERFED)
    strips = [p for p in cut.parts if p.placement.path]
    assert [bool(b.kerfs) for b in framed.bent] == [False, True]
    for bent, part in zip(framed.bent, strips, strict=True):
        ends = ((bent.outer[k], bent.inner[k]) for k in (0, -1))
        for (a, b), at in zip(ends, (part.placement.path[0], part.placement.path[-1]), strict=True):
            assert math.dist(at, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) < 2e-3
        if not bent.kerfs:
            assert part.length_mm == pytest.approx(path_length(part.placement.path), abs=2e-3)


def test_straight_boards_have_none() -> None:
    board = board_of(((0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0)))
    framed, _, notes = made(board, LAMINATED)
    assert (framed.bent, notes.findings) == ((), [])


def test_a_joint_keeps_its_line() -> None:
    """The end beside the curve stands on its joint still, between the strip and the back."""
    ring = bowed(1500.0, 20.0)
    wide = max(x for x, _ in ring)
    framed, _, _ = made(board_of(ring, joints=(((wide, 0.0), (wide, 400.0)),)), LAMINATED)
    (end,) = [m for m in framed.members if m.role.value == "end"]
    assert {round(p[0], 6) for p in (end.outer_start, end.outer_end)} == {round(wide, 6)}


@settings(max_examples=DEEP, deadline=None, derandomize=True)
@given(curved_rings())
def test_any_curve_is_filled(ring: Ring) -> None:
    """Layers lie flush in the board's edge, in no other part, and fill the strip; members stay behind it."""
    board = board_of(ring)
    framed, cut, notes = made(board, LAMINATED)
    if CANNOT & {f.code for f in notes.findings}:
        return
    deck = shapely.Polygon(ring)
    placed = [solid(board, p) for p in cut.parts]
    wood = [s for s in placed if s.part.role != "deck"]
    for one, other in itertools.combinations(wood, 2):
        assert one.shape.intersection(other.shape).area <= 0.05, (one.part.id, other.part.id)
    for bent in framed.bent:
        own = [s for s in wood if bent.id in (s.part.id, s.part.of)]
        assert {(s.low_mm, s.high_mm) for s in own} == {(-90.0, 0.0)}
        whole = shapely.Polygon(bent.outline)
        assert shapely.union_all([s.shape for s in own]).symmetric_difference(whole).area <= 0.5
        assert whole.difference(deck.buffer(0.01)).is_empty
        edge = shapely.LineString(bent.outer)
        assert edge.hausdorff_distance(edge.intersection(deck.exterior.buffer(0.01))) < 0.05
    if not framed.bent and "BW-FRAME-013" not in {f.code for f in notes.findings}:
        # each edge turns by less than 10°: sagitta < chord · tan(2.5°) / 2, area < 2/3 of that · chord
        long = max(x for x, _ in ring)
        square = [p for p in ring if min(abs(p[0]), abs(p[0] - long)) < 1e-6]
        flat = shapely.MultiPoint(square).convex_hull
        most = 2 * 2 / 3 * long**2 * math.tan(math.radians(2.5)) / 2
        assert deck.symmetric_difference(flat).area <= 1.1 * most
