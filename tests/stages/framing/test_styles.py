"""The styles l-girder, l-girder-open and open-top: arithmetic on one board, and any board put together and
measured in 3-D.

With ``BOARDWRIGHT_DEEP=1`` 300 boards of each style, otherwise 12.
"""

from __future__ import annotations

import itertools
import math
import os
from collections.abc import Callable
from typing import Any

import pytest
import shapely
from any_shapes import board_of, curved_rings, star_rings
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright import Notes
from boardwright.plan.model import Device, Point, Ring, Track
from boardwright_stages.checks.reassembly import Solid, solid
from boardwright_stages.framing.girder import NEAR_END_MM, l_girder
from boardwright_stages.framing.girder_open import l_girder_open
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame as box
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardPlan,
    BoardWiring,
    Frame,
    Joists,
    Member,
    MemberRole,
)

DEEP = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 12
SOME = settings(max_examples=DEEP, deadline=None, derandomize=True)
FRAMING = FramingSettings(member_thickness_mm=12)
CANNOT = {"BW-FRAME-001", "BW-FRAME-002", "BW-FRAME-003"}
OBLONG: Ring = ((0.0, 0.0), (1200.0, 0.0), (1200.0, 500.0), (0.0, 500.0))
ENDS = (((0.0, 0.0), (0.0, 500.0)), ((1200.0, 0.0), (1200.0, 500.0)))


def girder_open(
    board: Board, plan: BoardPlan, framing: FramingSettings, own: OpenTopSettings, notes: Notes
) -> Frame:
    return l_girder_open(board, plan, framing, GirderSettings(), own, notes)


def track(*points: Point) -> Track:
    return Track(id="T1", points=points)


def device(x: float, y: float, depth: float) -> Device:
    return Device(
        id="D1",
        kind="point_motor",
        x_mm=x,
        y_mm=y,
        length_mm=60,
        width_mm=40,
        depth_mm=depth,
        clearance_mm=10,
    )


def whole(
    style: Callable[..., Frame], board: Board, plan: BoardPlan, own: Any
) -> tuple[Frame, Joists, dict[str, Solid], Notes]:
    """Frame, joists and parts in their places."""
    notes = Notes()
    made = style(board, plan, FRAMING, own, notes)
    found = joists(board, plan, made, FRAMING, JoistSettings(), notes)
    cut = parts(
        board,
        plan,
        made,
        found,
        BoardFixings(board=board.id),
        BoardWiring(board=board.id),
        FRAMING,
        notes,
    )
    return made, found, {p.id: solid(board, p) for p in cut.parts}, notes


def of(members: tuple[Member, ...], role: MemberRole) -> list[Member]:
    return [m for m in members if m.role is role]


def test_girders_of_an_oblong_board() -> None:
    """476 mm between the inner faces: webs 0.22 · 476 = 104.72 mm inside them; ends all the way down. A hand
    of 200 N on the deck's open long edge finds 0.4 of a span of it: 200 L² / (48 · 0.4 · 11395 · 9³ / 12) is
    2 mm at L = 364."""
    board = board_of(OBLONG, joints=ENDS)
    made, found, placed, notes = whole(l_girder, board, BoardPlan(board="B01"), GirderSettings())
    (told,) = notes.findings
    assert told.code == "BW-JOIST-012"
    assert "364 mm" in told.says
    webs, flanges, ends = (
        of(made.members, r) for r in (MemberRole.GIRDER, MemberRole.FLANGE, MemberRole.END)
    )
    middles = [(w.outer_start[1] + w.inner_start[1]) / 2 for w in webs]
    assert middles == pytest.approx([12 + 104.72, 488 - 104.72])
    assert {w.length_mm for w in webs} == {1200 - 2 * 12}
    assert {(w.top_mm, w.bottom_mm) for w in webs} == {(-90 - 12, -90 - 12 - 70)}
    assert {(f.top_mm, f.bottom_mm, f.thickness_mm) for f in flanges} == {(-90, -102, 44)}
    assert [f.outer_start[1] for f in flanges] == pytest.approx([middles[0] - 6, middles[1] + 6 - 44])
    assert {(e.top_mm, e.depth_mm) for e in ends} == {(0, 90 + 12 + 70)}
    assert [m.role for m in made.members].count(MemberRole.SIDE) == 0
    assert {m.depth_mm for m in found.joists} == {90}
    flange = placed["B01-F1"].part
    assert (flange.thickness_mm, flange.width_mm, flange.length_mm) == (12, 44, 1176)
    assert made.depth_mm == 172


