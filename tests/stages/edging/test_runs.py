"""Which edges get a strip and how long it is: small cases by hand, and what must hold of any board."""

from __future__ import annotations

import math
import os
from itertools import combinations

import pytest
import shapely
from any_shapes import board_of, boxed_wells, curved_rings, rounded_rings, star_rings
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.ops import split

from boardwright import Notes
from boardwright.plan.model import Point, Ring
from boardwright_stages.edging.laying import LEAST_MM
from boardwright_stages.edging.settings import BackSettings, FasciaSettings
from boardwright_stages.edging.stages import edge_runs
from boardwright_stages.edging.stretches import stretches
from boardwright_stages.strength.settings import SupportSettings
from boardwright_timber.geometry import offset_path, path_length
from boardwright_timber.model import Board, EdgeKind, EdgeRun, Joint

MANY = settings(
    max_examples=300 if os.environ.get("BOARDWRIGHT_DEEP") else 40, deadline=None, derandomize=True
)
FREE = FasciaSettings(edges="free")
T = FREE.thickness_mm  # 4
OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))
ELL: Ring = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 400.0), (600.0, 400.0), (600.0, 900.0), (0.0, 900.0))


def laid(
    *boards: Board,
    fascia: FasciaSettings = FREE,
    supports: SupportSettings | None = None,
    back: BackSettings = BackSettings(),
) -> tuple[dict[str, tuple[EdgeRun, ...]], Notes]:
    notes = Notes()
    found = edge_runs({b.id: b for b in boards}, fascia, supports or SupportSettings(), notes, back)
    return {name: each.runs for name, each in found.items()}, notes


def longest(run: EdgeRun) -> float:
    return round(max(path_length(run.inner), path_length(run.outer)), 3)


def test_off_nothing_is_made() -> None:
    runs, notes = laid(board_of(OBLONG), fascia=FasciaSettings())
    assert runs == {"B01": ()}
    assert not notes.findings


def test_a_table_that_names_no_edge_is_told() -> None:
    thin = FasciaSettings(thickness_mm=3.0)
    runs, notes = laid(board_of(OBLONG), fascia=thin, back=BackSettings(height_mm=400.0))
    assert runs == {"B01": ()}
    assert [f.code for f in notes.findings] == ["BW-EDGE-011"] * 2


def test_an_oblong_the_long_sides_cover_the_ends_of_the_short_ones() -> None:
    """1200 + 2 × 4 in front and behind, 500 at the ends; the inner faces on the edge."""
    runs, _ = laid(board_of(OBLONG))
    assert [longest(r) for r in runs["B01"]] == [1208.0, 500.0, 1208.0, 500.0]
    assert runs["B01"][0].inner == ((-4.0, 0.0), (1204.0, 0.0))
    assert runs["B01"][0].outer == ((-4.0, -4.0), (1204.0, -4.0))


def test_an_inner_corner() -> None:
    """At (600, 400) the strip of 500 reaches the edge, that of 400 ends at its face, 4 mm before; at
    (1000, 400) two edges of 400 meet and the first runs past: 400 + 4, and 400 − 4. The others: 1000 + 2 × 4,
    500, 600 + 4 over the end of the 500, 900 + 4 over that of the 600."""
    runs, _ = laid(board_of(ELL))
    assert [longest(r) for r in runs["B01"]] == [1008.0, 404.0, 396.0, 500.0, 604.0, 904.0]


def test_strips_stop_at_a_joint_with_a_gap_between() -> None:
    """Half of 2 mm on each board: 600 + 4 − 1."""
    left, right = pair()
    runs, _ = laid(left, right)
    assert [longest(r) for r in runs["B01"]] == [603.0, 603.0, 500.0]
    assert runs["B01"][0].inner[1] == (599.0, 0.0)
    begins = right.to_plan(runs["B02"][0].inner[0])
    assert begins == pytest.approx((601.0, 0.0))


