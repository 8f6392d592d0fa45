"""Decks wider than any sheet: parted along the board too, on plates between joists, by hand and any."""

from __future__ import annotations

import itertools
import math
import os
import random
from collections.abc import Sequence

import msgspec
import pytest
import shapely
from any_shapes import board_of

from boardwright import Notes, Severity
from boardwright.plan.model import Circle, Device, Point, Ring, Track
from boardwright_outputs.verify.shapes import part_shape
from boardwright_stages.checks.reassembly import Solid, solid
from boardwright_stages.framing.girder import l_girder
from boardwright_stages.framing.girder_settings import GirderSettings
from boardwright_stages.framing.open_settings import OpenTopSettings
from boardwright_stages.framing.open_top import open_top
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.hardware.screwing import splice_screws
from boardwright_stages.hardware.settings import HardwareSettings
from boardwright_stages.joists.columns import Free, Parting, both_ways
from boardwright_stages.joists.seams import Sheet
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.nesting.settings import StockSettings, StockSheet
from boardwright_stages.parts.deck import deck_parts
from boardwright_stages.parts.stages import parts
from boardwright_timber.geometry import snap_point
from boardwright_timber.model import (
    Board,
    BoardFixings,
    BoardParts,
    BoardPlan,
    BoardWiring,
    Frame,
    Joists,
    LongSeam,
    Panel,
)

FRAMING = FramingSettings()
TRIM_MM = 20.0  # ten at each edge
SEEDS = 300 if os.environ.get("BOARDWRIGHT_DEEP") else 6


def stock_of(long: float, wide: float) -> StockSettings:
    """Deck sheets that give so much; strips as long as any board."""
    deck = StockSheet(
        name="deck", material="birch ply", thickness_mm=9.0, length_mm=long + TRIM_MM, width_mm=wide + TRIM_MM
    )
    strip = StockSheet(
        name="strip", material="birch ply", thickness_mm=12.0, length_mm=9000.0, width_mm=1220.0
    )
    return StockSettings(sheets=(deck, strip))


def made(
    board: Board, framed: Frame, plan: BoardPlan, stock: StockSettings, notes: Notes
) -> tuple[Joists, BoardParts]:
    found = joists(board, plan, framed, FRAMING, JoistSettings(), notes, OpenTopSettings(), stock)
    fixings, wiring = BoardFixings(board=board.id), BoardWiring(board=board.id)
    return found, parts(board, plan, framed, found, fixings, wiring, FRAMING, notes)


def boxed(board: Board, long: float, wide: float, *devices: Device) -> tuple[Joists, BoardParts, Notes]:
    notes, plan = (
        Notes(),
        BoardPlan(board=board.id, devices=devices, own_devices=tuple(d.id for d in devices)),
    )
    return *made(board, frame(board, FRAMING, notes), plan, stock_of(long, wide), notes), notes


def rectangle(long: float, wide: float) -> Ring:
    return ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))


def motor(name: str, x: float, y: float) -> Device:
    return Device(
        id=name, kind="point motor", x_mm=x, y_mm=y, length_mm=60, width_mm=40, depth_mm=50, clearance_mm=15
    )