def test_a_girder_ends_flat_against_one_member() -> None:
    """Corners are cut off, by edges at 32° to the board that get no member: ends run across, and girders take
    the place of sides. An end's inner face begins at 122 + 12 · tan 29° = 128.7. At 12 + 0.22 · 476 = 116.7
    a web would hang free; in steps of 5 mm the first that stands against both ends is 20 mm farther in."""
    ring: Ring = ((195, 0), (1005, 0), (1200, 122), (1200, 378), (1005, 500), (195, 500), (0, 378), (0, 122))
    made, *_ = whole(l_girder, board_of(ring), BoardPlan(board="B01"), GirderSettings())
    assert made.style == "l-girder"
    faces = [shapely.LineString((m.inner_start, m.inner_end)) for m in made.members if m.thickness_mm == 12]
    webs = of(made.members, MemberRole.GIRDER)
    for web in webs:
        for end in ((web.outer_start, web.inner_start), (web.outer_end, web.inner_end)):
            assert max(shapely.LineString(end).intersection(f.buffer(0.05)).length for f in faces) >= 11.9
    middles = sorted((w.outer_start[1] + w.inner_start[1]) / 2 for w in webs)
    assert middles == pytest.approx([116.72 + 20, 383.28 - 20])


def test_girders_below_a_deck_under_tracks() -> None:
    """As a girder frame and an open top: all 60 mm lower but the ends at joints, risers 30 mm on joists."""
    board = board_of(OBLONG, joints=ENDS)
    plan = BoardPlan(board="B01", tracks=(track((0, 250), (1200, 250)),))
    made, found, placed, notes = whole(girder_open, board, plan, OpenTopSettings())
    level, _, _, _ = whole(l_girder, board, plan, GirderSettings())
    assert notes.findings == []
    assert (made.style, made.depth_mm) == ("l-girder-open", 90 + 12 + 70 + 60)
    (panel,) = made.deck
    assert shapely.Polygon(panel.ring).equals(shapely.box(0, 210, 1200, 290))
    for mine, same in zip(made.members, level.members, strict=True):
        assert mine.outline == same.outline
        assert mine.bottom_mm == same.bottom_mm - 60
        assert mine.top_mm == (0 if mine.role is MemberRole.END else same.top_mm - 60)
    assert {(m.top_mm, m.bottom_mm) for m in found.joists} == {(-60, -150)}
    risers = of(found.members, MemberRole.RISER)
    assert len(risers) == len(found.joists) > 0
    assert {(r.top_mm, r.bottom_mm, r.length_mm) for r in risers} == {(0, -90, 80)}
    assert placed["B01-D1"].part.area_mm2 == pytest.approx(1200 * 80)


def test_no_riser_on_girders_stands_beside_the_deck() -> None:
    """A shallow device over a joist keeps risers off it; noggins then hold the deck's edges, each riser below
    the deck, not on the noggin's far face."""
    board = board_of(OBLONG, joints=ENDS)
    line = track((0, 140), (1200, 140))
    bare = whole(girder_open, board, BoardPlan(board="B01", tracks=(line,)), OpenTopSettings())[1]
    at = bare.joists[1].outer_start[0] - 6
    plan = BoardPlan(board="B01", tracks=(line,), devices=(device(at, 140, 55),), own_devices=("D1",))
    made, found, _, _ = whole(girder_open, board, plan, OpenTopSettings())
    assert of(found.members, MemberRole.NOGGIN)
    for riser in of(found.members, MemberRole.RISER):
        shape = shapely.Polygon(riser.outline)
        assert shape.intersection(shapely.Polygon(made.deck[0].ring)).area >= shape.area / 2, riser.id


