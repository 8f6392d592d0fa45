"""Loose pieces of track become continuous centrelines, and places where tracks part become turnouts."""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.findings import Severity
from boardwright.plan.centrelines import assemble, outward
from boardwright.plan.names import next_free

Draw = Callable[[Any], None]
TRACK = {"layer": "Tracks"}


def on_board(board: Draw, draw: Callable[[Any], None]) -> Draw:
    def both(doc: Any) -> None:
        board(doc)
        draw(doc.modelspace())

    return both


def test_pieces_that_run_on_are_one_track(read: Any, board: Draw) -> None:
    def draw(msp: Any) -> None:
        # straight, quarter circle of 200 mm about (500, 300), straight up: in no order, one turned round
        msp.add_line((700, 300), (700, 450), dxfattribs=TRACK)
        msp.add_line((500, 100), (100, 100), dxfattribs=TRACK)
        msp.add_arc((500, 300), 200, 270, 360, dxfattribs=TRACK)

    (track,) = read(on_board(board, draw)).plan.tracks
    assert (track.points[0], track.points[-1]) == ((100, 100), (700, 450))
    # 400 + 200 π / 2 + 150 = 864.159 mm; the chords are shorter by less than 0.1 mm
    assert track.length_mm == pytest.approx(400 + 100 * math.pi + 150, abs=0.1)


def test_gaps_are_closed_up_to_the_setting_and_told(read: Any, board: Draw) -> None:
    def draw(msp: Any) -> None:
        msp.add_line((100, 100), (300, 100), dxfattribs=TRACK)
        msp.add_line((300.8, 100), (600, 100), dxfattribs=TRACK)

    case = read(on_board(board, draw))
    assert [t.length_mm for t in case.plan.tracks] == [500]
    assert "widest 0.80 mm" in case.notes["BW-READ-070"].says
    assert len(read(on_board(board, draw), track_gap_mm=0.5).plan.tracks) == 2


def test_a_sharp_corner_is_no_track_and_doubles_count_once(read: Any, board: Draw) -> None:
    def draw(msp: Any) -> None:
        msp.add_line((100, 100), (300, 100), dxfattribs=TRACK)
        msp.add_line((300, 100), (300, 300), dxfattribs=TRACK)
        msp.add_line((300, 300), (300, 100), dxfattribs=TRACK)

    case = read(on_board(board, draw))
    assert [t.length_mm for t in case.plan.tracks] == [200, 200]
    assert case.notes["BW-READ-074"].severity is Severity.MENDED


def branch(msp: Any) -> None:
    """Main line along y = 250; from (400, 250) a branch curves off to the left on a radius of 900 mm."""
    msp.add_line((100, 250), (900, 250), dxfattribs=TRACK)
    msp.add_arc((400, 1150), 900, 270, 285, dxfattribs=TRACK)


def test_a_turnout_is_found_where_an_arc_leaves_the_middle_of_a_line(read: Any, board: Draw) -> None:
    case = read(on_board(board, branch))
    assert sorted(round(t.length_mm) for t in case.plan.tracks) == [236, 800]  # 900 × 15° = 235.6
    (turnout,) = case.plan.turnouts
    assert (turnout.id, turnout.x_mm, turnout.y_mm) == ("T01", 400, 250)
    # In 1:87 the footprint starts 3 m / 87 = 34.5 mm before the toe; in steps of 5 mm, 35. It goes on until
    # the tracks are 2.8 m / 87 = 32.2 mm apart. The arc ends at 900 (sin 15°, 1 − cos 15°) = (232.9, 30.7)
    # from the toe; the line is that far from it at 232.9 + √(32.2² − 30.7²) = 242.6; in steps, 245 mm.
    # Half a sleeper is 1.3 m / 87 = 14.9 mm.
    xs = [x for x, _ in turnout.ring]
    assert min(xs) == pytest.approx(365, abs=0.01)
    assert max(xs) == pytest.approx(645, abs=0.01)
    assert min(y for _, y in turnout.ring) == pytest.approx(250 - 14.9, abs=0.1)
    assert case.notes["BW-READ-072"].severity is Severity.NOTE
    assert read(on_board(board, branch), find_turnouts=False).plan.turnouts == ()