def test_a_board_at_the_side_of_another_gives_way_in_the_inner_corners() -> None:
    """B02 hangs at B01's front from x = 400 to 800. B01's strips end 1 mm before it (at its ends those of 500
    run past them); B02's sides, which would stand in their place, begin 2 mm below their outer face: 4 + 2
    below B01's edge."""
    joint = Joint(id="J01", boards=("B01", "B02"), start=(400.0, 0.0), end=(800.0, 0.0))
    upper = in_plan("B01", ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0)), joint)
    lower = in_plan("B02", ((400.0, -300.0), (800.0, -300.0), (800.0, 0.0), (400.0, 0.0)), joint)
    runs, _ = laid(upper, lower)
    front = [r for r in runs["B01"] if max(p[1] for p in r.inner) == 0.0]
    assert [r.inner for r in front] == [((0.0, 0.0), (399.0, 0.0)), ((801.0, 0.0), (1200.0, 0.0))]
    sides = [r for r in runs["B02"] if r.inner[0][0] == r.inner[1][0]]
    tops = [max(lower.to_plan(p)[1] for p in (*r.inner, *r.outer)) for r in sides]
    assert tops == pytest.approx([-6.0, -6.0], abs=0.02)


def test_points_name_edges_and_take_them_away() -> None:
    near = FasciaSettings(near=((600.0, -20.0),))
    runs, _ = laid(board_of(OBLONG), fascia=near)
    assert [r.inner for r in runs["B01"]] == [((0.0, 0.0), (1200.0, 0.0))]
    back = FasciaSettings(edges="free", not_near=((600.0, 510.0),))
    runs, _ = laid(board_of(OBLONG), fascia=back)
    assert [longest(r) for r in runs["B01"]] == [1208.0, 500.0, 500.0]
    _, notes = laid(board_of(OBLONG), fascia=FasciaSettings(near=((600.0, -151.0),)))
    assert [f.code for f in notes.findings] == ["BW-EDGE-003"]


def test_a_point_means_the_edge_on_over_the_joints() -> None:
    runs, _ = laid(*pair(), fascia=FasciaSettings(near=((100.0, -5.0),)))
    assert [len(runs[b]) for b in ("B01", "B02")] == [1, 1]
    runs, notes = laid(*pair(), fascia=FasciaSettings(edges="free", boards=("B02", "B09")))
    assert [len(runs[b]) for b in ("B01", "B02")] == [0, 3]
    assert [f.code for f in notes.findings] == ["BW-EDGE-004"]


def test_no_fascia_along_a_wall_batten_or_in_a_well_unless_asked() -> None:
    battens = SupportSettings(battens={"B01": (((50.0, 490.0), (1150.0, 490.0)),)})
    runs, _ = laid(board_of(OBLONG), supports=battens)
    assert [longest(r) for r in runs["B01"]] == [1208.0, 500.0, 500.0]
    well: Ring = ((400.0, 200.0), (400.0, 300.0), (800.0, 300.0), (800.0, 200.0))
    welled = board_of(OBLONG, (well,))
    runs, _ = laid(welled)
    assert len(runs["B01"]) == 4
    runs, _ = laid(welled, fascia=FasciaSettings(edges="free", wells=True))
    assert len(runs["B01"]) == 8
    # in a well every corner is an inner one of the strips' side: 400 whole, 100 between their faces
    assert [longest(r) for r in runs["B01"][4:]] == [92.0, 400.0, 92.0, 400.0]
    runs, _ = laid(welled, fascia=FasciaSettings(near=((600.0, 205.0),)))
    assert [longest(r) for r in runs["B01"]] == [400.0]


