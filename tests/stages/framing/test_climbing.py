"""Open tops under tracks that climb: by hand on one board, and any board put together and measured in 3-D.

Heights are compared with ``numpy.interp`` along the drawn line, bevels with ``math.atan`` of the gradient.
With ``BOARDWRIGHT_DEEP=1`` 300 boards, otherwise 12.
"""

from __future__ import annotations

import itertools
import math
import os

import numpy as np
import pytest
import shapely
from any_shapes import board_of, curved_rings, star_rings
from climbs import ENDS, OBLONG, risers_of, told, track, whole
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import UNSET

from boardwright.plan.model import Device, Point, Ring, Track, Turnout
from boardwright_stages.checks.climbing import riser_top
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_timber.model import BoardPlan, MemberRole
from boardwright_timber.rising import underside_mm

FEW = 12
DEEP = 300 if os.environ.get("BOARDWRIGHT_DEEP") else FEW
CANNOT = {"BW-FRAME-001", "BW-FRAME-002", "BW-FRAME-003"}


def test_a_straight_climb_of_1_in_40() -> None:
    """At x the deck's underside is at x / 40: the riser's middle too. Across its 12 mm it rises 0.3 mm:
    a bevel of atan(1/40) = 1.432°, and a blank 0.15 mm higher than the middle."""
    board = board_of(OBLONG, joints=ENDS)
    plan = BoardPlan(board="B01", tracks=(track("T1", (0, 250, 0), (1200, 250, 30)),))
    made, found, placed, _ = whole(board, plan)
    low, high = sorted((m for m in made.members if m.role is MemberRole.END), key=lambda m: m.outer_start[0])
    assert (low.top_mm, low.depth_mm) == (0, 150), "the deck lies at the board's level on the lower joint"
    assert (high.top_mm, high.depth_mm) == (-60, 90), "it is 30 mm up on the other: risers carry it"
    stood = risers_of(found)
    assert len(stood) == len(found.joists) + 1
    for riser in stood:
        xs = [p[0] for p in riser.outline]
        middle = sum(xs) / 4
        assert sum(riser.corner_tops) / 4 == pytest.approx(middle / 40, abs=1e-6)
        assert riser.tops_mm == pytest.approx([x / 40 for x in xs], abs=1e-6)
        part = placed[riser.id].part
        assert abs(part.top_tilt_deg) == pytest.approx(math.degrees(math.atan(1 / 40)), abs=1e-6)
        assert part.ring[2][1] == part.ring[3][1] == pytest.approx(max(xs) / 40 + 60 + 30)
        # 80 long, 12 thick, as high as its middle: 680 kg/m³ (the ply's own row) times the volume
        assert part.mass_kg / (80 * 12 * (middle / 40 + 90)) == pytest.approx(6.8e-7, rel=0.05)
    (deck,) = (s.part for s in placed.values() if s.part.role == "deck")
    assert (deck.length_mm, deck.width_mm) == (1200, 80), "cut to its plan"
    # 1200 · (sqrt(1 + 1/1600) - 1) = 0.375 mm longer along the slope
    assert made.deck[0].longer_mm == pytest.approx(0.375, abs=0.001)


def test_on_girders() -> None:
    """Joists 60 mm below the level on flanges 150 below it, webs 162; risers as high as the deck."""
    board = board_of(OBLONG, joints=ENDS)
    plan = BoardPlan(board="B01", tracks=(track("T1", (0, 250, 0), (1200, 250, 30)),))
    made, found, _, notes = whole(board, plan, girders=True)
    assert (made.style, told(notes)) == ("l-girder-open", [])
    tops = {role: {m.top_mm for m in (*made.members, *found.joists) if m.role is role} for role in MemberRole}
    assert tops[MemberRole.JOIST] == {-60}
    assert tops[MemberRole.FLANGE] == {-60 - 90}
    assert tops[MemberRole.GIRDER] == {-60 - 90 - 12}
    ends = sorted((m.top_mm, m.depth_mm) for m in made.members if m.role is MemberRole.END)
    assert ends == [(-60, 172), (0, 172 + 60)], "one reaches up to the level deck, one does not"
    stood = risers_of(found)
    assert len(stood) == len(found.joists) + 1
    for riser in stood:
        middle = sum(p[0] for p in riser.outline) / 4
        assert sum(riser.corner_tops) / 4 == pytest.approx(middle / 40, abs=1e-6)
    bare, *_, heard = whole(board, BoardPlan(board="B01"), girders=True)
    assert (bare.style, bare.deck) == ("l-girder", ())
    assert [f.says for f in heard.findings if f.code == "BW-FRAME-008"] == [
        "Board B01 holds no track, so it gets a whole deck on girders."
    ]