def test_no_turnout_is_found_where_a_block_stands(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        branch(doc.modelspace())
        doc.blocks.new("T").add_lwpolyline([(0, -15), (240, -15), (240, 45), (0, 15)], close=True)
        doc.modelspace().add_blockref("T", (390, 250), dxfattribs={"layer": "Turnouts"})

    assert len(read(draw).plan.turnouts) == 1
    assert read(draw).plan.turnouts[0].x_mm == 390


def test_a_crossing_drawn_in_four_pieces_keeps_both_tracks_straight(read: Any, board: Draw) -> None:
    def draw(msp: Any) -> None:
        for angle in (0, 20, 180, 200):
            c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            msp.add_line((500, 250), (500 + 200 * c, 250 + 200 * s), dxfattribs=TRACK)

    plan = read(on_board(board, draw)).plan
    assert [round(t.length_mm, 3) for t in plan.tracks] == [400, 400]
    assert [(t.x_mm, t.y_mm) for t in plan.turnouts] == [(500, 250)]  # and no joint may cut it


def test_a_track_that_runs_off_the_layout_is_told_with_its_place(read: Any, board: Draw) -> None:
    case = read(on_board(board, lambda msp: msp.add_line((700, 250), (1100, 250), dxfattribs=TRACK)))
    found = case.notes["BW-READ-071"]
    assert found.severity is Severity.CAUTION
    # the edge is at x = 1000; 5 mm may stand out
    assert "95 mm of track TR001" in found.says
    assert (found.where[0].x_mm, found.where[0].y_mm) == (1005, 250)
    to_the_edge = on_board(board, lambda msp: msp.add_line((700, 250), (1003, 250), dxfattribs=TRACK))
    assert "BW-READ-071" not in read(to_the_edge).notes


def test_outward_directions_of_a_flattened_arc_are_its_tangents() -> None:
    points = [(500 * math.sin(a), 500 - 500 * math.cos(a)) for a in (0.0, 0.03, 0.06, 0.09)]
    assert outward(points) == pytest.approx(0, abs=1e-9)
    assert outward(points[::-1]) == pytest.approx(0.09 - math.pi, abs=1e-9)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.integers(2, 12), st.integers(0, 10_000), st.floats(0, 0.9))
def test_any_smooth_track_cut_anywhere_comes_together_again(count: int, seed: int, gap: float) -> None:
    """A wavy line cut up, shuffled, some pieces turned round, parted by gaps: one line, as long as before."""
    rng = random.Random(seed)
    whole = [(x * 10.0, 60 * math.sin(x / 12)) for x in range(200)]
    cuts = [0, *sorted(rng.sample(range(5, 195, 4), count - 1)), 199]
    pieces = []
    for a, b in pairwise(cuts):
        piece = whole[a : b + 1]
        if a:  # the start drawn ``gap`` too far on
            (x, y), (u, v) = piece[0], piece[1]
            t = gap / math.dist(piece[0], piece[1])
            piece[0] = (x + (u - x) * t, y + (v - y) * t)
        pieces.append(piece[::-1] if rng.random() < 0.5 else piece)
    rng.shuffle(pieces)
    found = assemble(pieces, 1.0, 100)
    assert len(found.lines) == 1
    assert sorted(found.lines[0].members) == list(range(count))
    length = shapely.LineString(found.lines[0].points).length
    assert length == pytest.approx(shapely.LineString(whole).length, abs=0.05 * count)
    assert found.partings == ()


def test_a_thicket_of_lines_is_told_and_not_joined(read: Any, board: Draw) -> None:
    rng = random.Random(7)

    def draw(msp: Any) -> None:
        for _ in range(400):
            ends = [(500 + rng.random() * 3, 200 + rng.random() * 3) for _ in range(2)]
            msp.add_line(*ends, dxfattribs=TRACK)

    case = read(on_board(board, draw))
    assert case.notes["BW-READ-075"].severity is Severity.CAUTION
    assert len(case.plan.tracks) == 400
    assert case.plan.turnouts == ()


def test_thousands_of_crossing_lines_take_no_time(read: Any) -> None:
    """5,000 lines across the whole layout, every end near others: told, not worked on for long."""
    rng = random.Random(1)

    def draw(doc: Any) -> None:
        msp = doc.modelspace()
        edge = [(0, 0), (6000, 0), (6000, 1000), (0, 1000)]
        msp.add_lwpolyline(edge, close=True, dxfattribs={"layer": "Edge"})
        for _ in range(5000):
            ends = [(rng.uniform(0, 6000), rng.uniform(0, 1000)) for _ in range(2)]
            msp.add_line(*ends, dxfattribs=TRACK)

    began = time.process_time()
    case = read(draw)
    assert time.process_time() - began < 10
    assert "BW-READ-075" in case.notes
    assert len(case.plan.tracks) == 5000


@pytest.mark.parametrize(
    ("used", "free"), [((), 1), (("T1",), 2), (("T01", "t002", "X3"), 3), (("T1A", "T10"), 1), (("T3",), 1)]
)
def test_no_number_that_could_be_mistaken_for_a_name_in_use(used: tuple[str, ...], free: int) -> None:
    """Beside a turnout called T1 in the drawing none is numbered T01."""
    assert next_free(used, "T", 1) == free