def test_risers_stop_above_girders() -> None:
    """120 mm on joists 90 mm deep would reach into the flanges: 90 it is."""
    plan = BoardPlan(board="B01", tracks=(track((0, 120), (1200, 120)),))
    board, notes = board_of(OBLONG, joints=ENDS), Notes()
    long = OpenTopSettings(riser_lap_mm=120)
    made = girder_open(board, plan, FRAMING, long, notes)
    found = joists(board, plan, made, FRAMING, JoistSettings(), notes, long)
    assert {r.bottom_mm for r in of(found.members, MemberRole.RISER)} == {-150}
    assert {f.top_mm for f in of(made.members, MemberRole.FLANGE)} == {-150}


def test_girders_move_aside_for_a_deep_device() -> None:
    """The keep-out reaches from y = 90 to 150; the web would stand at 110.72 to 122.72."""
    board = board_of(OBLONG, joints=ENDS)
    on_risers = (girder_open, OpenTopSettings())
    for style, own, depth, moved in (
        (l_girder, GirderSettings(), 80.0, False),
        (l_girder, GirderSettings(), 120.0, True),
        (*on_risers, 149.0, False),  # 60 of rise and 90 of joist
        (*on_risers, 151.0, True),
    ):
        plan = BoardPlan(
            board="B01",
            devices=(device(600, 120, depth),),
            own_devices=("D1",),
            tracks=(track((0, 150), (1200, 150)),),
        )
        made, _, placed, notes = whole(style, board, plan, own)
        lower = of(made.members, MemberRole.GIRDER)[0]
        assert ((lower.outer_start[1] + lower.inner_start[1]) / 2 != pytest.approx(116.72)) is moved
        keepout = shapely.Polygon(plan.devices[0].keepout())
        touched = [n for n, s in placed.items() if s.part.role != "deck" and s.shape.intersects(keepout)]
        assert all(placed[n].high_mm <= -depth for n in touched)
        assert {f.code for f in notes.findings} == ({"BW-JOIST-012"} if style is l_girder else set())


def test_an_open_top_over_an_oblong_board() -> None:
    """A straight track in the middle: a deck and risers 80 mm wide, 60 above the joists, 30 beside."""
    board = board_of(OBLONG, joints=ENDS)
    plan = BoardPlan(board="B01", tracks=(track((0, 250), (1200, 250)),))
    made, found, placed, notes = whole(open_top, board, plan, OpenTopSettings())
    assert notes.findings == []
    (panel,) = made.deck
    assert shapely.Polygon(panel.ring).equals(shapely.box(0, 210, 1200, 290))
    ends, sides = of(made.members, MemberRole.END), of(made.members, MemberRole.SIDE)
    assert {(m.top_mm, m.bottom_mm) for m in ends} == {(0, -150)}
    assert {(m.top_mm, m.bottom_mm) for m in (*sides, *found.joists)} == {(-60, -150)}
    risers = of(found.members, MemberRole.RISER)
    assert len(risers) == len(found.joists) > 0
    assert {(r.top_mm, r.bottom_mm, r.length_mm) for r in risers} == {(0, -90, 80)}
    assert placed["B01-D1"].part.area_mm2 == pytest.approx(1200 * 80)


def test_joists_pass_below_shallow_devices() -> None:
    """55 mm deep under a deck 60 mm above the joists: nothing moves; 65 mm deep: joists keep clear."""
    board = board_of(OBLONG, joints=ENDS)
    places = []
    for depth in (55.0, 65.0, None):
        devices = () if depth is None else (device(486, 250, depth),)
        plan = BoardPlan(
            board="B01", tracks=(track((0, 250), (1200, 250)),), devices=devices, own_devices=("D1",)
        )
        _, found, _, _ = whole(open_top, board, plan, OpenTopSettings())
        places.append([m.outer_start[0] for m in found.joists])
    shallow, deep, bare = places
    assert shallow == bare
    assert deep != bare
    assert all(x - 12 > 526 or x < 446 for x in deep)