def test_a_board_wider_than_a_sheet() -> None:
    """2000 by 1500 from sheets that give 2420 by 1200: two rows, parted at the step of 20 mm nearest the
    middle; five bays between four joists give five plates, 120 wide, 2 mm clear of the wood at both ends."""
    found, cut, notes = boxed(board_of(rectangle(2000.0, 1500.0)), 2420, 1200)
    (seam,) = found.long_seams
    assert (found.seams, seam.y_mm, seam.piece) == ((), 740.0, (0.0, 0.0, 2000.0, 1500.0))
    assert [(p.id, p.length_mm, p.width_mm) for p in cut.parts if p.role == "deck"] == [
        ("B01-D1", 2000.0, 740.0),
        ("B01-D2", 2000.0, 760.0),
    ]
    plates = [p for p in cut.parts if p.role == "splice plate"]
    walls = [12.0, *(x for j in found.joists for x in sorted({p[0] for p in j.outline})), 1988.0]
    gaps = list(zip(walls[::2], walls[1::2], strict=True))
    assert len(gaps) == 5
    assert [p.width_mm for p in plates] == pytest.approx([b - a - 4 for a, b in gaps])
    assert {(p.length_mm, p.thickness_mm, p.placement.z_mm) for p in plates} == {(120.0, 9.0, -9.0)}
    placed = [solid(board_of(rectangle(2000.0, 1500.0)), p).shape.bounds for p in plates]
    assert placed == [pytest.approx((a + 2, 680, b - 2, 800)) for a, b in gaps]
    assert [f.code for f in notes.findings] == ["BW-JOIST-018"]
    # a screw for each 40 mm of a plate and each side of its seam: round(381 / 40) = 10 and so on
    (line,) = splice_screws(cut, HardwareSettings())
    assert line.quantity == sum(2 * round(p.width_mm / 40) for p in plates)
    marked = [m.text for p in cut.parts if p.role == "deck" for m in p.marks if m.text.startswith("B01-P")]
    assert marked == [p.id for p in plates] * 2, "each plate is drawn on both pieces"


def test_devices_are_passed() -> None:
    """A motor on the middle line moves the seam there; with motors wherever a seam could be there is none,
    and the fault names the board, how much too wide it is, and the motors."""
    board = board_of(rectangle(1200.0, 1500.0))
    found, _, _ = boxed(board, 2420, 1200, motor("M1", 600, 740))
    (seam,) = found.long_seams
    keepout = shapely.Polygon(motor("M1", 600, 740).keepout())
    assert not any(shapely.Polygon(p.ring).intersects(keepout) for p in seam.plates)
    full = [motor(f"M{n}", 600, y) for n, y in enumerate(range(300, 1300, 90))]
    found, _, notes = boxed(board, 2420, 1200, *full)
    (told,) = (f for f in notes.findings if f.code == "BW-JOIST-017")
    assert (found.long_seams, told.severity) == ((), Severity.FAULT)
    for word in ("B01", "1500 mm wide", "300 mm wider", "M0", "M5"):
        assert word in told.says


@pytest.mark.parametrize("seed", range(12))
def test_fewest_pieces_then_turnouts_by_brute_force(seed: int) -> None:
    dice = random.Random(seed)
    length, width = dice.uniform(1500, 3000), dice.uniform(1300, 2500)
    sheet = Sheet(dice.uniform(900, 2400), dice.uniform(600, 1200), turns=dice.random() < 0.5)
    places = sorted(map(float, dice.sample(range(150, int(length) - 150), 4)))
    rows = {float(y): (dice.randint(0, 1), 0.0) for y in dice.sample(range(200, int(width) - 200, 200), 3)}
    hurt = {x: dice.randint(0, 1) for x in places}
    whole = Panel(ring=rectangle(length, width))
    free = Free(rows, lambda _: ())
    parting = Parting(board_of(whole.ring), whole, [sheet], lambda *_: free)
    found = both_ways(parting, places, hurt.__getitem__)

    lying = [sheet[:2], *([sheet[1::-1]] if sheet.turns else [])]

    def column(long: float) -> tuple[int, int] | None:
        """The cheapest rows by trying all."""
        ways = [
            (len(ys) + 1, sum(rows[y][0] for y in ys))
            for k in range(len(rows) + 1)
            for ys in itertools.combinations(sorted(rows), k)
            for steps in [[b - a for a, b in itertools.pairwise((0.0, *ys, width))]]
            if any(a >= long + 0.1 and max(steps) <= b - 0.1 for a, b in lying)
            if not ys or min(steps) >= 200
        ]
        return min(ways, default=None)

    best: tuple[int, int] | None = None
    for k in range(len(places) + 1):
        for xs in itertools.combinations(places, k):
            columns = [column(b - a) for a, b in itertools.pairwise((0.0, *xs, length))]
            if all(columns):
                pieces = sum(c[0] for c in columns if c)
                parted = sum(c[1] for c in columns if c) + sum(hurt[x] for x in xs)
                best = min(filter(None, (best, (pieces, parted))))
    if best is None or found is None:
        assert best is None
        assert found is None
        return
    cut = len(found.seams) + 1 + len(found.long_seams)
    assert (cut, sum(hurt[x] for x in found.seams) + sum(rows[s.y_mm][0] for s in found.long_seams)) == best