def test_a_track_askew_slants_the_risers_top() -> None:
    """A track at 45° across the joists, 1 in 40 along it: along a joist it climbs 1 in 40·√2."""
    board = board_of(OBLONG)
    plan = BoardPlan(board="B01", tracks=(track("T1", (200, 0, 0), (700, 500, 12.5 * math.sqrt(2))),))
    _, found, placed, _ = whole(board, plan)
    for riser in risers_of(found):
        if abs(riser.direction[1]) < 0.9:
            continue
        (_, right), (_, left) = placed[riser.id].part.ring[2:]
        grade = 1 / 40 / math.sqrt(2)
        assert abs(right - left) / riser.length_mm == pytest.approx(grade, rel=1e-3)
        assert riser.top_grade == pytest.approx(1 / 40, rel=1e-3)


def test_tracks_that_part_in_height_are_sawn_apart() -> None:
    """Two tracks 60 mm apart, their strips one; one climbs from x = 400 on. Up to where it is 0.5 mm up
    (x = 420) the deck is whole, from there a cut runs midway; each riser has one height."""
    board = board_of(OBLONG, joints=ENDS)
    level = track("T1", (0, 220, 0), (1200, 220, 0))
    climbs = track("T2", (0, 280, 0), (400, 280, 0), (1200, 280, 20))
    made, found, _, notes = whole(board, BoardPlan(board="B01", tracks=(level, climbs), scale_ratio=87))
    assert not told(notes)
    (panel,) = made.deck
    wood = shapely.Polygon(panel.ring)
    cut = shapely.box(0, 180, 1200, 320).difference(wood)
    x0, y0, x1, y1 = cut.bounds
    assert x0 == pytest.approx(420, abs=10)
    assert (x1, y0, y1) == (1200, pytest.approx(248.5), pytest.approx(251.5))
    beyond = [r for r in risers_of(found) if min(p[0] for p in r.outline) > 430]
    assert beyond
    for riser in beyond:
        ys = [p[1] for p in riser.outline]
        x = sum(p[0] for p in riser.outline) / 4
        assert max(ys) <= 248.5 + 0.05 or min(ys) >= 251.5 - 0.05
        wanted = 0.0 if max(ys) < 250 else (x - 400) / 40
        assert sum(riser.corner_tops) / 4 == pytest.approx(wanted, abs=1e-3)


def test_tracks_that_never_meet_get_a_strip_each() -> None:
    """60 mm apart, 20 mm up all along: their strips would overlap by 20 mm; 3 mm of saw cut part them."""
    board = board_of(OBLONG)
    level, up = track("T1", (0, 220, 0), (1200, 220, 0)), track("T2", (0, 280, 20), (1200, 280, 21))
    made, *_, notes = whole(board, BoardPlan(board="B01", tracks=(level, up), scale_ratio=87))
    assert not told(notes)
    low, high = sorted((shapely.Polygon(p.ring) for p in made.deck), key=lambda p: p.bounds)
    assert low.bounds == pytest.approx((0, 180, 1200, 248.5))
    assert high.bounds == pytest.approx((0, 251.5, 1200, 320))
    assert low.area == pytest.approx(1200 * 68.5)