def test_a_board_that_girders_do_not_suit_is_a_box() -> None:
    spike: Ring = ((0.0, 0.0), (1200.0, 200.0), (1200.0, 260.0), (0.0, 500.0))
    made, _, _, notes = whole(l_girder, board_of(spike), BoardPlan(board="B01"), GirderSettings())
    assert made.style == "box"
    assert "BW-FRAME-010" in {f.code for f in notes.findings}
    plan = BoardPlan(board="B01", tracks=(track((0, 230), (1200, 230)),))
    made, _, _, notes = whole(girder_open, board_of(spike), plan, OpenTopSettings())
    same, _, _, _ = whole(open_top, board_of(spike), plan, OpenTopSettings())
    assert (made.style, made) == ("open-top", same)
    mixed = FRAMING.changed(joist_material="softwood", joist_thickness_mm=18)
    assert girder_open(board_of(spike), plan, mixed, OpenTopSettings(), Notes()).style == "open-top"
    assert "BW-FRAME-010" in {f.code for f in notes.findings}


def test_a_board_without_track_gets_a_whole_deck() -> None:
    made, _, placed, notes = whole(open_top, board_of(OBLONG), BoardPlan(board="B01"), OpenTopSettings())
    assert (made.style, made.deck) == ("box", ())
    assert [f.code for f in notes.findings] == ["BW-FRAME-008"]
    assert placed["B01-D"].part.area_mm2 == 1200 * 500
    made, _, placed, notes = whole(girder_open, board_of(OBLONG), BoardPlan(board="B01"), OpenTopSettings())
    assert (made.style, made.deck, made.depth_mm) == ("l-girder", (), 172)
    assert [f.code for f in notes.findings] == ["BW-FRAME-008", "BW-JOIST-012"]
    assert placed["B01-D"].part.area_mm2 == 1200 * 500


def apart(solids: list[Solid]) -> None:
    """No two parts share room: plan areas at one height."""
    for one, other in itertools.combinations(solids, 2):
        if min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm) > 1e-6:
            assert one.shape.intersection(other.shape).area <= 0.05, (one.part.id, other.part.id)


def joined(ring: Ring) -> Board:
    """A board with a joint along its longest edge."""
    edges = list(zip(ring, ring[1:] + ring[:1], strict=True))
    return board_of(ring, joints=(max(edges, key=lambda e: (round(math.dist(*e), 6), e)),))


ANY = st.one_of(star_rings(), curved_rings())


@SOME
@given(ANY)
def test_girder_frames_hold_together(ring: Ring) -> None:
    """Joists lie on two flanges at least, flanges on webs, girders reach ends or the edge of the room."""
    board = joined(ring)
    made, found, placed, notes = whole(l_girder, board, BoardPlan(board="B01"), GirderSettings())
    if CANNOT & {f.code for f in notes.findings} or made.style == "box":
        return
    apart(list(placed.values()))
    all_on_girders(board, made, found, placed)


def all_on_girders(board: Board, made: Frame, found: Joists, placed: dict[str, Solid]) -> None:
    webs, flanges = (of(made.members, r) for r in (MemberRole.GIRDER, MemberRole.FLANGE))
    for web, flange in zip(webs, flanges, strict=True):
        assert placed[web.id].high_mm == pytest.approx(placed[flange.id].low_mm)
        bare = placed[web.id].shape.difference(placed[flange.id].shape.buffer(0.01))
        ends = [shapely.Point(board.to_plan(p)) for p in web.outline]
        for p in shapely.get_coordinates(bare).tolist():  # only at slanted ends, where no joist comes
            assert min(shapely.Point(p).distance(end) for end in ends) <= NEAR_END_MM
    for joist in found.joists:
        lies_on = [f for f in flanges if placed[f.id].shape.intersects(placed[joist.id].shape)]
        assert len(lies_on) >= 2
        assert all(placed[f.id].high_mm == pytest.approx(placed[joist.id].low_mm) for f in lies_on)
    inner = shapely.Polygon([board.to_plan(p) for p in made.inner])
    for web in webs:
        for a, b in ((web.outer_start, web.inner_start), (web.outer_end, web.inner_end)):
            end = shapely.LineString((board.to_plan(a), board.to_plan(b)))
            assert end.distance(inner.exterior) <= 0.1