def wide_ring(dice: random.Random, long: float, wide: float) -> tuple[Ring, tuple[Ring, ...]]:
    """A rectangle, one with a corner or a bay out, a taper, a round end or a disc; with a well or without."""
    kind = dice.choice(["plain", "corner", "bay", "taper", "round", "disc"])
    if kind == "disc":
        r = wide / 2
        return tuple((r + r * math.cos(t), r + r * math.sin(t)) for t in _turns(60)), ()
    ring: tuple[Point, ...] = rectangle(long, wide)
    if kind == "corner":
        x, y = dice.uniform(0.3, 0.7) * long, dice.uniform(0.3, 0.7) * wide
        ring = ((0.0, 0.0), (long, 0.0), (long, y), (x, y), (x, wide), (0.0, wide))
    elif kind == "bay":
        a, b, y = 0.3 * long, dice.uniform(0.6, 0.7) * long, dice.uniform(0.3, 0.8) * wide
        ring = (*ring[:3], (b, wide), (b, y), (a, y), (a, wide), (0.0, wide))
    elif kind == "taper":
        ring = (
            (0.0, 0.0),
            (long, dice.uniform(0, 0.2) * wide),
            (long, dice.uniform(0.7, 1) * wide),
            (0.0, wide),
        )
    elif kind == "round":
        r = 0.2 * wide
        ring = (
            (0.0, 0.0),
            *((long - r + r * math.sin(t), r - r * math.cos(t)) for t in _quarter(12)),
            (long, wide),
            (0.0, wide),
        )
    well: tuple[Ring, ...] = ()
    if kind in ("plain", "round") and dice.random() < 0.5:
        x0, y0 = dice.uniform(0.3, 0.4) * long, dice.uniform(0.3, 0.4) * wide
        x1, y1 = dice.uniform(0.6, 0.7) * long, dice.uniform(0.6, 0.7) * wide
        well = (((x0, y0), (x0, y1), (x1, y1), (x1, y0)),)
    return ring, well


def _turns(steps: int) -> list[float]:
    return [2 * math.pi * n / steps for n in range(steps)]


def _quarter(steps: int) -> list[float]:
    return [math.pi / 2 * n / steps for n in range(steps + 1)]


@pytest.mark.parametrize("batch", range(2))
def test_any_wide_deck_comes_out_of_sheets(batch: int) -> None:
    """Boxes of many shapes: pieces fit the sheet, cover the deck once, and lie on wood at every seam."""
    parted = 0
    for seed in range(batch, SEEDS, 2):
        dice = random.Random(seed)
        long, wide = dice.uniform(1300, 3000), dice.uniform(1250, 1900)
        sheet = dice.uniform(1200, 2420), dice.uniform(800, 1220)
        board = board_of(*wide_ring(dice, long, wide))
        devices = [
            motor(f"M{n}", dice.uniform(0, long), dice.uniform(0, wide)) for n in range(dice.randint(0, 3))
        ]
        found, cut, notes = boxed(board, *sheet, *devices)
        assert not {"BW-JOIST-017", "BW-JOIST-010"} & {f.code for f in notes.findings}, seed
        parted += len(found.long_seams)
        _holds(board, found, cut, sheet, FRAMING.max_overhang_mm)
    assert parted


