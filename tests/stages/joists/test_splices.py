"""Narrow decks longer than a sheet: seams between joists, a plate under each, by hand and on any board."""

from __future__ import annotations

import itertools
import os
import random

import pytest
import shapely
from any_shapes import board_of

from boardwright import Notes, Severity
from boardwright.plan.model import Device, Point, Ring, Track, Turnout
from boardwright_stages.checks.reassembly import Solid, solid
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.hardware.screwing import splice_row, splice_screws
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_stages.parts.stages import parts
from boardwright_timber.model import Board, BoardFixings, BoardParts, BoardPlan, BoardWiring, Joists

FRAMING = FramingSettings()
LONG: Ring = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 500.0), (0.0, 500.0))
SEEDS = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 6


def made(board: Board, plan: BoardPlan, sheet_mm: float) -> tuple[Joists, BoardParts, Notes]:
    """An open top whose deck comes from sheets of this length, 10 mm of trim at each end."""
    notes, own = Notes(), OpenTopSettings()
    sheet = StockSheet(name="short", material="birch ply", thickness_mm=9.0, length_mm=sheet_mm + 20)
    framed = open_top(board, plan, FRAMING, own, notes)
    stock = StockSettings(sheets=(sheet,))
    found = joists(board, plan, framed, FRAMING, JoistSettings(), notes, own, stock)
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    return found, parts(board, plan, framed, found, fixings, wiring, FRAMING, notes), notes


def straight(*tracks: tuple[Point, Point], **more: object) -> BoardPlan:
    lines = tuple(Track(id=f"T{n}", points=points) for n, points in enumerate(tracks, 1))
    return BoardPlan(board="B01", tracks=lines, **more)  # type: ignore[arg-type]  # devices, turnouts


def test_a_straight_track_on_a_long_board() -> None:
    """3000 mm from sheets of 2420: two pieces, the seam as near the middle as a plate of 120 finds room."""
    board, plan = board_of(LONG), straight(((0, 250), (3000, 250)))
    found, cut, notes = made(board, plan, 2420)
    (splice,) = found.splices
    (plate,) = splice.plates
    assert shapely.Polygon(plate.ring).equals(shapely.box(splice.x_mm - 60, 210, splice.x_mm + 60, 290))
    uprights = [m for m in found.members if m.role.value == "riser"]
    apart = min(abs(x - splice.x_mm) for m in uprights for x, _ in m.outline)
    assert apart >= 61
    nearer = sorted(abs(1500 - splice.x_mm - d) for d in range(-1500, 1500, 10))[0]
    assert nearer < 1e-6, "a step of ten"
    assert abs(splice.x_mm - 1500) <= 130, "half a bay of 250 and less"
    decks = [p for p in cut.parts if p.role == "deck"]
    assert [p.length_mm for p in decks] == [splice.x_mm, 3000 - splice.x_mm]
    (own,) = (p for p in cut.parts if p.role == "splice plate")
    assert (own.placement.z_mm, own.thickness_mm, own.material) == (-9.0, 9.0, "birch ply")
    assert [f.code for f in notes.findings] == ["BW-JOIST-013"]
    # 80 mm wide: two screws to each side; 16 mm long, the longest sold that stays within 2 · 9 - 1
    assert splice_row(own) == 2
    (line,) = splice_screws(cut, HardwareSettings())
    assert (line.quantity, line.item) == (4, "screw-3.5x16")


def test_seams_keep_off_turnouts_and_devices() -> None:
    board, line = board_of(LONG), ((0.0, 250.0), (3000.0, 250.0))
    plain = made(board, straight(line), 2420)[0].splices[0].x_mm
    ring: Ring = ((plain - 90, 230), (plain + 90, 230), (plain + 90, 270), (plain - 90, 270))
    turnout = Turnout(id="P1", x_mm=plain, y_mm=250.0, ring=ring)
    moved = made(board, straight(line, turnouts=(turnout,)), 2420)[0].splices[0]
    assert not shapely.Polygon(ring).intersects(shapely.Polygon(moved.plates[0].ring))
    feed = Device(
        id="D1", kind="feed", x_mm=plain, y_mm=250, length_mm=20, width_mm=20, depth_mm=5, clearance_mm=0
    )
    aside = made(board, straight(line, devices=(feed,), own_devices=("D1",)), 2420)[0].splices[0]
    assert min(abs(x - plain) for x, _ in aside.plates[0].ring) >= 11
    assert not shapely.Point(plain, 250).intersects(shapely.Polygon(aside.plates[0].ring))


def test_no_place_for_a_seam_is_a_fault() -> None:
    """Sheets of 180 mm: every bay of 250 would have to be parted twice."""
    board, plan = board_of(LONG), straight(((0, 250), (3000, 250)))
    found, _, notes = made(board, plan, 100)
    assert found.splices == ()
    assert [(f.code, f.severity) for f in notes.findings] == [("BW-JOIST-014", Severity.FAULT)]


@pytest.mark.parametrize("batch", range(2))
def test_any_deck_comes_out_of_sheets(batch: int) -> None:
    """No piece is longer than a sheet; pieces cover the deck once; every seam lies on plates from edge to
    edge of the deck, right below it and in no other wood."""
    spliced = 0
    for seed in range(batch, SEEDS, 2):
        dice = random.Random(seed)
        length, width, sheet = dice.uniform(1400, 3200), dice.uniform(300, 700), dice.uniform(800, 1300)
        board = board_of(((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)))
        ways = [
            ((0.0, dice.uniform(60, width - 60)), (length, dice.uniform(60, width - 60)))
            for _ in range(dice.randint(1, 3))
        ]
        found, cut, notes = made(board, straight(*ways), sheet)
        if "BW-JOIST-014" in {f.code for f in notes.findings}:
            continue
        spliced += len(found.splices)
        placed = [solid(board, p) for p in cut.parts]
        decks = [s for s in placed if s.part.role == "deck"]
        assert max(s.part.length_mm for s in decks) <= sheet + 1e-6
        whole = shapely.union_all([s.shape for s in decks])
        assert sum(s.shape.area for s in decks) == pytest.approx(whole.area, abs=0.05)
        _lie_on_plates(placed)
        for one, other in itertools.combinations(placed, 2):
            if min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm) > 1e-6:
                assert one.shape.intersection(other.shape).area <= 0.05, (one.part.id, other.part.id)
    assert spliced


def _lie_on_plates(placed: list[Solid]) -> None:
    """Plates lie right below the deck; where two pieces of it meet, a plate lies below all of the seam."""
    plates = [s for s in placed if s.part.role == "splice plate"]
    assert {(s.low_mm, s.high_mm) for s in plates} <= {(-9.0, 0.0)}
    below = shapely.union_all([s.shape for s in plates]).buffer(0.1)
    for one, other in itertools.combinations([s.shape for s in placed if s.part.role == "deck"], 2):
        seam = one.buffer(0.01).intersection(other.buffer(0.01))
        assert seam.is_empty or below.covers(seam)


def test_short_decks_are_left_whole() -> None:
    board, plan = board_of(LONG), straight(((0, 250), (3000, 250)))
    found, cut, notes = made(board, plan, 3000)
    assert (found.splices, notes.findings) == ((), [])
    assert [p.id for p in cut.parts if p.role == "deck"] == ["B01-D1"]
