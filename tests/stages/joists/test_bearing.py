"""Narrow decks lie on their risers: measured again with shapely on the finished parts in their places.

With ``BOARDWRIGHT_DEEP=1`` 300 boards of each kind, otherwise 8.
"""

from __future__ import annotations

import math
import os

import shapely
from any_shapes import board_of
from climbs import FRAMING, whole
from hypothesis import given, settings
from hypothesis import strategies as st

from boardwright.plan.model import Device, Ring, Track
from boardwright_stages.checks.reassembly import Solid
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_timber.model import BoardPlan

MANY = settings(
    max_examples=300 if os.environ.get("BOARDWRIGHT_DEEP") else 8, deadline=None, derandomize=True
)
OPEN = OpenTopSettings()
HALF = 0.5 - 1e-3  # of a riser, below its deck; the rest is rounding
TOUCH_MM = 0.01
TIP_MM = 80.0  # as far as a strip may end past what holds it (see ``noggins``)
ASKEW = math.sqrt(2)  # tracks up to 45° to the joists that hold them


@st.composite
def layouts(draw: st.DrawFn, most_devices: int) -> tuple[Ring, tuple[Track, ...], tuple[Device, ...]]:
    """A rectangle with one to three straight tracks any way across it, and devices on them."""
    length, width = draw(st.floats(500, 1300)), draw(st.floats(300, 750))
    ring: Ring = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    tracks = []
    for n in range(draw(st.integers(1, 3))):
        turn = math.radians(draw(st.floats(-60, 60)))
        x, y = draw(st.floats(0, 1)) * length, draw(st.floats(0, 1)) * width
        c, s = 2000 * math.cos(turn), 2000 * math.sin(turn)
        line = shapely.LineString(((x - c, y - s), (x + c, y + s))).intersection(shapely.Polygon(ring))
        if line.geom_type == "LineString" and line.length > 50:
            tracks.append(Track(id=f"T{n}", points=tuple(line.coords)))
    devices = []
    for n in range(draw(st.integers(0, most_devices)) if tracks else 0):
        on = shapely.LineString(draw(st.sampled_from(tracks)).points)
        at = on.interpolate(draw(st.floats(0, 1)), normalized=True)
        devices.append(
            Device(
                id=f"D{n}",
                kind="point motor",
                x_mm=at.x,
                y_mm=at.y + draw(st.floats(-30, 30)),
                length_mm=draw(st.floats(20, 90)),
                width_mm=draw(st.floats(15, 50)),
                depth_mm=draw(st.sampled_from((40.0, 110.0))),
                clearance_mm=draw(st.floats(0, 12)),
                angle_deg=draw(st.floats(0, 180)),
            )
        )
    return ring, tuple(tracks), tuple(devices)


def stood(
    ring: Ring, tracks: tuple[Track, ...], devices: tuple[Device, ...], girders: bool
) -> tuple[shapely.Geometry, list[Solid]]:
    """The deck, and what has its top at the deck's underside. Each riser is measured: half of it is below the
    deck, and it is as wide as wanted or told."""
    board = board_of(ring)
    plan = BoardPlan(board=board.id, tracks=tracks, devices=devices, own_devices=tuple(d.id for d in devices))
    _, found, placed, notes = whole(board, plan, girders=girders)
    decks = [s for s in placed.values() if s.part.role == "deck"]
    deck = shapely.union_all([s.shape for s in decks])
    told = {p.item for f in notes.findings if f.code == "BW-JOIST-020" for p in f.where}
    assert set(found.narrow) == told
    for riser in (s for s in placed.values() if s.part.role == "riser"):
        assert abs(riser.high_mm - decks[0].low_mm) <= TOUCH_MM
        assert riser.shape.intersection(deck).area >= HALF * riser.shape.area, riser.part.id
        assert riser.part.length_mm >= 15
        assert (riser.part.length_mm < OPEN.riser_least_mm - 2 * TOUCH_MM) == (riser.part.id in told)
    bear = [s for s in placed.values() if s.part.role not in ("deck", "splice plate")]
    return deck, [s for s in bear if decks and abs(s.high_mm - decks[0].low_mm) <= TOUCH_MM]


@MANY
@given(layouts(0), st.booleans())
def test_strips_of_deck_are_held_all_along(
    layout: tuple[Ring, tuple[Track, ...], tuple[Device, ...]], girders: bool
) -> None:
    """Along each track its strip of deck, 40 mm to each side, meets risers no farther apart than joists may
    stand, each riser on one or the other face of its joist; and one near both its ends."""
    ring, tracks, _ = layout
    deck, bear = stood(ring, tracks, (), girders)
    apart_mm = OPEN.riser_spacing_mm + 2 * ASKEW * (FRAMING.member_thickness_mm or 0.0)
    for track in tracks:
        line = shapely.LineString(track.points)
        strip = line.buffer(OPEN.beside_track_mm, cap_style="flat").intersection(deck)
        met = [p for s in bear for p in shapely.get_parts(s.shape.intersection(strip)) if p.area > 1]
        runs = [[line.project(shapely.Point(c)) for c in shapely.get_coordinates(p)] for p in met]
        spans = sorted((min(run), max(run)) for run in runs)
        assert spans, track.id
        held = shapely.union_all([s.shape.intersection(deck) for s in bear])
        assert all(held.distance(shapely.Point(end)) <= TIP_MM for end in track.points)
        reached = spans[0][1]
        for a, b in spans[1:]:
            assert a - reached <= apart_mm, (track.id, reached, a)
            reached = max(reached, b)


@MANY
@given(layouts(6), st.booleans())
def test_among_devices_risers_stand_below_their_deck(
    layout: tuple[Ring, tuple[Track, ...], tuple[Device, ...]], girders: bool
) -> None:
    stood(*layout, girders)