def test_a_climb_that_begins_in_a_turnout_is_a_fault() -> None:
    """A branch that leaves at 1 in 6 and climbs at once: 1 mm up they are far nearer than two sleepers are
    long (2600 / 87 = 29.9 mm, and 3 mm for the saw)."""
    board = board_of(OBLONG)
    level = track("T1", (0, 250, 0), (1200, 250, 0))
    climbs = track("T2", (300, 250, 0), (900, 350, 600 / 40))
    ring: Ring = ((300, 230), (500, 230), (500, 290), (300, 290))
    turnout = Turnout(id="T01", x_mm=300, y_mm=250, ring=ring)
    plan = BoardPlan(board="B01", tracks=(level, climbs), turnouts=(turnout,), scale_ratio=87)
    *_, notes = whole(board, plan)
    (clash,) = [f for f in notes.findings if f.code == "BW-FRAME-014"]
    assert "T1 and T2 differ by" in clash.says
    assert "within turnout T01" in clash.says
    (place,) = clash.where
    assert 300 < place.x_mm < 520
    assert "Let the climb begin" in clash.mend


def test_a_deck_lower_than_its_joists_is_a_fault() -> None:
    board = board_of(OBLONG)
    plan = BoardPlan(board="B01", tracks=(track("T1", (0, 250, 0), (1200, 250, -70)),))
    *_, notes = whole(board, plan)
    (low,) = [f for f in notes.findings if f.code == "BW-FRAME-015"]
    assert "70.0 mm below" in low.says
    assert "open_top.rise_mm to 70 or more" in low.mend


def test_one_track_over_another_gets_a_deck_of_its_own() -> None:
    """90 mm above: two panels that cross in plan; no riser of the upper one stands in the lower one."""
    board = board_of(OBLONG)
    lower = track("T1", (0, 250, 0), (1200, 250, 0))
    upper = track("T2", (300, 0, 90), (900, 500, 90))
    made, found, placed, notes = whole(board, BoardPlan(board="B01", tracks=(lower, upper), scale_ratio=87))
    assert not told(notes)
    below, above = sorted(made.deck, key=lambda p: p.ways[0][0][2] if p.ways is not UNSET else 0.0)
    under, over = (shapely.Polygon(p.ring) for p in (below, above))
    assert under.intersection(over).area > 80 * 80
    for riser in risers_of(found):
        wood = placed[riser.id].shape
        if riser.top_mm > 1:
            assert wood.intersection(under).area < 0.05
            assert riser.top_mm == pytest.approx(90)
        else:
            assert under.buffer(0.01).contains(wood)
    tracked = {
        p.id: {m.text for m in p.marks if m.kind == "track"} for s in placed.values() for p in [s.part]
    }
    assert sorted(map(sorted, filter(None, tracked.values()))) == [["T1"], ["T2"]]


def test_devices_hang_from_the_deck_where_it_is() -> None:
    """Joists stand 60 mm below the board's level. A motor 70 mm deep passes above them under a deck 20 mm up,
    one 50 mm deep does not under a deck 20 mm down."""
    board = board_of(OBLONG, joints=ENDS)
    bare = whole(board, BoardPlan(board="B01", tracks=(track("T1", (0, 250, 0), (1200, 250, 24)),)))[1]
    for depth, rise, moved in (
        (70.0, 20.0, False),
        (70.0, 0.0, True),
        (50.0, -20.0, True),
        (50.0, 0.0, False),
    ):
        motor = Device(
            id="D1", kind="m", x_mm=486, y_mm=250, length_mm=60, width_mm=40, depth_mm=depth, clearance_mm=10
        )
        climbs = track("T1", (0, 250, rise - 0.01 * 486), (1200, 250, rise + 0.01 * 714))
        plan = BoardPlan(board="B01", tracks=(climbs,), devices=(motor,), own_devices=("D1",))
        _, found, _, _ = whole(board, plan)
        places, usual = ([m.outer_start[0] for m in f.joists] for f in (found, bare))
        assert (places != usual) is moved
        assert not moved or all(x - 12 > 526 or x < 446 for x in places)


