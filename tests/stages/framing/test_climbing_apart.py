"""Decks that climb beside one another: tracks that come back, cross or point at each other, sharp bends."""

from __future__ import annotations

import itertools
import math
import re

import pytest
import shapely
from any_shapes import board_of
from climbs import ENDS, OBLONG, risers_of, told, track, whole
from msgspec.structs import replace

from boardwright.plan.model import Device, Ring, Turnout
from boardwright_stages.checks.climbing import reached, riser_top
from boardwright_stages.framing.open_top import SLIT_MM, _panels
from boardwright_timber.model import BoardPlan


def test_two_pieces_of_deck_that_nearly_touch() -> None:
    """Found by random layouts: a sliver and a thin triangle, grown 10 mm and shrunk by the library, made
    a shape that touches itself, and the frame was not built. The deck is the triangle, and no more than what
    lies between both."""
    sliver = ((-65.87249256035489, 351.86611146707327), (-60.300335956412574, 342.24515221619436))
    thin = ((306.98832251111617, 634.9110915372138), (-86.21241424114507, 340.04422856625524))
    strip = shapely.MultiPolygon(
        [
            shapely.Polygon([*sliver, (-60.30033595641258, 342.24515221619436)]),
            shapely.Polygon([*thin, (-90.69007867155966, 337.3753296490156)]),
        ]
    )
    found = _panels(board_of(OBLONG, joints=ENDS), shapely.box(-1000, -1000, 1000, 1000), strip)
    deck = shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in found])
    assert strip.geoms[1].difference(deck.buffer(0.06)).area == 0
    assert deck.difference(strip.buffer(SLIT_MM / 2)).area == 0


@pytest.mark.parametrize("top", [38.4, 62.4])
def test_a_track_that_comes_back_beside_itself_is_sawn_apart(top: float) -> None:
    """Out 1000 mm, 70 aside and 800 back, at 1 in 50 or 20: nearer than two strips of 80, but sleepers
    (2600 / 87 = 29.9) and a saw cut have room, however much higher one is. One piece of deck, a cut midway at
    135; every riser reaches the run that is over it."""
    spots = ((100.0, 100.0, 0.0), (1100.0, 100.0, 20.0), (1100.0, 170.0, 22.4), (300.0, 170.0, top))
    board = board_of(OBLONG, joints=ENDS)
    plan = BoardPlan(board="B01", tracks=(track("T", *spots),), scale_ratio=87)
    made, found, placed, notes = whole(board, plan)
    assert "BW-FRAME-014" not in told(notes)
    (panel,) = made.deck
    deck = shapely.Polygon(panel.ring, panel.wells)
    assert deck.intersection(shapely.box(310, 133.6, 900, 136.4)).area == 0
    assert deck.covers(shapely.box(310, 100, 900, 133))
    assert deck.covers(shapely.box(310, 137, 900, 170))
    assert len(risers_of(found)) > 4
    middles, corners = reached({"B01": made}, {"B01": list(placed.values())})
    assert middles.value <= 0.1
    assert corners.value <= 0.2


def test_a_track_that_comes_back_nearer_than_its_sleepers_is_told() -> None:
    """Out 500 mm, 30 aside and 400 back, 1 in 25: 30 is less than sleepers and a saw cut. A bend of 150 mm,
    the sharpest that trains go round, comes back no nearer than 300; nor does a ring of 150 that climbs
    round to its top and down again, where it closes."""
    spots = ((100.0, 100.0, 0.0), (600.0, 100.0, 20.0), (600.0, 130.0, 21.2), (200.0, 130.0, 37.2))
    board = board_of(OBLONG, joints=ENDS)
    *_, notes = whole(board, BoardPlan(board="B01", tracks=(track("T", *spots),), scale_ratio=87))
    (clash,) = [f for f in notes.findings if f.code == "BW-FRAME-014"]
    assert "two runs of track T differ by" in clash.says
    assert re.search("where they are 3[012] mm apart", clash.says)
    turns = [math.pi * k / 36 for k in range(37)]
    bend = [(300 + 150 * math.sin(a), 250 - 150 * math.cos(a), 150 * a / 40) for a in turns]
    *_, fine = whole(board, BoardPlan(board="B01", tracks=(track("T", *bend),)))
    assert "BW-FRAME-014" not in told(fine)
    sides = [min(k, 72 - k) for k in range(73)]
    turns = [math.pi * k / 36 for k in range(73)]
    ring = [
        (300 + 150 * math.sin(a), 250 - 150 * math.cos(a), 150 * math.pi * k / 36 / 40)
        for a, k in zip(turns, sides, strict=True)
    ]
    *_, fine = whole(board, BoardPlan(board="B01", tracks=(track("T", *ring),)))
    assert "BW-FRAME-014" not in told(fine)


def test_two_ends_that_point_at_each_other_share_the_room_between() -> None:
    """Ends 50 mm apart, 10 mm different in height, whose round ends of 40 mm would lie in each other: each
    ends 1.5 mm short of midway, at 600."""
    tracks = (track("T1", (0, 250, 0), (575, 250, 0)), track("T2", (625, 250, 10), (1200, 250, 10)))
    made, *_, notes = whole(board_of(OBLONG), BoardPlan(board="B01", tracks=tracks, scale_ratio=87))
    assert not told(notes)
    low, high = sorted(made.deck, key=lambda p: p.ring)
    assert max(x for x, _ in low.ring) == pytest.approx(598.5)
    assert min(x for x, _ in high.ring) == pytest.approx(601.5)