def test_a_backscene_stands_at_the_wall_and_covers_the_fascia_beside_it() -> None:
    """Along the batten: 1200 + 2 × 4 mm of fascia; the ends' fascias are 500, that in front 1208."""
    battens = SupportSettings(battens={"B01": (((50.0, 490.0), (1150.0, 490.0)),)})
    walls = BackSettings(edges="walls")
    runs, notes = laid(board_of(OBLONG), supports=battens, back=walls)
    assert [(r.kind, longest(r)) for r in runs["B01"]] == [
        (EdgeKind.FASCIA, 1208.0),
        (EdgeKind.FASCIA, 500.0),
        (EdgeKind.BACKSCENE, 1208.0),
        (EdgeKind.FASCIA, 500.0),
    ]
    assert not notes.findings
    runs, _ = laid(board_of(OBLONG), fascia=FasciaSettings(), supports=battens, back=walls)
    assert [(r.kind, longest(r)) for r in runs["B01"]] == [(EdgeKind.BACKSCENE, 1200.0)]
    twice = FasciaSettings(edges="free", near=((600.0, 505.0),))
    runs, notes = laid(board_of(OBLONG), fascia=twice, supports=battens, back=walls)
    assert [f.code for f in notes.findings] == ["BW-EDGE-009"]
    assert [r.kind for r in runs["B01"]].count(EdgeKind.BACKSCENE) == 1


def test_a_backscene_in_the_corner_of_a_room() -> None:
    """Round two sides of an oblong: 6.5 mm past its corner on the longer, 500 on the shorter."""
    back = BackSettings(near=((600.0, 505.0), (1205.0, 250.0)))
    runs, _ = laid(board_of(OBLONG), fascia=FasciaSettings(), back=back)
    assert [longest(r) for r in runs["B01"]] == [500.0, 1206.5]


def test_a_round_board_has_one_strip_all_round() -> None:
    """Along a ring of 96 sides on a circle of 400 mm, its middle line 2 mm outside the sides."""
    n, radius = 96, 400.0
    ring = tuple(
        (400 + radius * math.cos(2 * math.pi * k / n), 400 + radius * math.sin(2 * math.pi * k / n))
        for k in range(n)
    )
    runs, _ = laid(board_of(ring))
    (run,) = runs["B01"]
    sides_apart = radius * math.cos(math.pi / n) + T / 2  # of the middle line's sides from the middle
    wanted = 2 * n * sides_apart * math.tan(math.pi / n)
    # its two ends are square to one side, half a side each: nothing is lost or gained there
    assert path_length(offset_path(run.inner, -T / 2)) == pytest.approx(wanted, abs=0.001)


def test_short_pieces_are_left_bare_and_told() -> None:
    chamfered: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 490.0), (1190.0, 500.0), (0.0, 500.0))
    runs, notes = laid(board_of(chamfered))
    assert [longest(r) for r in runs["B01"]] == [1208.0, 490.0, 1194.0, 500.0]
    assert [f.code for f in notes.findings] == ["BW-EDGE-002"]


any_ring = st.one_of(star_rings(), curved_rings(), rounded_rings())


@MANY
@given(any_ring)
def test_any_board(ring: Ring) -> None:
    holds(board_of(ring))


@settings(MANY, max_examples=20)
@given(any_ring, st.data())
def test_any_board_with_both(ring: Ring, data: st.DataObject) -> None:
    """Some edges, picked at random, get a backscene, the others a fascia: as before, whatever meets what."""
    board = board_of(ring)
    paths = [s.path for s in stretches(board)]
    picked = data.draw(st.lists(st.sampled_from(paths), max_size=3))
    near = tuple(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b, *_ in picked)
    holds(board, back=BackSettings(near=near))


@settings(MANY, max_examples=20)
@given(boxed_wells())
def test_any_well(shape: tuple[Ring, tuple[Ring, ...]]) -> None:
    holds(board_of(*shape), FasciaSettings(edges="free", wells=True))