def test_risers_keep_off_trains_below() -> None:
    """Decks of 15 mm to each side: risers of the upper one keep 2150 / 87 = 24.7 mm off the lower track."""
    board = board_of(OBLONG)
    lower = track("T1", (0, 250, 0), (1200, 250, 0))
    upper = track("T2", (0, 150, 90), (1200, 350, 90))
    narrow = OpenTopSettings(beside_track_mm=15)
    plan = BoardPlan(board="B01", tracks=(lower, upper), scale_ratio=87)
    _, found, placed, _ = whole(board, plan, open_=narrow)
    high = [placed[r.id].shape for r in risers_of(found) if r.top_mm > 80]
    assert high
    assert min(abs(y - 250) for s in high for _, y in s.exterior.coords) >= 2150 / 87 - 0.01


def test_a_level_plan_is_left_as_it_was() -> None:
    board = board_of(OBLONG, joints=ENDS)
    flat = Track(id="T1", points=((0.0, 250.0), (1200.0, 250.0)))
    told_flat = track("T1", (0, 250, 0), (1200, 250, 0))
    one, two = (whole(board, BoardPlan(board="B01", tracks=(t,)))[:2] for t in (flat, told_flat))
    assert one == two
    assert one[0].deck[0].ways is UNSET


@settings(max_examples=DEEP, deadline=None, derandomize=True)
@given(
    st.one_of(star_rings(), curved_rings()),
    st.floats(0.2, 0.8),
    st.floats(0.2, 0.8),
    st.floats(-0.04, 0.04),
    st.floats(-150, 150),
    st.booleans(),
)
def test_climbs_hold_together(
    ring: Ring, enters: float, leaves: float, grade: float, bow: float, girders: bool
) -> None:
    """A bowed track up or down any board: each riser reaches the deck, stands on wood by 30 mm, and no two
    parts share room. The drawn heights are the reference, by numpy; less what the track bends over it."""
    edges = list(zip(ring, ring[1:] + ring[:1], strict=True))
    board = board_of(ring, joints=(max(edges, key=lambda e: (round(math.dist(*e), 6), e)),))
    xs = np.linspace(-50, 1450, 60)
    ys = 1400 * (enters + (leaves - enters) * (xs + 50) / 1500) + bow * np.sin((xs + 50) / 1500 * np.pi)
    inside = shapely.get_parts(shapely.LineString(np.c_[xs, ys]).intersection(shapely.Polygon(ring)))
    runs = [p for p in inside if p.length > 100]
    if not runs:
        return
    points: list[Point] = [(float(x), float(y)) for x, y in max(runs, key=lambda p: p.length).coords]
    far = np.concatenate(([0.0], np.cumsum([math.dist(a, b) for a, b in itertools.pairwise(points)])))
    heights = 20 + grade * far
    plan = BoardPlan(
        board="B01", tracks=(Track(id="T1", points=tuple(points), heights_mm=tuple(heights.tolist())),)
    )
    made, found, placed, notes = whole(board, plan, girders=girders)
    if CANNOT & {f.code for f in notes.findings} or not made.deck:
        return
    line = shapely.LineString(points)

    def height(x: float, y: float) -> float:
        """Straight on past the track's ends."""
        at = shapely.Point(board.to_plan((x, y)))
        s = line.project(at)
        for end, (a, b), sign in ((0.0, points[:2], -1), (line.length, points[-2:], 1)):
            if abs(s - end) < 1e-9:
                ux, uy = (b[0] - a[0]) / math.dist(a, b), (b[1] - a[1]) / math.dist(a, b)
                e = a if sign < 0 else b
                s = end + (at.x - e[0]) * ux + (at.y - e[1]) * uy
        return float(20 + grade * s)

    wood = [s for s in placed.values() if s.part.role in ("joist", "noggin", "side", "end")]
    roof = shapely.union_all([s.shape for s in placed.values() if s.part.role == "deck"])
    for riser in risers_of(found):
        own = placed[riser.id]
        (x, y, z), *corners = riser_top(own.part)
        ends = [
            ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in itertools.pairwise(corners[1:] + corners[:1])
        ]
        bends = abs(height(x, y) - (height(*ends[0]) + height(*ends[2])) / 2)
        assert abs(height(x, y) - z) <= 0.1 + bends
        assert max(abs(height(u, v) - w) for u, v, w in corners) <= 0.2 + bends
        laps = [w for w in wood if w.shape.distance(own.shape) <= 0.1 and w.high_mm - own.low_mm >= 30 - 1e-6]
        assert laps, "it lies on the face of something by 30 mm"
        assert own.shape.intersection(roof).area >= (0.5 - 1e-3) * own.shape.area, (
            "half of it is below the deck"
        )
    standing = [s for s in placed.values() if s.part.role not in ("deck", "splice plate")]
    for one, other in itertools.combinations(standing, 2):
        if min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm) > 1e-6:
            assert one.shape.intersection(other.shape).area <= 0.05, (one.part.id, other.part.id)