def test_where_tracks_cross_at_another_height_no_deck_lies_in_another() -> None:
    """Square across and 5 mm higher: told; the second's deck ends a saw cut short of the first's."""
    tracks = (track("T1", (0, 250, 0), (1200, 250, 0)), track("T2", (600, 0, 5), (600, 500, 5)))
    made, *_, notes = whole(board_of(OBLONG), BoardPlan(board="B01", tracks=tracks, scale_ratio=87))
    assert [f.code for f in notes.findings].count("BW-FRAME-014") == 1
    woods = [shapely.Polygon(p.ring, p.wells) for p in made.deck]
    assert sorted(round(w.area) for w in woods) == [80 * 207, 80 * 207, 80 * 1200]
    assert min(a.distance(b) for a, b in itertools.combinations(woods, 2)) == pytest.approx(3.0)


def test_a_turn_of_a_helix_is_no_ring() -> None:
    """Once round, 180 across, up by 28 mm: it begins and ends at one place, and no deck carries both ends."""
    turns = [math.pi * k / 36 for k in range(73)]
    spots = [(300 + 180 * math.sin(a), 250 - 180 * math.cos(a), 28 * a / (2 * math.pi)) for a in turns]
    *_, notes = whole(board_of(OBLONG), BoardPlan(board="B01", tracks=(track("T", *spots),), scale_ratio=87))
    (clash,) = [f for f in notes.findings if f.code == "BW-FRAME-014"]
    assert "two runs of track T differ by" in clash.says


def test_no_cut_runs_below_another_tracks_sleepers() -> None:
    """A siding ends 60 mm beside a track that climbs and bends round its end: past the end the cut goes
    straight on midway, and would cross below that track; it stops at its sleepers (29.9 mm long)."""
    turns = [math.pi * k / 24 for k in range(13)]
    bend = [(620 + 100 * math.sin(a), 230 + 100 * math.cos(a), 10) for a in turns]
    tracks = (
        track("T1", (0, 330, 0), *bend, (720, 0, 10)),
        track("T2", (0, 270, 0), (600, 270, 0)),
    )
    made, *_, notes = whole(board_of(OBLONG), BoardPlan(board="B01", tracks=tracks, scale_ratio=87))
    deck = shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in made.deck])
    assert not told(notes)
    line = shapely.LineString([p[:2] for p in bend])
    assert deck.covers(line.buffer(2600 / 87 / 2 - 0.1, cap_style="flat"))


@pytest.mark.parametrize("turnout", [True, False])
def test_what_is_added_to_one_deck_ends_at_another(turnout: bool) -> None:
    """A deck 20 mm up to 140 mm from the lower track. A wide device on that one reaches to 200 from it, and
    ends a saw cut short of the higher deck; a turnout so drawn has the higher track in it, and is told."""
    low, high = track("T1", (0, 150, 0), (1200, 150, 0)), track("T2", (0, 330, 20), (1200, 330, 20))
    ring: Ring = ((500, 130), (560, 130), (560, 350), (500, 350))
    motor = Device(
        id="D1", kind="m", x_mm=530, y_mm=240, length_mm=60, width_mm=220, depth_mm=20, clearance_mm=0
    )
    plan = BoardPlan(
        board="B01",
        tracks=(low, high),
        turnouts=(Turnout(id="T01", x_mm=530, y_mm=150, ring=ring),) if turnout else (),
        devices=() if turnout else (replace(motor, y_mm=239),),
        own_devices=() if turnout else ("D1",),
        scale_ratio=87,
    )
    made, *_, notes = whole(board_of(OBLONG), plan)
    lower, upper = (shapely.Polygon(p.ring) for p in sorted(made.deck, key=lambda p: p.ring))
    assert lower.distance(upper) == pytest.approx(3.0)
    assert upper.bounds == pytest.approx((0, 290, 1200, 370))
    clashes = [f for f in notes.findings if f.code == "BW-FRAME-014"]
    assert len(clashes) == turnout
    assert (
        not turnout
        or "T1 and T2 differ by 20.0 mm in height where they are 180 mm apart, within turnout T01"
        in (clashes[0].says)
    )


def test_a_riser_between_two_sharp_bends_is_right_in_its_middle() -> None:
    """A climb of 1 in 50 turns right off its way and right again: over the riser between, the deck is no
    plane. Below the rails it is as high as the track is there."""
    spots = ((100.0, 400.0, 0.0), (900.0, 400.0, 16.0), (900.0, 150.0, 21.0), (100.0, 150.0, 37.0))
    plan = BoardPlan(board="B01", tracks=(track("T", *spots),), scale_ratio=87)
    _, found, placed, _ = whole(board_of(OBLONG), plan)
    tops = [riser_top(placed[r.id].part)[0] for r in risers_of(found)]
    between = [(y, z) for x, y, z in tops if abs(x - 900) < 1 and 190 < y < 360]
    assert between
    for y, z in between:
        assert z == pytest.approx(16.0 + 5.0 * (400 - y) / 250, abs=2e-3)