@MANY
@given(any_ring, st.floats(0.2, 0.8), st.floats(-0.2, 0.2))
def test_any_board_in_two(ring: Ring, share: float, lean: float) -> None:
    """Parted by a straight joint: both boards' strips lie outside both, and a gap apart."""
    whole = shapely.Polygon(ring)
    left, low, right, high = whole.bounds
    x = left + share * (right - left)
    slant = lean * (high - low)
    line = shapely.LineString([(x - slant, low - 10), (x + slant, high + 10)])
    pieces = [p for p in shapely.get_parts(split(whole, line)) if p.area > 5000]
    if len(pieces) != 2:
        return
    shared = pieces[0].intersection(pieces[1])
    if shared.geom_type == "MultiLineString":
        shared = shapely.line_merge(shared)
    if shared.geom_type != "LineString" or shared.length < 50:
        return
    pieces.sort(key=lambda p: p.centroid.x)
    (ax, ay), (bx, by) = shared.coords[0], shared.coords[-1]
    start, end = sorted([(ax, ay), (bx, by)], key=lambda p: p[1])
    joint = Joint(id="J01", boards=("B01", "B02"), start=start, end=end)
    one, two = (
        in_plan(n, tuple(p.exterior.coords[:-1]), joint) for n, p in zip(("B01", "B02"), pieces, strict=True)
    )
    runs, _ = laid(one, two)
    bands = {b.id: [band(b, r) for r in runs[b.id]] for b in (one, two)}
    for each in bands.values():
        for strip in each:
            for piece in pieces:
                assert strip.intersection(piece).area < 0.02 * T
    for a in bands["B01"]:
        for b in bands["B02"]:
            assert a.distance(b) > FREE.joint_gap_mm - 0.02


def holds(board: Board, fascia: FasciaSettings = FREE, back: BackSettings = BackSettings()) -> None:
    """Strips stand on the whole edge, outside the board, and in no other's place."""
    runs, notes = laid(board, fascia=fascia, back=back)
    thick = max(T, back.thickness_mm if back.asked else 0.0)
    shape = shapely.Polygon(board.ring, board.wells)
    bands = [band(board, r) for r in runs[board.id]]
    for strip, run in zip(bands, runs[board.id], strict=True):
        assert strip.is_valid
        assert strip.intersection(shape).area < 0.01 * path_length(run.inner)
    for a, b in combinations(bands, 2):
        assert a.intersection(b).area < 0.01 * T
    edge = shape.boundary
    bare = edge.difference(shapely.union_all([b.buffer(0.01) for b in bands]))
    told = sum(
        s.length_mm
        for s in stretches(board)
        if any(f.code == "BW-EDGE-002" for f in notes.findings) and is_bare(board, s.path, bands)
    )
    corners = len(stretches(board))
    # at a corner a strip of T thickness may leave so much of the edge to the one that runs past it
    assert bare.length <= told + corners * 6 * thick
    assert all(path_length(r.inner) >= LEAST_MM - 6 * thick for r in runs[board.id])


def is_bare(board: Board, path: tuple[Point, ...], bands: list[shapely.Polygon]) -> bool:
    line = shapely.LineString([board.to_plan(p) for p in path])
    return line.difference(shapely.union_all([b.buffer(0.01) for b in bands])).length > line.length / 2


def band(board: Board, run: EdgeRun) -> shapely.Polygon:
    inner, outer = ([board.to_plan(p) for p in face] for face in (run.inner, run.outer))
    if run.inner[0] == run.inner[-1]:  # all round
        one, two = sorted((shapely.Polygon(inner), shapely.Polygon(outer)), key=lambda p: p.area)
        return shapely.Polygon(two.exterior, [one.exterior])
    return shapely.Polygon([*outer, *reversed(inner)])


def in_plan(name: str, ring: Ring, *joints: Joint) -> Board:
    """A board not turned, its local axes from the lower left of its ring."""
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    return Board(
        id=name,
        outline="O1",
        level_mm=0.0,
        ring=ring,
        origin=(min(xs), min(ys)),
        angle_deg=0.0,
        length_mm=max(xs) - min(xs),
        width_mm=max(ys) - min(ys),
        joints=joints,
    )


def pair() -> tuple[Board, Board]:
    """Two boards of 600 × 500, side by side."""
    joint = Joint(id="J01", boards=("B01", "B02"), start=(600.0, 0.0), end=(600.0, 500.0))
    left = in_plan("B01", ((0.0, 0.0), (600.0, 0.0), (600.0, 500.0), (0.0, 500.0)), joint)
    right = in_plan("B02", ((600.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (600.0, 500.0)), joint)
    return left, right