@settings(max_examples=DEEP if DEEP > FEW else FEW // 2, deadline=None, derandomize=True)
@given(
    st.floats(120, 380),
    st.floats(-60, 60),
    st.floats(25, 140),
    st.floats(-80, 80),
    st.floats(-0.03, 0.04),
    st.floats(-20, 90),
)
def test_two_tracks_hold_together(
    y: float, slant: float, apart: float, converge: float, grade: float, step: float
) -> None:
    """Two tracks side by side, converging or crossing, at any heights: unless a fault says that no deck can
    carry both, every place of each track lies on one deck at the track's own height, decks lie over others
    only with 40 mm (3.5 m in 1:87) or more between, and each riser reaches one of the two."""
    board = board_of(OBLONG)
    one = track("T1", (0, y, 10), (1200, y + slant, 10 + 1200 * grade / 2))
    start = 10 + step
    two = track("T2", (0, y + apart, start), (1200, y + slant + apart + converge, start + 1200 * grade))
    inside = shapely.Polygon(OBLONG).buffer(-1)
    if not all(inside.contains(shapely.Point(p)) or p[0] in (0, 1200) for t in (one, two) for p in t.points):
        return
    if not all(0 < p[1] < 500 for t in (one, two) for p in t.points):
        return
    made, found, placed, notes = whole(board, BoardPlan(board="B01", tracks=(one, two), scale_ratio=87))
    if "BW-FRAME-014" in told(notes) or "BW-FRAME-015" in told(notes):
        return
    panels = [(p, shapely.Polygon(p.ring, p.wells)) for p in made.deck]
    lines = {
        t.id: shapely.LineString([(*p, z) for p, z in zip(t.points, t.heights_mm, strict=True)])
        for t in (one, two)
    }
    for line in lines.values():
        for share in np.linspace(0.02, 0.98, 25):
            at = line.interpolate(share, normalized=True)
            under = [
                underside_mm(p, (at.x, at.y)) for p, wood in panels if wood.covers(shapely.Point(at.x, at.y))
            ]
            assert min(abs(z - at.z) for z in under) <= 0.51
    for (a, wood_a), (b, wood_b) in itertools.combinations(panels, 2):
        for both in shapely.get_parts(wood_a.intersection(wood_b)):
            if both.area > 1:
                x, v = both.centroid.coords[0]
                assert abs(underside_mm(a, (x, v)) - underside_mm(b, (x, v))) >= 3500 / 87 - 1
    for riser in risers_of(found):
        (x, v, z), *_ = riser_top(placed[riser.id].part)
        heights = [li.interpolate(li.project(shapely.Point(x, v))).z for li in lines.values()]
        assert min(abs(h - z) for h in heights) <= 0.1 + 40 * 0.04 * abs(converge - slant) / 1200