@pytest.mark.parametrize("seed", range(SEEDS // 3))
def test_girders_and_open_tops(seed: int) -> None:
    """A loop of track on a wide board: a whole deck on girders, and one only under the track."""
    dice = random.Random(seed)
    long, wide = dice.uniform(1700, 2400), dice.uniform(1400, 1700)
    board, sheet = board_of(rectangle(long, wide)), (dice.uniform(1500, 2420), dice.uniform(900, 1200))
    turns = [
        (long / 2 + (long / 2 - 100) * math.cos(t), wide / 2 + (wide / 2 - 100) * math.sin(t))
        for t in _turns(90)
    ]
    plan = BoardPlan(board=board.id, tracks=(Track(id="T1", points=(*turns, turns[0])),))
    for style in ("l-girder", "open-top"):
        notes = Notes()
        framed = (
            l_girder(board, plan, FRAMING, GirderSettings(), notes)
            if style == "l-girder"
            else open_top(board, plan, FRAMING, OpenTopSettings(), notes)
        )
        found, cut = made(board, framed, plan, stock_of(*sheet), notes)
        assert not {f.code for f in notes.findings if f.severity is Severity.FAULT}
        assert found.long_seams
        _holds(board, found, cut, sheet, FRAMING.max_overhang_mm, framed.deck)


def _holds(
    board: Board,
    found: Joists,
    cut: BoardParts,
    sheet: tuple[float, float],
    overhang_mm: float,
    narrow: Sequence[Panel] = (),
) -> None:
    placed = [solid(board, p) for p in cut.parts]
    decks = [s for s in placed if s.part.role == "deck"]
    assert max(s.part.length_mm for s in decks) <= sheet[0] + 1e-6
    assert max(s.part.width_mm for s in decks) <= sheet[1] + 1e-6
    whole = shapely.union_all([s.shape for s in decks])
    meant = shapely.union_all([shapely.Polygon(p.ring, p.wells) for p in narrow])
    if not narrow:
        meant = shapely.Polygon(board.ring, board.wells)
    assert whole.symmetric_difference(meant).area < 0.5
    assert sum(s.shape.area for s in decks) == pytest.approx(whole.area, abs=0.5)
    _borne(placed, decks, whole, 0.0 if narrow else overhang_mm)
    for one, other in itertools.combinations(placed, 2):
        if min(one.high_mm, other.high_mm) - max(one.low_mm, other.low_mm) > 1e-6:
            assert one.shape.intersection(other.shape).area <= 0.05, (one.part.id, other.part.id)
    assert len(found.plates) == sum(s.part.role == "splice plate" for s in placed)


def _borne(
    placed: Sequence[Solid], decks: Sequence[Solid], whole: shapely.Geometry, overhang_mm: float
) -> None:
    """Below every seam lies wood; but for the 2 mm beside a plate, and where the deck stands out."""
    level = decks[0].low_mm
    wood = shapely.union_all([s.shape for s in placed if abs(s.high_mm - level) < 1e-6]).buffer(2.05)
    for one, other in itertools.combinations([s.shape for s in decks], 2):
        seam = one.buffer(0.01).intersection(other.buffer(0.01))
        for bare in shapely.get_parts(seam.difference(wood)):
            x0, y0, x1, y1 = bare.bounds if not bare.is_empty else (0.0,) * 4
            out = bare.distance(whole.boundary) < 0.1
            assert max(x1 - x0, y1 - y0) <= (overhang_mm + 1 if out else 0.5)


def test_pieces_meet_a_round_edge_on_the_arc() -> None:
    """A quarter of a disc cut along the board as across it: as large either way, by turning it a quarter."""
    r = 700.0
    ring = tuple(snap_point((r + r * math.cos(t), r + r * math.sin(t))) for t in _turns(200))
    circle = Circle(x_mm=r, y_mm=r, radius_mm=r, chord_mm=math.dist(ring[0], ring[1]))
    board = msgspec.structs.replace(board_of(ring), circles=(circle,))
    x0, y0 = min(x for x, _ in ring), min(y for _, y in ring)
    x1, y1 = max(x for x, _ in ring), max(y for _, y in ring)
    seam = LongSeam(y_mm=333.3, piece=(x0, y0, x1, y1), plates=())
    plan = BoardPlan(board="B01")
    along = deck_parts(board, plan, (), "birch ply", 9.0, long_seams=(seam,))
    across = deck_parts(board, plan, (), "birch ply", 9.0, seams=(333.3,))
    for one, other in zip(along, across, strict=True):
        assert part_shape(one).area == pytest.approx(part_shape(other).area, abs=0.01)