@pytest.mark.parametrize("style", [open_top, girder_open])
@SOME
@given(ANY, st.floats(0.2, 0.8), st.floats(0.2, 0.8))
def test_decks_under_tracks_hold_together(
    style: Callable[..., Frame], ring: Ring, enters: float, leaves: float
) -> None:
    """Risers reach from the deck to the wood they lap; the deck covers the track and no more. On girders
    joists lie as they do below a whole deck, and noggins end on wood."""
    board = joined(ring)
    way = shapely.LineString(((-50, 1400 * enters), (1450, 1400 * leaves)))
    on = [p for p in shapely.get_parts(way.intersection(shapely.Polygon(ring))) if p.length > 100]
    if not on:
        return
    plan = BoardPlan(board="B01", tracks=(track(*max(on, key=lambda p: p.length).coords),))
    made, found, placed, notes = whole(style, board, plan, OpenTopSettings())
    if CANNOT & {f.code for f in notes.findings} or not made.deck:
        return
    if made.style == "l-girder-open":
        all_on_girders(board, made, found, placed)
        standing = shapely.union_all(
            [s.shape for s in placed.values() if s.part.role in ("joist", "side", "end")]
        )
        for noggin in of(found.members, MemberRole.NOGGIN):
            for end in ((noggin.outer_start, noggin.inner_start), (noggin.outer_end, noggin.inner_end)):
                line = shapely.LineString([board.to_plan(p) for p in end])
                assert line.distance(standing) <= 0.1
                assert standing.buffer(1.0).covers(line)
    apart(list(placed.values()))
    decks = [s for s in placed.values() if s.part.role == "deck"]
    line = shapely.LineString(plan.tracks[0].points)
    wanted = line.buffer(40, quad_segs=8).intersection(shapely.Polygon(ring))
    assert shapely.union_all([d.shape for d in decks]).symmetric_difference(wanted).area <= 60
    wood = [s for s in placed.values() if s.part.role in ("joist", "noggin", "side", "end")]
    for riser in of(found.members, MemberRole.RISER):
        own = placed[riser.id]
        assert own.high_mm == 0
        assert any(own.shape.intersection(d.shape).area > 1 for d in decks), "it carries a deck"
        laps = [w for w in wood if w.shape.distance(own.shape) <= 0.1 and w.high_mm - own.low_mm >= 30 - 1e-6]
        assert laps, "it lies on the face of something by 30 mm"


def test_free_ends_of_girder_frames_are_closed() -> None:
    """Without joints an oblong still gets two members across its ends: its deck ends on wood there."""
    board = board_of(OBLONG)
    made, _, _, notes = whole(l_girder, board, BoardPlan(board="B01"), GirderSettings())
    assert [f.code for f in notes.findings] == ["BW-JOIST-012"]
    across = [m for m in made.members if abs(m.direction[1]) > 0.9]
    assert sorted(min(m.outer_start[0], m.inner_start[0]) for m in across) == [0.0, 1188.0]
    assert {(m.top_mm, m.depth_mm) for m in across} == {(0.0, 172.0)}


@pytest.mark.parametrize("style", ["box", "open-top"])
def test_joists_of_other_wood_than_the_sides(style: str) -> None:
    """Planed sides 18 thick, ply joists 12 thick between them: 500 - 2 * 18 = 464 long."""
    wood = FramingSettings(
        member_material="softwood", member_thickness_mm=18, joist_material="birch ply", joist_thickness_mm=12
    )
    board, notes = board_of(OBLONG), Notes()
    plan = BoardPlan(board=board.id, tracks=(track((0.0, 250.0), (1200.0, 250.0)),))
    framed = (
        box(board, wood, notes) if style == "box" else open_top(board, plan, wood, OpenTopSettings(), notes)
    )
    found = joists(board, plan, framed, wood, JoistSettings(), notes)
    cut = parts(
        board, plan, framed, found, BoardFixings(board=board.id), BoardWiring(board=board.id), wood, notes
    )
    assert {(p.material, p.thickness_mm) for p in cut.parts if p.role in ("side", "end")} == {
        ("softwood", 18)
    }
    across = [p for p in cut.parts if p.role == "joist"]
    assert {(p.material, p.thickness_mm, p.length_mm) for p in across} == {("birch ply", 12, 464)}
    assert found.spacing_mm <= found.limit_mm + 1e-6
